"""Addresses of what a shop lays over a code: its checks of the tables, and limits of its own."""

from django.urls import URLPattern, path

from wps.views import code_decisions, edition_archives, edition_moves, house_limits, table_checks, work_sheets

urlpatterns: list[URLPattern] = [
    path(
        "code-tables/checks/<int:pk>/take-back/", table_checks.take_back_check, name="table_check_take_back"
    ),
    path("code-tables/changes/<int:pk>/", table_checks.rejudging, name="rejudging"),
    path("code-tables/moves/<int:pk>/", edition_moves.edition_move_report, name="edition_move_report"),
    path("code-tables/move/<str:edition>/", edition_moves.edition_move, name="edition_move"),
    path("code-tables/work-sheet/<str:edition>/", work_sheets.work_sheet, name="work_sheet"),
    path(
        "code-tables/work-sheet/<str:edition>/paper/", work_sheets.work_sheet_paper, name="work_sheet_paper"
    ),
    path("code-tables/<str:edition>/<str:file>/<path:place>/", table_checks.table_row, name="table_row"),
    path("own-editions/import/", edition_archives.own_edition_import, name="own_edition_import"),
    path("own-editions/<int:pk>/export/", edition_archives.own_edition_export, name="own_edition_export"),
    path("shop/decisions/", code_decisions.code_decisions, name="code_decisions"),
    path(
        "shop/decisions/<int:pk>/withdraw/",
        code_decisions.code_decision_withdraw,
        name="code_decision_withdraw",
    ),
    path("shop/limits/", house_limits.house_limits, name="house_limits"),
    path("shop/limits/new/", house_limits.house_limit_add, name="house_limit_add"),
    path("shop/limits/<int:pk>/end/", house_limits.house_limit_end, name="house_limit_end"),
]
