"""The matrix of a job: every detail against every procedure and welder, one cell opened, and as a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from qualification.posted import number_in
from qualification.roles import may_author, reader_required
from qualification.rules.core.findings import Verdict
from qualification.welders.who_may_weld import Roster
from wps.jobs.matrix import (
    COVERED,
    GROUPS,
    LAPSES,
    NO_PROCEDURE,
    NO_WELDER,
    Matrix,
    MatrixRow,
    Supposed,
    columns_shown,
    lost,
    matrix_of,
)
from wps.jobs.part_view import PartView
from wps.jobs.welding_today import gaps, in_words, limits_in_words
from wps.models import Job
from wps.reading.spreadsheet import XLSX, workbook
from wps.views.downloads import file_response

A_PAGE, FEW, MOST_COLUMNS = 100, 8, 24
SHOWS = {"": GROUPS, "not_covered": (NO_PROCEDURE, NO_WELDER), "lapses": (LAPSES,)}
KEPT = ("show", "by", "welder", "spec", "away", "lapsed", "all", "open", "page")
HEADINGS = {
    NO_PROCEDURE: "No procedure",
    NO_WELDER: "Procedure, but no welder qualified",
    LAPSES: "Covered today, lapses before the job ends",
    COVERED: "Covered",
}
SHAPES = {NO_PROCEDURE: "not_covered", NO_WELDER: "not_covered", LAPSES: "covered", COVERED: "covered"}


@dataclass(frozen=True)
class Cell:
    """One cell as the page shows it."""

    url: str
    verdict: str
    words: str
    days: int | None
    """Days until it lapses, where that is before the job ends."""
    assigned: int
    is_open: bool


@dataclass(frozen=True)
class MatrixLine:
    """One row as the page shows it."""

    row: MatrixRow
    group: str
    verdict: str
    specs: Sequence[Cell]
    welders: Sequence[Cell]
    may: int
    until: date | None


class _Page:
    """What the address asks of a matrix."""

    def __init__(self, request: HttpRequest, job: Job) -> None:
        self.query = {key: request.GET[key][:60] for key in KEPT if request.GET.get(key)}
        self.job, self.day = job, timezone.localdate()
        self.by_weld = self.query.get("by") == "weld"
        self.supposed = Supposed(number_in(self.query.get("away", "")), self.query.get("lapsed", ""))
        self.matrix = matrix_of(job, self.day, by_weld=self.by_weld, supposed=self.supposed)
        self.before = matrix_of(job, self.day, by_weld=self.by_weld) if self.supposed else self.matrix
        self.at = request.GET.get("at", "")[:60]

    def link(self, **changes: str) -> str:
        kept = {**self.query, **changes}
        return "?" + urlencode({key: value for key, value in kept.items() if value})

    def rows(self) -> list[int]:
        """Rows that the filters leave, in the order of their groups."""
        shows = SHOWS.get(self.query.get("show", ""), GROUPS)
        welder, spec = (number_in(self.query.get(key, "")) for key in ("welder", "spec"))
        found = [at for at, group in enumerate(self.matrix.groups) if group in shows]
        if welder is not None:
            columns = [n for n, file in enumerate(self.matrix.roster.files) if file.welder.pk == welder]
            found = [at for at in found if any(self._is_for(at, n, welder) for n in columns)]
        if spec is not None:
            columns = [n for n, each in enumerate(self.matrix.shelf.specs) if each.pk == spec]
            found = [at for at in found if any(self.matrix.specs[at, n] <= Verdict.COVERED for n in columns)]
        return sorted(found, key=lambda at: GROUPS.index(self.matrix.groups[at]))

    def _is_for(self, row: int, column: int, welder: int) -> bool:
        return self.matrix.is_covered(row, column) or welder in self.matrix.rows[row].assigned

    def columns(self, rows: Sequence[int]) -> tuple[list[int], list[int]]:
        if self.query.get("all"):
            return list(range(len(self.matrix.shelf.specs))), list(range(len(self.matrix.roster)))
        specs, welders = columns_shown(self.matrix, rows)
        welder, spec = (number_in(self.query.get(key, "")) for key in ("welder", "spec"))
        if welder is not None:
            welders = [n for n, file in enumerate(self.matrix.roster.files) if file.welder.pk == welder]
        if spec is not None:
            specs = [n for n, each in enumerate(self.matrix.shelf.specs) if each.pk == spec]
        return _most(self.matrix.specs, rows, specs), _most(self.matrix.welders.verdicts, rows, welders)

    def line(self, at: int, specs: Sequence[int], welders: Sequence[int]) -> MatrixLine:
        matrix, row, group = self.matrix, self.matrix.rows[at], self.matrix.groups[at]
        return MatrixLine(
            row,
            group,
            SHAPES[group],
            [self._spec(at, n) for n in specs],
            [self._welder(at, n) for n in welders],
            matrix.may(at),
            matrix.until[at],
        )

    def _spec(self, at: int, column: int) -> Cell:
        row, spec = self.matrix.rows[at], self.matrix.shelf.specs[column]
        verdict = Verdict(int(self.matrix.specs[at, column]))
        chosen = row.pieces if row.first.spec_number == spec.number else 0
        return self._cell(f"{row.first.pk}.s{spec.pk}", verdict, None, chosen)

    def _welder(self, at: int, column: int) -> Cell:
        row, welder = self.matrix.rows[at], self.matrix.roster.files[column].welder
        away = column in self.matrix.away
        verdict = Verdict.NOT_COVERED if away else Verdict(int(self.matrix.welders.verdicts[at, column]))
        until = None if away else self.matrix.lapses(at, column)
        days = (until - self.day).days if until is not None else None
        return self._cell(f"{row.first.pk}.w{welder.pk}", verdict, days, row.assigned.get(welder.pk, 0))

    def _cell(self, at: str, verdict: Verdict, days: int | None, assigned: int) -> Cell:
        key = "covered" if verdict <= Verdict.COVERED else verdict.key
        words = "Covered" if verdict <= Verdict.COVERED else verdict.words
        if days is not None:
            words = f"Covered, lapses in {days} days"
        return Cell(f"{self.link(at=at)}#opened", key, words, days, assigned, at == self.at)


def _most(verdicts: Any, rows: Sequence[int], columns: Sequence[int]) -> list[int]:
    """The columns that cover most of the rows, in their usual order."""
    if len(columns) <= MOST_COLUMNS:
        return list(columns)
    counts = (verdicts[list(rows)] <= Verdict.COVERED).sum(axis=0)
    return sorted(sorted(columns, key=lambda at: -counts[at])[:MOST_COLUMNS])


@reader_required
def matrix(request: HttpRequest, job: int) -> HttpResponse:
    """The matrix, filtered as the address says."""
    found = get_object_or_404(Job, pk=job)
    page = _Page(request, found)
    rows, made = page.rows(), page.matrix
    specs, welders = page.columns(rows)
    pages = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    opened = page.query.get("open", "")
    groups = []
    for group in GROUPS:
        mine = [at for at in pages if made.groups[at] == group]
        shown = mine if page.by_weld or opened in (group, "every") or len(mine) <= FEW + 4 else mine[:FEW]
        rest = mine[len(shown) :]
        if mine:
            groups.append(
                {
                    "heading": HEADINGS[group],
                    "details": len(mine),
                    "welds": sum(made.rows[at].pieces for at in mine),
                    "lines": [page.line(at, specs, welders) for at in shown],
                    "rest": len(rest),
                    "rest_welds": sum(made.rows[at].pieces for at in rest),
                    "rest_url": page.link(open=group),
                }
            )
    return render(request, "wps/matrix.html", _context(page, groups, specs, welders, pages, request))


def _context(
    page: _Page,
    groups: Sequence[dict[str, Any]],
    specs: Sequence[int],
    welders: Sequence[int],
    pages: Any,
    request: HttpRequest,
) -> dict[str, Any]:
    made = page.matrix
    total = sum(row.pieces for row in made.rows)
    covered = made.welds((COVERED, LAPSES))
    show = page.query.get("show", "")
    names = {"": "All", "not_covered": "Not covered", "lapses": "Lapses before the job ends"}
    tests = sorted({tested.record for file in made.roster.files for tested in file.ranges})
    away = next((f.welder for f in page.before.roster.files if f.welder.pk == page.supposed.away), None)
    return {
        "job": page.job,
        "today": page.day,
        "matrix": made,
        "groups": groups,
        "specs": [made.shelf.specs[at] for at in specs],
        "welders": [made.roster.files[at].welder for at in welders],
        "width": 3 + len(specs) + len(welders),
        "total": total,
        "covered": covered,
        "percent": 100 * covered // total if total else 0,
        "lapse": made.welds((LAPSES,)),
        "no_procedure": made.welds((NO_PROCEDURE,)),
        "no_welder": made.welds((NO_WELDER,)),
        "shows": [
            (page.link(show=key, page="", open=""), words, key == show, made.welds(SHOWS[key]))
            for key, words in names.items()
        ],
        "by_weld": page.by_weld,
        "other_url": page.link(by="" if page.by_weld else "weld", page=""),
        "all_url": page.link(all="" if page.query.get("all") else "1"),
        "shows_all": bool(page.query.get("all")),
        "close_url": page.link(),
        "query": page.query,
        "file_query": page.link(page="", open=""),
        "every_welder": [file.welder for file in page.before.roster.files],
        "every_test": tests,
        "every_spec": made.shelf.specs,
        "away": away,
        "lapsed": page.supposed.lapsed,
        "lost": lost(page.before, made) if page.supposed else [],
        "headings": HEADINGS,
        "pages": pages,
        "before_url": page.link(page=str(pages.number - 1)),
        "after_url": page.link(page=str(pages.number + 1)),
        "opened": _opened(page),
        "may_author": may_author(request.user),
    }


def _opened(page: _Page) -> dict[str, Any] | None:
    """What the opened cell says: the findings of the plain engine."""
    first, _, other = page.at.partition(".")
    part_pk, pk = number_in(first), number_in(other[1:])
    rows = [(n, row) for n, row in enumerate(page.matrix.rows) if row.first.pk == part_pk]
    if not rows or pk is None:
        return None
    number, row = rows[0]
    view = PartView.of(row.first, page.matrix.shelf)
    if other[0] == "s":
        spec = next((each for each in page.matrix.shelf.specs if each.pk == pk), None)
        if spec is None:
            return None
        fit = page.matrix.shelf.fit(view.drawn, spec, view.units)
        return {"row": row, "fit": fit, "spec": spec, "verdict": fit.verdict.key, "words": fit.sentence}
    files = tuple(each for each in page.matrix.roster.files if each.welder.pk == pk)
    if not files or other[0] != "w":
        return None
    ranked = view.ranking(Roster(page.matrix.roster.edition, files))
    said = in_words(ranked.answers(), view.units)[0]
    away = pk == page.supposed.away
    return {
        "row": row,
        "answers": [said],
        "welder": files[0].welder,
        "verdict": "not_covered" if away else said.verdict,
        "words": "Supposed to be away" if away else said.words,
        "limits": limits_in_words(view.weld, view.house, page.matrix.shelf.edition, view.units),
        "gaps": gaps(view.weld, ranked, view.units, view.house),
        "others": page.matrix.may(number) - (said.verdict == "covered"),
        "assigned": row.assigned.get(pk, 0),
    }


@reader_required
def matrix_file(request: HttpRequest, job: int) -> HttpResponse:
    """The whole matrix as a workbook: every procedure and every welder, whatever the page shows."""
    found = get_object_or_404(Job, pk=job)
    page = _Page(request, found)
    made = page.matrix
    first = "Weld" if page.by_weld else "Detail"
    heads = [first, "What is welded", "Welds", "Stands", "Until", "May weld"]
    heads += [f"WPS {spec.number}" for spec in made.shelf.specs]
    heads += [str(file.welder) for file in made.roster.files]
    rows = []
    for at in page.rows():
        row = made.rows[at]
        values: list[Any] = [row.name, row.words, row.pieces, HEADINGS[made.groups[at]]]
        until = made.until[at]
        values += [until.isoformat() if until else "", made.may(at)]
        values += [_verdict_words(int(each)) for each in made.specs[at]]
        values += [_welder_words(made, at, n) for n in range(len(made.roster))]
        rows.append(values)
    name = f"matrix-{found.number}.xlsx"
    return file_response(workbook(f"Matrix {found.number}", heads, rows), name, XLSX, as_attachment=True)


def _verdict_words(verdict: int) -> str:
    return "Covered" if verdict <= Verdict.COVERED else Verdict(verdict).words


def _welder_words(made: Matrix, at: int, column: int) -> str:
    if column in made.away:
        return "Away"
    words, until = _verdict_words(int(made.welders.verdicts[at, column])), made.welders.until[at][column]
    assigned = made.rows[at].assigned.get(made.roster.files[column].welder.pk, 0)
    said = f"{words} until {until}" if until else words
    return f"{said}; assigned to {assigned}" if assigned else said
