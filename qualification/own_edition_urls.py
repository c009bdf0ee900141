"""Addresses of the shop's own editions."""

from django.urls import path

from qualification.views import own_editions as editions
from qualification.views import own_editions_cases as cases
from qualification.views import own_editions_rows as rows

urlpatterns = [
    path("", editions.own_edition_list, name="own_edition_list"),
    path("new/", editions.own_edition_new, name="own_edition_new"),
    path("<int:pk>/", editions.own_edition, name="own_edition"),
    path("<int:pk>/publish/", editions.own_edition_publish, name="own_edition_publish"),
    path("<int:pk>/withdraw/", editions.own_edition_withdraw, name="own_edition_withdraw"),
    path("<int:pk>/discard/", editions.own_edition_discard, name="own_edition_discard"),
    path("<int:pk>/compare/", editions.own_edition_compare, name="own_edition_compare"),
    path("<int:pk>/compare/seen/", editions.own_edition_parent_seen, name="own_edition_parent_seen"),
    path("<int:pk>/rows/new/", rows.own_row_start, name="own_row_start"),
    path("<int:pk>/tables/take/", rows.own_table_take, name="own_table_take"),
    path("<int:pk>/tables/<str:file>/", rows.own_table, name="own_table"),
    path("<int:pk>/tables/<str:file>/text/", rows.own_table_text, name="own_table_text"),
    path("<int:pk>/tables/<str:file>/new/", rows.own_row_add, name="own_row_add"),
    path("<int:pk>/rows/<str:file>/<path:place>/remove/", rows.own_row_remove, name="own_row_remove"),
    path("<int:pk>/rows/<str:file>/<path:place>/", rows.own_row, name="own_row"),
    path("<int:pk>/cases/new/<str:side>/", cases.own_case_add, name="own_case_add"),
    path("<int:pk>/cases/<int:number>/", cases.own_case, name="own_case"),
    path("<int:pk>/cases/<int:number>/remove/", cases.own_case_remove, name="own_case_remove"),
]
