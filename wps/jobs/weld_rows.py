"""Rows of a list held against the welds or details of a job: what each would add or change, and every cell
that cannot be read. Nothing is stored here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from qualification.models import State, Welder
from qualification.records.summaries import summary
from qualification.records.value_changes import changes_between, values_of
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.reading import EntryError, plain, read_weld
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from wps.jobs.assignments import SPEC, WELDER, AssignmentRefused, Judge, settle
from wps.jobs.details import NOTHING_OWN, facts_of, own_of, take_from
from wps.jobs.weld_cells import COLUMN_OF, CellEntries, said_by
from wps.jobs.weld_columns import DETAILS, WELDS
from wps.models import Detail, Job, Part, Spec

LABELS = {
    "mark": "mark",
    "number": "number",
    "title": "title",
    "units": "units",
    "spec_number": "WPS",
    "detail": "detail",
    "detail_id": "detail",
    "drawing": "drawing",
    "drawing_revision": "drawing revision",
    "length": "length",
    "quantity": "quantity",
    "inspection_class": "inspection class",
    "access": "access",
    "welder": "welder",
    "welder_id": "welder",
    "reason": "reason for an exception",
    "joint": "joint",
    "metal": "base metal",
    "thickness": "thickness",
    "size": "size",
}
NEVER_EMPTY = ("mark", "number", "title")
UNKNOWN_CHOICE = {
    "spec_number": "WPS “{}” has no approved revision. Choose an approved one, or leave it empty.",
    "welder": "Welder “{}” is not an active welder of the shop. Enter a stamp or a full name.",
}


@dataclass(frozen=True)
class CellProblem:
    """What keeps one cell from being imported."""

    column: str
    """Key of its column."""
    words: str


@dataclass
class RowRead:
    """What one row would do."""

    number: int
    mark: str
    thing: Part | Detail
    is_new: bool
    problems: list[CellProblem] = field(default_factory=list)
    changes: dict[str, list[Any]] = field(default_factory=dict)
    shown: Mapping[int, str] = field(default_factory=dict)
    """Numbers of details by their ids, for the words of a change."""

    @property
    def does(self) -> str:
        """`Adds it, 4 pieces`, `Changes thickness of side A: 1/4 to 5/16`; empty where nothing changes."""
        if self.is_new:
            pieces = getattr(self.thing, "quantity", 1)
            return "Adds it" if pieces == 1 else f"Adds it, {pieces} pieces"
        said = [
            f"{_label(name)}: {self._words(name, old)} to {self._words(name, new)}"
            for name, (old, new) in self.changes.items()
            if not name.startswith("despite")
        ]
        return f"Changes {'; '.join(said)}" if said else ""

    def _words(self, name: str, value: Any) -> str:
        if value in (None, "", [], {}):
            return "nothing"
        if name == "detail_id":
            return self.shown.get(value, str(value))
        return "; ".join(map(str, value)) if isinstance(value, list) else str(value)


class RowReader:
    """Reads rows for one job."""

    def __init__(self, job: Job, target: str, units: str, day: date, who: str) -> None:
        self.job, self.target, self.units, self.who = job, target, units, who
        self.judge = Judge(job, day)
        self.details = {each.number.casefold(): each for each in job.details.all()}
        self.by_id = {each.pk: each for each in self.details.values()}
        self.numbers = {each.pk: each.number for each in self.details.values()}
        self.kept: dict[str, Part | Detail] = dict(self.details) if target == DETAILS else {}
        if target == WELDS:
            for part in job.parts.select_related("detail", "welder"):
                part.job = job
                self.kept[part.mark.casefold()] = part
        self.specs = {
            number.casefold(): number
            for number in Spec.objects.filter(state=State.APPROVED).values_list("number", flat=True)
        }
        active = list(Welder.objects.filter(active=True))
        self.welders = {name.casefold(): each for each in active for name in (each.name, str(each))}
        self.welders |= {each.stamp.casefold(): each for each in active}
        self.seen: dict[str, int] = {}
        self.titles: dict[str, str] = {}

    def read(self, number: int, cells: Mapping[str, str]) -> RowRead:
        """A row of a list, its cells by the keys of their columns. A blank cell leaves what is there."""
        cells = {key: " ".join(text.split()) for key, text in cells.items() if text.strip()}
        mark = cells.pop("mark", "")
        stored = self.kept.get(mark.casefold())
        row = RowRead(number, mark, stored or self._new(), stored is None, shown=self.numbers)
        if not mark:
            words = "Mark is empty. Enter the weld mark, or leave the row out."
            row.problems.append(CellProblem("mark", words))
        elif (first := self.seen.setdefault(mark.casefold(), number)) != number:
            words = f"Mark {mark} is also in row {first}. Leave one of them out."
            row.problems.append(CellProblem("mark", words))
        self.fill(row, {"mark": mark, **cells} if stored is None and mark else cells)
        return row

    def fill(self, row: RowRead, cells: Mapping[str, str], cleared: Sequence[str] = ()) -> None:
        """Write cells into the weld of the row; `cleared` are columns that were emptied, which take the
        entry of the detail again."""
        thing = row.thing
        before = values_of(thing)
        if isinstance(thing, Part) and "detail" in cells:
            self._take_detail(row, thing, cells["detail"])
        typed: dict[str, str] = {}
        for key, text in _joint_first(cells):
            if key in ("detail", "reason"):
                continue
            try:
                said = said_by(key, text, self.units, thing.units, _weld_type(thing))
            except EntryError as error:
                row.problems.append(CellProblem(key, f"{column_label(key)}: {error}"))
                continue
            self._write(row, said)
            typed |= dict.fromkeys([*said.joint, *said.line], key)
        for key in cleared:
            self._clear(row, key)
        if typed:
            self._read_together(row, typed)
        if isinstance(thing, Part):
            if not thing.title:
                thing.title = self._title(thing)
            if not row.problems:
                self._settle(row, thing, cells.get("reason", ""), before)
        row.changes = changes_between(before, values_of(thing))

    def _new(self) -> Part | Detail:
        if self.target == DETAILS:
            return Detail(job=self.job, units=self.units)
        return Part(job=self.job, units=self.units)

    def _take_detail(self, row: RowRead, part: Part, text: str) -> None:
        detail = self.details.get(text.casefold())
        if detail is None:
            words = f"Detail “{text}” is not among the details of the job. Add it there first, or correct it."
            row.problems.append(CellProblem("detail", words))
            return
        if part.detail_id == detail.pk:
            return
        was = self.by_id.get(part.detail_id or 0)
        own = own_of(part, was) if was else NOTHING_OWN
        if part.units != detail.units and own != NOTHING_OWN and (own.keys or own.whole_lines is not None):
            words = (
                f"Detail {detail.number} is kept in other units than the weld, which has entries of its own."
                " Choose a detail in the same units."
            )
            row.problems.append(CellProblem("detail", words))
            return
        take_from(part, detail, own)

    def _write(self, row: RowRead, said: CellEntries) -> None:
        thing = row.thing
        for name, value in said.head.items():
            if name in UNKNOWN_CHOICE:
                self._choose(row, name, str(value))
            else:
                setattr(thing, "number" if name == "mark" and self.target == DETAILS else name, value)
        if said.joint:
            thing.joint = {**thing.joint, **said.joint}
        if said.line:
            first, *others = thing.lines or [{}]
            thing.lines = [{**first, **said.line}, *others]

    def _clear(self, row: RowRead, key: str) -> None:
        thing = row.thing
        if key in NEVER_EMPTY:
            words = f"{column_label(key)} is empty. Enter it."
            row.problems.append(CellProblem(key, words))
        elif key in ("welder", "detail"):
            setattr(thing, key, None)
        elif key == "quantity" and isinstance(thing, Part):
            thing.quantity = 1
        elif key in ("spec_number", "drawing", "drawing_revision", "length", "inspection_class", "access"):
            setattr(thing, key, "")
        else:
            self._clear_entries(thing, key)

    def _clear_entries(self, thing: Part | Detail, key: str) -> None:
        """Take entries away; those of a detail stand there again."""
        names = {key, *(name for name, column in COLUMN_OF.items() if column == key)}
        detail = self.by_id.get(getattr(thing, "detail_id", None) or 0)
        its = detail.joint if detail else {}
        kept = {name: entry for name, entry in thing.joint.items() if name not in names}
        thing.joint = {**kept, **{name: its[name] for name in its if name in names}}
        if thing.lines:
            first, *others = thing.lines
            its = detail.lines[0] if detail and detail.lines else {}
            kept = {name: entry for name, entry in first.items() if name not in names}
            thing.lines = [{**kept, **{name: its[name] for name in its if name in names}}, *others]

    def _choose(self, row: RowRead, name: str, text: str) -> None:
        known: Mapping[str, Any] = self.specs if name == "spec_number" else self.welders
        found = known.get(text.casefold())
        if found is None:
            row.problems.append(CellProblem(name, UNKNOWN_CHOICE[name].format(text)))
        elif isinstance(row.thing, Part):
            setattr(row.thing, name, found)

    def _read_together(self, row: RowRead, typed: Mapping[str, str]) -> None:
        """What the readers say of the cells once they stand beside each other."""
        thing = row.thing
        told = {problem.column for problem in row.problems}
        for problem in read_weld(thing.joint, thing.lines, RecordKind.PART, thing.units).problems:
            column = typed.get(problem.key)
            if column is not None and column not in told and not problem.line:
                row.problems.append(CellProblem(column, problem.message))
                told.add(column)

    def _title(self, part: Part) -> str:
        detail = self.by_id.get(part.detail_id or 0)
        if detail and detail.title:
            return detail.title
        says = facts_of(part)
        if says not in self.titles:
            self.titles[says] = summary(part.joint, part.lines, part.units, RecordKind.PART)[:160]
        return self.titles[says] or part.mark

    def _settle(self, row: RowRead, part: Part, reason: str, before: Mapping[str, Any]) -> None:
        """An assignment that is made here is held against coverage; one that was made before stays, and is
        judged again where it is shown."""
        after = values_of(part)
        for what, column, name in ((SPEC, "spec_number", "spec_number"), (WELDER, "welder", "welder_id")):
            is_made = after[name] and (row.is_new or before[name] != after[name] or reason)
            if not is_made and (after[name] or what not in part.despite):
                continue
            try:
                settle(part, self.judge, reason, self.who, only=(what,))
            except AssignmentRefused as refused:
                row.problems.append(CellProblem(column, str(refused)))


def _joint_first(cells: Mapping[str, str]) -> Sequence[tuple[str, str]]:
    """What says whether it is a groove or a fillet is read before what depends on it."""
    order = {"joint": 0, "weld_type": 0, "position": 2, "size": 3}
    return sorted(cells.items(), key=lambda each: order.get(each[0], 1))


def _weld_type(thing: Part | Detail) -> str:
    said = plain(thing.joint.get("weld_type", ""))
    return said if said in ("groove", "fillet") else ""


def column_label(key: str) -> str:
    """The name of a column at the beginning of a sentence."""
    said = LABELS.get(key) or (registry()[key].label if key in registry() else key)
    return said[:1].upper() + said[1:]


def _label(name: str) -> str:
    if not name.startswith(("joint", "lines")):
        return LABELS.get(name, name)
    key = name.split(".")[-1]
    return within_sentence(registry()[key].label) if key in registry() else "process lines"
