"""The matrix of a job: its details or welds against every procedure and every welder, at once."""

from __future__ import annotations

import json
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from qualification.evidence.kept import AnswerCache
from qualification.records.summaries import summary
from qualification.rules.core.findings import Verdict
from qualification.rules.ranges.at_once import Verdicts
from qualification.rules.variables.definition import RecordKind
from qualification.welders.matrix import WelderMatrix, welder_matrix, without_test
from qualification.welders.who_may_weld import Roster
from wps.jobs.board import Board, what_it_says
from wps.jobs.part_view import PartView
from wps.models import Job, Part
from wps.procedures.offers import verdicts_at_once
from wps.procedures.procedure_match import ApprovedProcedures

NO_PROCEDURE, NO_WELDER, LAPSES, COVERED = "no_procedure", "no_welder", "lapses", "covered"
GROUPS = (NO_PROCEDURE, NO_WELDER, LAPSES, COVERED)


@dataclass(frozen=True)
class MatrixRow:
    """Welds that say the same and are made by the same procedure: one row for all of them."""

    first: Part
    parts: tuple[Part, ...]
    name: str
    """Number of the detail, else the marks."""
    words: str

    @property
    def pieces(self) -> int:
        return len(self.parts)

    @property
    def assigned(self) -> dict[int, int]:
        """How many of the welds each welder is assigned to."""
        found: dict[int, int] = {}
        for part in self.parts:
            if part.welder_id is not None:
                found[part.welder_id] = found.get(part.welder_id, 0) + 1
        return found


@dataclass(frozen=True)
class Supposed:
    """What is supposed not to be there."""

    away: int | None = None
    """Id of a welder."""
    lapsed: str = ""
    """Number of a test."""

    def __bool__(self) -> bool:
        return self.away is not None or bool(self.lapsed)


@dataclass(frozen=True)
class Matrix:
    """All answers. Columns are the procedures of the shelf and the welders of the roster, in their order."""

    job: Job
    day: date
    shelf: ApprovedProcedures
    roster: Roster
    rows: tuple[MatrixRow, ...]
    specs: Verdicts
    welders: WelderMatrix
    away: frozenset[int]
    """Columns of welders who are away: their answers do not count."""
    groups: tuple[str, ...]
    """Of each row, how it stands."""
    until: tuple[date | None, ...]
    """Of each row, the first day on which somebody assigned to it lapses, else the last on which somebody may
    still weld it; `None` where none does."""

    def may(self, row: int) -> int:
        """How many welders may make the row's welds."""
        return int(sum(self.is_covered(row, at) for at in range(len(self.roster))))

    def is_covered(self, row: int, at: int) -> bool:
        return at not in self.away and bool(self.welders.verdicts[row, at] <= Verdict.COVERED)

    def lapses(self, row: int, at: int) -> date | None:
        """The day on which that welder lapses, where it is before the job ends."""
        end, until = self.job.ends_on, self.welders.until[row][at]
        return until if until is not None and end is not None and until < end else None

    def welds(self, groups: Iterable[str]) -> int:
        return sum(row.pieces for row, group in zip(self.rows, self.groups, strict=True) if group in groups)


def rows_of(parts: Sequence[Part], *, by_weld: bool = False) -> list[MatrixRow]:
    """Welds together that say the same, are made by the same procedure and follow the same detail."""
    alike: dict[str, list[Part]] = {}
    for part in parts:
        says = [part.joint, part.lines, part.units, part.spec_number, part.detail_id, by_weld and part.pk]
        alike.setdefault(json.dumps(says, sort_keys=True), []).append(part)
    words: dict[str, str] = {}
    found = []
    for same in alike.values():
        first = same[0]
        facts = json.dumps([first.joint, first.lines, first.units], sort_keys=True)
        if facts not in words:
            words[facts] = summary(first.joint, first.lines, first.units, RecordKind.PART)
        found.append(MatrixRow(first, tuple(same), _name(same, by_weld=by_weld), first.title or words[facts]))
    return sorted(found, key=lambda row: (row.name, row.first.mark))


def _name(parts: Sequence[Part], *, by_weld: bool) -> str:
    first = parts[0]
    if by_weld:
        return first.mark
    if first.detail is not None:
        return first.detail.number
    return first.mark if len(parts) == 1 else f"{first.mark} and {len(parts) - 1} more"


def matrix_of(job: Job, day: date, *, by_weld: bool = False, supposed: Supposed = Supposed()) -> Matrix:
    """Every answer of the job on a day, as the pages of its welds give them one by one; kept while nothing
    changes that decides it."""
    parts = list(job.parts.select_related("detail").order_by("mark"))
    for part in parts:
        part.job = job
    welds = tuple(_says(part) for part in parts)
    key = (job.pk, job.customer, job.edition, job.welder_edition, job.ends_on, day, by_weld, supposed, welds)
    return _matrices.of(key, lambda: _worked_out(job, parts, day, by_weld, supposed))


_matrices: AnswerCache[Matrix] = AnswerCache(8)


def _says(part: Part) -> tuple[Hashable, ...]:
    detail = part.detail.number if part.detail else ""
    return what_it_says(part), part.pk, part.mark, part.title, detail, part.welder_id


def _worked_out(job: Job, parts: Sequence[Part], day: date, by_weld: bool, supposed: Supposed) -> Matrix:
    board = Board.of(job, day)
    shelf, rows = board.shelf, rows_of(parts, by_weld=by_weld)
    views = [PartView.of(row.first, shelf) for row in rows]
    drawn = [(view.drawn, view.units) for view in views]
    specs = verdicts_at_once(shelf, drawn, without=supposed.lapsed)
    asked = board.asked if rows else Roster(shelf.for_welders, ())
    if supposed.lapsed:
        asked = without_test(asked, supposed.lapsed)
    welders = welder_matrix([(view.weld, view.house) for view in views], asked, shelf.edition)
    away = frozenset(at for at, file in enumerate(asked.files) if file.welder.pk == supposed.away)
    made = Matrix(job, day, shelf, asked, tuple(rows), specs, welders, away, (), ())
    until = tuple(_until(made, at) for at in range(len(rows)))
    made = replace(made, until=until)
    return replace(made, groups=tuple(_group(made, at) for at in range(len(rows))))


def _until(matrix: Matrix, row: int) -> date | None:
    columns = [at for at in range(len(matrix.roster)) if matrix.is_covered(row, at)]
    assigned = matrix.rows[row].assigned
    mine = [at for at in columns if matrix.roster.files[at].welder.pk in assigned]
    days = [matrix.welders.until[row][at] for at in mine or columns]
    known = [day for day in days if day is not None]
    if mine:
        return min(known, default=None)
    return max(known, default=None) if len(known) == len(days) else None


def _group(matrix: Matrix, row: int) -> str:
    part, specs = matrix.rows[row].first, matrix.specs[row]
    chosen = [spec.number == part.spec_number for spec in matrix.shelf.specs]
    fits = specs[np.array(chosen, bool)] if part.spec_number else specs
    if not (fits <= Verdict.COVERED).any():
        return NO_PROCEDURE
    if not matrix.may(row):
        return NO_WELDER
    assigned = set(matrix.rows[row].assigned)
    columns = {file.welder.pk: at for at, file in enumerate(matrix.roster.files)}
    if any(pk not in columns or not matrix.is_covered(row, columns[pk]) for pk in assigned):
        return NO_WELDER
    until, end = matrix.until[row], matrix.job.ends_on
    return LAPSES if end is not None and until is not None and until < end else COVERED


def columns_shown(matrix: Matrix, rows: Sequence[int]) -> tuple[list[int], list[int]]:
    """Procedures that cover one of these rows or may yet, and welders who may make one, are assigned to one,
    or may yet; those that cover most come first, in their usual order."""
    specs = [at for at in range(len(matrix.shelf.specs)) if _speaks(matrix.specs, rows, at)]
    assigned = {pk for row in rows for pk in matrix.rows[row].assigned}
    welders = [
        at
        for at, file in enumerate(matrix.roster.files)
        if file.welder.pk in assigned or _speaks(matrix.welders.verdicts, rows, at)
    ]
    return specs, welders


def _speaks(verdicts: Verdicts, rows: Sequence[int], at: int) -> bool:
    return bool((verdicts[list(rows), at] < Verdict.NOT_COVERED).any()) if rows else False


def lost(before: Matrix, after: Matrix) -> list[tuple[MatrixRow, str]]:
    """Rows that stand worse under a supposition, and how."""
    worse = []
    for row, old, new in zip(before.rows, before.groups, after.groups, strict=True):
        if GROUPS.index(new) < GROUPS.index(old):
            worse.append((row, new))
    return worse
