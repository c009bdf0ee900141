"""Addresses of what a shop lays over a code: its checks of the tables."""

from django.urls import URLPattern, path

from wps.views import table_checks

urlpatterns: list[URLPattern] = [
    path("code-tables/checks/<int:pk>/take-back/", table_checks.take_back_check, name="table_check_take_back"),
    path("code-tables/<str:edition>/<str:file>/<path:place>/", table_checks.table_row, name="table_row"),
]
