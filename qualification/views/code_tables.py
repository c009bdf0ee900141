"""The numbers the program works with, row by row, to be held against the shop's own copy of the code."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.codes.edition_told import told_of
from qualification.codes.editions import as_choices, available_editions
from qualification.codes.editions_in_force import find_row, in_force, stale_checks
from qualification.models import OwnEdition, Shop, TableCheck
from qualification.roles import may_approve, reader_required
from qualification.rules.core.findings import Provenance
from qualification.rules.editions.edition_facts import edition_facts
from qualification.rules.editions.table_words import Table, TableRow, tables_in_words
from qualification.rules.editions.worked_examples import FOLDER
from qualification.rules.tabular.schema import TableError

PAGE = 20
"""Rows that a search shows at once."""


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
    filters = {key: request.GET.get(key, "").strip() for key in ("q", "provenance", "clause", "table")}
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
        _shown(table, filters["provenance"], filters["clause"], filters["q"])
        for table in whole
        if filters["table"] in ("", table.file)
    ]
    rows = [row for table in whole for row in table.rows]
    found = sum(len(each.table.rows) for each in shown)
    page = Paginator(range(found), PAGE).get_page(request.GET.get("page"))
    if any(filters.values()):
        shown = _cut(shown, page.start_index() - 1, page.end_index())
    context = {
        "editions": as_choices(editions),
        "chosen": chosen,
        "shown": [each for each in shown if each.table.rows],
        "whole": whole,
        **filters,
        "edition": held.edition if held else None,
        "told_of_edition": told_of(held.edition) if held else None,
        "stale": _stale(chosen) if chosen else [],
        "may_check": may_approve(request.user),
        "own": OwnEdition.objects.filter(key=chosen).first(),
        "provenances": [(p.value, p.words) for p in Provenance],
        "total": len(rows),
        "published": sum(r.provenance == "published" for r in rows),
        "memory": sum(r.provenance == "memory" for r in rows),
        "shop_checked": sum(r.provenance == "shop" for r in rows),
        "is_filtered": any(filters.values()),
        "has_examples": (FOLDER / f"{chosen}.toml").is_file(),
        "facts": edition_facts(held.edition, held.files) if held and not any(filters.values()) else None,
        "found": found,
        "page": page,
        "query": urlencode({"edition": chosen, **filters}),
    }
    return render(request, "qualification/code_tables.html", context)


def _stale(chosen: str) -> list[tuple[TableCheck, bool]]:
    """Checks without effect, and whether their row is still there to be held against the copy again."""
    return [(check, find_row(chosen, check.file, check.place) is not None) for check in stale_checks(chosen)]


def _chosen(wanted: str, present: list[str]) -> str:
    """The edition asked for, else the shop's, else the first there is; empty when there is none."""
    return next((key for key in (wanted, Shop.current().code_edition, *present) if key in present), "")


def _cut(shown: list[Shown], start: int, end: int) -> list[Shown]:
    """The rows from `start` up to `end`, counted through all tables."""
    cut, before = [], 0
    for each in shown:
        rows = each.table.rows[max(0, start - before) : max(0, end - before)]
        before += len(each.table.rows)
        cut.append(replace(each, table=replace(each.table, rows=rows)))
    return cut


def _shown(table: Table, provenance: str, clause: str, text: str) -> Shown:
    """The table with the rows that fit. A clause is found by its beginning: `QW-451` finds `QW-451.1`; words
    anywhere in a row, in any order."""
    wanted, words = clause.casefold(), text.casefold().split()
    rows = tuple(
        row
        for row in table.rows
        if provenance in ("", row.provenance)
        and (not words or _has(row, words))
        and any(part.strip().casefold().startswith(wanted) for part in row.clause.split(","))
    )
    return Shown(
        replace(table, rows=rows),
        len(table.rows),
        table.count(Provenance.PUBLISHED),
        table.count(Provenance.MEMORY),
        table.count(Provenance.SHOP),
    )


def _has(row: TableRow, words: list[str]) -> bool:
    parts = (row.subject, row.section, row.because, row.clause, *(c.name for c in row.columns))
    text = " ".join((*parts, *(c.words for c in row.columns))).casefold()
    return all(word in text for word in words)
