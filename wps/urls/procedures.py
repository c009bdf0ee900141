"""Addresses of the procedure pages."""

from django.urls import URLPattern, path

from wps.views import (
    code_decisions,
    every_row,
    from_trials,
    procedure_editing,
    procedure_editions,
    procedure_starts,
    procedures,
)

urlpatterns: list[URLPattern] = [
    path("", procedures.procedure_list, name="procedure_list"),
    path("new/", procedure_editing.procedure_new, name="procedure_new"),
    path("check/", procedure_editing.procedure_check, name="procedure_new_check"),
    path("from-trial/<int:pk>/", from_trials.procedure_from_trial, name="procedure_from_trial"),
    path("from-test/<int:pk>/", procedure_starts.procedure_from_test, name="procedure_from_test"),
    path("for-weld/<int:pk>/", procedure_starts.procedure_for_part, name="procedure_for_part"),
    path("<int:pk>/like/", procedure_starts.procedure_like, name="procedure_like"),
    path("coupons/", procedure_editing.procedure_coupons_for, name="procedure_coupons"),
    path("from-window/<int:pk>/", from_trials.procedure_from_window, name="procedure_from_window"),
    path("<int:pk>/", procedures.procedure, name="procedure"),
    path("<int:pk>/edit/", procedure_editing.procedure_edit, name="procedure_edit"),
    path("<int:pk>/advice/", procedure_editing.procedure_advice, name="procedure_advice"),
    path("<int:pk>/check/", procedure_editing.procedure_check, name="procedure_check"),
    path(
        "<int:pk>/decide/<int:line>/<str:variable>/", code_decisions.procedure_decide, name="procedure_decide"
    ),
    path("<int:pk>/newer-tests/", procedures.procedure_newer_tests, name="procedure_newer_tests"),
    path("<int:pk>/rows/", every_row.procedure_rows, name="procedure_rows"),
    path("<int:pk>/step/", procedures.procedure_step, name="procedure_step"),
    path("<int:pk>/revise/", procedures.procedure_revise, name="procedure_revise"),
    path("<int:pk>/edition/", procedure_editions.procedure_edition, name="procedure_edition"),
    path("<int:pk>/move/", procedure_editions.procedure_move, name="procedure_move"),
    path("<int:pk>/compare/<int:other>/", procedures.procedure_compare, name="procedure_compare"),
]
