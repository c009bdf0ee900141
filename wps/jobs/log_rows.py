"""Rows of a log kept elsewhere, such as a spreadsheet of the shop floor, held against a job's own log.
Nothing is stored here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from qualification.models import Welder
from qualification.roles import Person
from wps.documents.weld_standing import WeldStatus, standings_of_job
from wps.jobs.weld_log import Entry, LogRefused, Writer, told
from wps.jobs.weld_rows import CellProblem
from wps.models import Job, Lot, Part, Result, Step
from wps.models.weld_log import METHODS
from wps.reading.days import NotADay, day_comes_first, read_day

DAYS = ("welded_on", "fit_up_on", "visual_on", "nde_on")
RESULTS = {
    **dict.fromkeys(("accept", "accepted", "acc", "ok", "pass", "passed", "a"), Result.ACCEPTED),
    **dict.fromkeys(("reject", "rejected", "rej", "fail", "failed", "repair", "r"), Result.REJECTED),
}
METHOD_KEYS = {name.casefold(): key for key, label in METHODS for name in (key, label)}


@dataclass
class LogRow:
    """What one row would log."""

    number: int
    mark: str
    thing: Part | None
    problems: list[CellProblem] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    does: str = ""

    @property
    def is_new(self) -> bool:
        return bool(self.entries)

    @property
    def changes(self) -> dict[str, Any]:
        return {"log": [self.does]} if self.entries else {}


class LogReader:
    """Reads rows for the log of one job."""

    def __init__(self, job: Job, person: Person, columns: Mapping[str, Sequence[str]]) -> None:
        """`columns` are the texts of each column, from which the order of day and month is told."""
        self.writer = Writer(job, person)
        parts = list(job.parts.select_related("detail", "welder"))
        for part in parts:
            part.job = job
        self.standings = {each.part.mark.casefold(): each for each in standings_of_job(job, parts)}
        active = list(Welder.objects.filter(active=True))
        self.welders = {name.casefold(): each for each in active for name in (each.name, str(each))}
        self.welders |= {each.stamp.casefold(): each for each in active}
        self.lots = {lot.number.casefold(): lot for lot in Lot.objects.all()}
        self.day_first = {key: day_comes_first(columns.get(key, ())) for key in DAYS}

    def read(self, number: int, cells: Mapping[str, str]) -> LogRow:
        """A row; what is in the log already is left as it is."""
        cells = {key: " ".join(text.split()) for key, text in cells.items() if text.strip()}
        mark = cells.get("mark", "")
        standing = self.standings.get(mark.casefold())
        row = LogRow(number, mark, standing.part if standing else None)
        if standing is None:
            words = f"Mark “{mark}” is not a weld of this job. Correct it, or add the weld first."
            row.problems.append(CellProblem("mark", words if mark else "Mark is empty. Enter the weld mark."))
            return row
        values = self._values(row, cells)
        if not row.problems:
            self._log(row, standing, values)
        return row

    def _values(self, row: LogRow, cells: Mapping[str, str]) -> dict[str, Any]:
        values: dict[str, Any] = dict(cells)
        for key in DAYS:
            if key in cells:
                try:
                    values[key] = read_day(cells[key], self.day_first[key])
                except NotADay as problem:
                    row.problems.append(CellProblem(key, str(problem)))
        for key, known, words in (
            ("welder", self.welders, "is not an active welder of the shop. Enter a stamp or a full name."),
            ("visual", RESULTS, "is not a result. Write accepted or rejected."),
            ("nde", RESULTS, "is not a result. Write accepted or rejected."),
            ("nde_method", METHOD_KEYS, "is not a method. Write PT, MT, RT, UT or LT."),
        ):
            if key in cells and (found := known.get(cells[key].casefold().rstrip("."))) is not None:
                values[key] = found
            elif key in cells:
                row.problems.append(CellProblem(key, f"“{cells[key]}” {words}"))
        values["lots"] = self._lots(row, cells.get("lot", ""))
        return values

    def _lots(self, row: LogRow, text: str) -> list[Lot]:
        found = []
        for piece in (each.strip() for each in text.replace(";", ",").split(",")):
            if not piece:
                continue
            lot = self.lots.get(piece.casefold())
            if lot is None:
                words = f"Lot “{piece}” is not on file. Receive it under Lots and heats first, or correct it."
                row.problems.append(CellProblem("lot", words))
            else:
                found.append(lot)
        return found

    def _log(self, row: LogRow, standing: WeldStatus, values: Mapping[str, Any]) -> None:
        said = []
        for column, entry in self._entries(row, standing.part, values):
            if _is_logged(entry, standing):
                continue
            try:
                said.append(told(self.writer.check(entry, standing)))
            except LogRefused as why:
                row.problems.append(CellProblem(column, str(why)))
                return
            row.entries.append(entry)
        row.does = f"Logs {'; '.join(said)}" if said else ""

    def _entries(self, row: LogRow, part: Part, values: Mapping[str, Any]) -> list[tuple[str, Entry]]:
        welded: date | None = values.get("welded_on")
        found: list[tuple[str, Entry]] = []

        def add(column: str, step: str, day: date | None, **more: Any) -> None:
            if day is None:
                row.problems.append(CellProblem(column, "The day is not given. Match or fill in its column."))
            else:
                found.append((column, Entry(part, step, day, **more)))

        if by := values.get("fit_up_by"):
            add("fit_up_by", Step.FIT_UP, values.get("fit_up_on") or welded, by_name=by[:120])
        if who := values.get("welder"):
            add(
                "welder",
                Step.WELDED,
                welded,
                welder=who,
                lots=values["lots"],
                gas=values.get("gas", "")[:80],
                reason=values.get("reason", ""),
                note=values.get("note", "")[:300],
            )
        if result := values.get("visual"):
            day, by = values.get("visual_on") or welded, values.get("visual_by", "")[:120]
            add("visual", Step.VISUAL, day, by_name=by, result=result)
        if method := values.get("nde_method"):
            day, result = values.get("nde_on") or welded, values.get("nde")
            report = values.get("report", "")[:80]
            add("nde_method", Step.NDE_ASKED, day, method=method)
            if result:
                add("nde", Step.NDE, day, method=method, result=result, report=report)
        return [] if row.problems else found


def _is_logged(entry: Entry, standing: WeldStatus) -> bool:
    """Whether the log says the same already."""
    return any(
        event.step == entry.step
        and event.done_on == entry.done_on
        and event.welder_id == (entry.welder.pk if entry.welder else None)
        and event.method == entry.method
        and event.result == entry.result
        for event in standing.events
    )
