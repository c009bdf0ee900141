"""Addresses of the trial log."""

from django.urls import URLPattern, path

from qualification.views import (
    trial_comparing,
    trial_logs,
    trial_measures,
    trial_photos,
    trial_promotion,
    trial_removing,
    trial_windows,
    trials,
)

urlpatterns: list[URLPattern] = [
    path("", trials.trial_list, name="trial_list"),
    path("new/", trials.trial_start, name="trial_start"),
    path("compare/", trial_comparing.trial_compare, name="trial_compare"),
    path("compare/chart.svg", trial_comparing.trial_chart, name="trial_chart"),
    path("<int:pk>/", trials.trial, name="trial"),
    path("<int:pk>/machine/", trials.trial_edit, name="trial_edit"),
    path("<int:pk>/copy/", trials.trial_copy, name="trial_copy"),
    path("<int:pk>/photos/new/", trial_photos.trial_photo_add, name="trial_photo_add"),
    path("<int:pk>/remove/", trial_removing.trial_remove, name="trial_remove"),
    path("<int:pk>/archive/", trial_removing.trial_archive, name="trial_archive"),
    path("<int:pk>/photos/<int:photo>/remove/", trial_photos.trial_photo_remove, name="trial_photo_remove"),
    path("<int:pk>/photos/<int:photo>/", trial_photos.trial_photo, name="trial_photo"),
    path(
        "<int:pk>/photos/<int:photo>/measure/", trial_measures.trial_photo_measure, name="trial_photo_measure"
    ),
    path("<int:pk>/waveforms/new/", trial_logs.trial_log_add, name="trial_log_add"),
    path("<int:pk>/waveforms/<int:log>/", trial_logs.trial_log, name="trial_log"),
    path("<int:pk>/waveforms/<int:log>/confirm/", trial_logs.trial_log_confirm, name="trial_log_confirm"),
    path("<int:pk>/waveforms/<int:log>/replace/", trial_logs.trial_log_replace, name="trial_log_replace"),
    path("<int:pk>/waveforms/<int:log>/remove/", trial_logs.trial_log_remove, name="trial_log_remove"),
    path("<int:pk>/waveforms/<int:log>/plot.svg", trial_logs.trial_log_plot, name="trial_log_plot"),
    path("<int:pk>/window/", trial_windows.trial_window, name="trial_window"),
    path("<int:pk>/window/chart.svg", trial_windows.trial_window_chart, name="trial_window_chart"),
    path("<int:pk>/procedure-test/", trial_promotion.trial_to_test, name="trial_to_test"),
]
