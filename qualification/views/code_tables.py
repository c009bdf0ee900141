"""The numbers the program works with, row by row, to be held against the shop's own copy of the code."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.editions import available_editions
from qualification.editions_in_force import find_row, in_force, stale_checks
from qualification.models import Shop, TableCheck
from qualification.roles import may_approve, reader_required
from qualification.rules.findings import Provenance
from qualification.rules.schema import TableError
from qualification.rules.table_words import Table, tables_in_words


@dataclass(frozen=True)
class Shown:
    """One table with the rows that fit the filters, and the count over all its rows."""

    table: Table
    total: int
    published: int
    memory: int
    shop: int


@reader_required
def code_tables(request: HttpRequest) -> HttpResponse:
    """Every row of one edition, found by provenance, clause and table, and how many numbers are confirmed."""
    editions = available_editions()
    chosen = _chosen(request.GET.get("edition", ""), [key for key, _ in editions])
    filters = {key: request.GET.get(key, "").strip() for key in ("provenance", "clause", "table")}
    try:
        held = in_force(chosen) if chosen else None
    except TableError as error:
        return render(
            request,
            "qualification/code_tables.html",
            {"error": str(error), "editions": editions, "chosen": chosen, **filters},
        )
    whole = tables_in_words(held.edition, held.files) if held else ()
    shown = [
        _shown(table, filters["provenance"], filters["clause"])
        for table in whole
        if filters["table"] in ("", table.file)
    ]
    rows = [row for table in whole for row in table.rows]
    context = {
        "editions": editions,
        "chosen": chosen,
        "shown": [each for each in shown if each.table.rows],
        "whole": whole,
        **filters,
        "edition": held.edition if held else None,
        "stale": _stale(chosen) if chosen else [],
        "may_check": may_approve(request.user),
        "provenances": [(p.value, p.words) for p in Provenance],
        "total": len(rows),
        "published": sum(r.provenance == "published" for r in rows),
        "memory": sum(r.provenance == "memory" for r in rows),
        "shop_checked": sum(r.provenance == "shop" for r in rows),
        "is_filtered": any(filters.values()),
        "found": sum(len(each.table.rows) for each in shown),
    }
    return render(request, "qualification/code_tables.html", context)


def _stale(chosen: str) -> list[tuple[TableCheck, bool]]:
    """Checks without effect, and whether their row is still there to be held against the copy again."""
    return [(check, find_row(chosen, check.file, check.place) is not None) for check in stale_checks(chosen)]


def _chosen(wanted: str, present: list[str]) -> str:
    """The edition asked for, else the shop's, else the first there is; empty when there is none."""
    return next((key for key in (wanted, Shop.current().code_edition, *present) if key in present), "")


def _shown(table: Table, provenance: str, clause: str) -> Shown:
    """The table with the rows that fit. A clause is found by its beginning: `QW-451` finds `QW-451.1`."""
    wanted = clause.casefold()
    rows = tuple(
        row
        for row in table.rows
        if provenance in ("", row.provenance)
        and any(part.strip().casefold().startswith(wanted) for part in row.clause.split(","))
    )
    return Shown(
        replace(table, rows=rows),
        len(table.rows),
        table.count(Provenance.PUBLISHED),
        table.count(Provenance.MEMORY),
        table.count(Provenance.SHOP),
    )
