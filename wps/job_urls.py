"""Addresses of jobs, their welds, and the question who may weld them."""

from django.urls import URLPattern, path

from wps.views import jobs, parts, who_may_weld

urlpatterns: list[URLPattern] = [
    path("jobs/", jobs.job_list, name="job_list"),
    path("jobs/new/", jobs.job_new, name="job_new"),
    path("jobs/<int:pk>/", jobs.job, name="job"),
    path("jobs/<int:pk>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<int:job>/welds/new/", parts.part_new, name="part_new"),
    path("jobs/<int:job>/welds/check/", parts.part_check, name="part_new_check"),
    path("jobs/<int:job>/welds/<int:pk>/", parts.part, name="part"),
    path("jobs/<int:job>/welds/<int:pk>/edit/", parts.part_edit, name="part_edit"),
    path("jobs/<int:job>/welds/<int:pk>/check/", parts.part_check, name="part_check"),
    path("jobs/<int:job>/welds/<int:pk>/choose/", parts.part_choose, name="part_choose"),
    path("jobs/<int:job>/welds/<int:pk>/remove/", parts.part_remove, name="part_remove"),
    path("who-may-weld/", who_may_weld.who_may_weld, name="who_may_weld"),
    path("who-may-weld/described/", who_may_weld.who_may_weld_described, name="who_may_weld_described"),
]
