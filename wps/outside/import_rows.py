"""Rows of a list of welders, uses, tests or procedures: what each would add, every cell that cannot be read,
and what the row does not say. Nothing is stored here, and nothing is made up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from qualification.codes.editions import available_editions
from qualification.models import ProcedureTest, Record, Welder, WelderTest
from qualification.models.welder import OPERATIONS
from qualification.rules.entries.position_entries import names_in
from qualification.rules.entries.reading import EntryError, plain, read_weld
from qualification.rules.variables.definition import PROCESSES, RecordKind
from qualification.rules.variables.registry import registry
from qualification.welders.changes import NewUse as UseOf
from wps.jobs.weld_cells import CellEntries, said_by
from wps.jobs.weld_rows import CellProblem
from wps.models import ListImport, Spec
from wps.outside.import_columns import (
    DAYS,
    NEEDED,
    RECORDS,
    TESTS,
    USES,
    WELDER_TESTS,
    WELDERS,
    columns_for,
)
from wps.reading.days import NotADay, day_comes_first, read_day

MODELS: dict[str, type[Record]] = {WELDER_TESTS: WelderTest, TESTS: ProcedureTest, "procedures": Spec}
MOST = {
    "name": 120,
    "stamp": 20,
    "born_at": 120,
    "identified_by": 120,
    "number": 40,
    "title": 120,
    "customer": 120,
    "spec_followed": 60,
    "laboratory": 120,
    "report_number": 60,
    "witness": 120,
    "evidence": 200,
    "notes": 4000,
    "result": 1000,
}
"""Longest text of plain columns."""
ON_PAPER = "As recorded on paper."
_YES, _NO = (
    frozenset({"yes", "y", "active", "true", "1", "current"}),
    frozenset({"no", "n", "left", "inactive", "false", "0"}),
)
_WORDS = ("joint", "metal", "thickness", "position")


@dataclass
class RowRead:
    """What one row would do."""

    number: int
    name: str = ""
    thing: Any = None
    is_new: bool = True
    problems: list[CellProblem] = field(default_factory=list)
    lacks: list[str] = field(default_factory=list)
    """What a record of its kind says and the row does not, in words."""
    tests: list[ProcedureTest] = field(default_factory=list)

    @property
    def does(self) -> str:
        return f"Adds {self.name}" if self.is_new else ""

    def refuse(self, column: str, words: str) -> None:
        self.problems.append(CellProblem(column, words))


class ListReader:
    """Reads the rows of one list, each against the shop and against the rows before."""

    def __init__(self, listed: ListImport, day: date) -> None:
        self.listed, self.target, self.day = listed, listed.target, day
        self.labels = {column.key: column.label for column in columns_for(self.target)}
        self.seen: dict[object, int] = {}
        everybody = list(Welder.objects.all())
        self.stamps = {each.stamp.casefold(): each for each in everybody}
        self.names: dict[str, list[Welder]] = {}
        for each in everybody:
            for name in (each.name, str(each)):
                self.names.setdefault(name.casefold(), []).append(each)
        self.editions = _editions()
        texts: dict[str, list[str]] = {}
        for _, *cells in listed.rows:
            for key, cell in zip(listed.columns, cells, strict=False):
                if key in DAYS:
                    texts.setdefault(key, []).append(cell if isinstance(cell, str) else cell[0])
        self.day_first = {key: day_comes_first(column) for key, column in texts.items()}
        self.stored = {
            each.number.casefold(): each
            for each in (MODELS[self.target].objects.defer("snapshot") if self.target in MODELS else ())
        }
        self.procedure_tests = {
            each.number.casefold(): each
            for each in (
                ProcedureTest.objects.defer("snapshot").order_by("revision")
                if self.target == "procedures"
                else ()
            )
        }
        self.uses = set(_uses_on_file()) if self.target == USES else set()

    def read(self, number: int, cells: Mapping[str, str]) -> RowRead:
        """One row, its cells by the keys of their columns."""
        said = {key: " ".join(text.split()) for key, text in cells.items() if text.strip()}
        row = RowRead(number)
        for key in NEEDED[self.target]:
            if key not in said:
                row.refuse(key, f"{self.labels[key]} is empty. Enter it, or leave the row out.")
        for key, text in said.items():
            if len(text) > MOST.get(key, 4000):
                row.refuse(
                    key, f"{self.labels[key]} is {len(text)} characters long; write at most {MOST[key]}."
                )
        if not row.problems:
            _KINDS[self.target](self, row, said)
        return row

    # Words of single cells

    def day_of(self, row: RowRead, key: str, said: Mapping[str, str], *, past: bool = True) -> date | None:
        if key not in said:
            return None
        try:
            found = read_day(said[key], self.day_first.get(key))
        except NotADay as problem:
            row.refuse(key, f"{self.labels[key]}: {problem}")
            return None
        if past and found > self.day:
            row.refuse(key, f"{self.labels[key]}: {found} is in the future. Correct the date.")
            return None
        return found

    def welder_of(self, row: RowRead, said: Mapping[str, str]) -> Welder | None:
        text = said.get("welder", "")
        if not text:
            return None
        found = self.stamps.get(text.casefold())
        named = [found] if found else self.names.get(text.casefold(), [])
        if len(named) == 1:
            return named[0]
        why = (
            "is the name of several welders. Write the stamp"
            if named
            else ("is nobody's stamp or full name here. Import or add the welder first, or correct the cell")
        )
        row.refuse("welder", f"Welder “{text}” {why}.")
        return None

    def edition_of(self, row: RowRead, said: Mapping[str, str]) -> str:
        text = said.get("edition", "")
        if not text:
            return self.listed.edition
        found = self.editions.get(_bare(text), [])
        if len(found) == 1:
            return found[0]
        years = "; ".join(sorted(found)) if found else "; ".join(sorted(dict(available_editions()).values()))
        row.refuse(
            "edition",
            f"Code edition “{text}” {'names several editions' if found else 'has no tables here'}."
            f" Write one of: {years}.",
        )
        return ""

    def repeats(self, row: RowRead, column: str, key: object, words: str) -> bool:
        first = self.seen.setdefault(key, row.number)
        if first != row.number:
            row.refuse(column, f"{words} is also in row {first}. Leave one of them out.")
        return first != row.number

    def on_file(self, row: RowRead, column: str, name: str, differs: Sequence[str]) -> None:
        """A thing that is there already: as it is, or a problem where the row says otherwise."""
        row.is_new = False
        if differs:
            row.refuse(
                column,
                f"{name} is on file already, and the row says otherwise of: {'; '.join(differs)}. An import"
                " adds and never changes. Leave the row out, or change the record itself.",
            )


def _editions() -> dict[str, list[str]]:
    """Editions by the ways their names are written: with and without the year where there is one of it."""
    found: dict[str, list[str]] = {}
    for key, name in available_editions():
        for written in {_bare(key), _bare(name), _bare(name).rstrip("0123456789")}:
            found.setdefault(written, []).append(key)
    return found


def _bare(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def _uses_on_file() -> list[tuple[int, str, str, date]]:
    from_log = Welder.objects.filter(uses__struck_because="").values_list(
        "pk", "uses__process", "uses__operation", "uses__used_on"
    )
    return list(from_log)


def _welder(reader: ListReader, row: RowRead, said: Mapping[str, str]) -> None:
    name, stamp = said["name"], said["stamp"]
    row.name = f"{name} ({stamp})"
    born_on, active = reader.day_of(row, "born_on", said), said.get("active", "yes").casefold()
    if active not in _YES | _NO:
        row.refuse("active", f"Active: “{said['active']}” is neither yes nor no.")
    if reader.repeats(row, "stamp", stamp.casefold(), f"Stamp {stamp}"):
        return
    texts = {key: said.get(key, "") for key in ("born_at", "identified_by", "notes")}
    stored = reader.stamps.get(stamp.casefold())
    if stored is not None:
        typed = {"name": name, **({"born_on": born_on} if born_on else {})}
        typed |= {key: text for key, text in texts.items() if text}
        differs = [reader.labels[key] for key, value in typed.items() if getattr(stored, key) != value]
        reader.on_file(row, "stamp", f"Stamp {stamp}", differs)
        return
    row.thing = Welder(name=name, stamp=stamp, born_on=born_on, active=active in _YES, **texts)


def _use(reader: ListReader, row: RowRead, said: Mapping[str, str]) -> None:
    welder, used_on = reader.welder_of(row, said), reader.day_of(row, "used_on", said)
    process = said["process"].upper()
    if process not in PROCESSES:
        row.refuse("process", f"Process: “{said['process']}” is none of {', '.join(PROCESSES)}.")
    operation = next(
        (
            key
            for key, label in OPERATIONS
            if said["operation"].casefold() in (key, label.casefold(), key.replace("semiautomatic", "semi"))
        ),
        "",
    )
    if not operation:
        names = ", ".join(label for _, label in OPERATIONS)
        row.refuse("operation", f"Operation: “{said['operation']}” is none of {names}.")
    if row.problems or welder is None or used_on is None:
        return
    key = (welder.pk, process, operation, used_on)
    row.name = f"{process} by {welder} on {used_on}"
    if reader.repeats(row, "used_on", key, row.name):
        return
    evidence = said.get("evidence", "")
    if not evidence:
        evidence = f"Row {row.number} of {reader.listed.filename}"[:200]
        row.lacks.append("evidence; the row of the list is named instead")
    row.is_new = key not in reader.uses
    row.thing = UseOf(welder, process, operation, used_on, evidence)


def _record(reader: ListReader, row: RowRead, said: Mapping[str, str]) -> None:
    number, use = said["number"], RECORDS[reader.target]
    row.name = number
    welder, welded_on = reader.welder_of(row, said), reader.day_of(row, "welded_on", said)
    edition = reader.edition_of(row, said)
    joint, lines = _entries(reader, row, said, use)
    tests = _tests(reader, row, said)
    if reader.repeats(row, "number", number.casefold(), f"Number {number}") or row.problems:
        return
    heads: dict[str, Any] = {
        key: said[key]
        for key in ("title", "customer", "spec_followed", "laboratory", "report_number", "witness")
        if key in said
    }
    if use is not RecordKind.SPEC:
        heads |= {"welded_on": welded_on, "welder": welder}
    stored = reader.stored.get(number.casefold())
    if stored is not None:
        said_so = {"joint": joint, "lines": lines, "edition": edition, **heads}
        differs = [
            _LABELS.get(key, key) for key, value in said_so.items() if value and getattr(stored, key) != value
        ]
        row.name = stored.number
        reader.on_file(row, "number", number, differs)
        return
    where = f"Imported from {reader.listed.filename}, row {row.number}."
    result = f"Results on the paper: {said['result']}" if "result" in said else ""
    notes = "\n".join(text for text in (said.get("notes", ""), result, f"{ON_PAPER} {where}") if text)
    row.thing = MODELS[reader.target](
        number=number,
        edition=edition,
        units=reader.listed.units,
        joint=joint,
        lines=lines,
        notes=notes,
        **heads,
    )
    row.tests = tests
    row.lacks = _lacks(row.thing, use, tests)


_LABELS = {"joint": "joint", "lines": "process", "edition": "code edition", "welded_on": "day of welding"}


def _entries(
    reader: ListReader, row: RowRead, said: Mapping[str, str], use: RecordKind
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The entries of the joint, and of each process that a cell speaks of."""
    joint: dict[str, Any] = {}
    lines: dict[int, dict[str, Any]] = {}
    typed: dict[str, str] = {}
    order = {"joint": 0, "0:weld_type": 0, "position": 2}
    for column, text in sorted(said.items(), key=lambda each: order.get(each[0], 1)):
        line, _, key = column.partition(":") if ":" in column else ("0", "", column)
        if column not in _WORDS and ":" not in column:
            continue
        try:
            found = _said(key, text, reader.listed.units, plain(joint.get("weld_type", "")), use)
        except EntryError as problem:
            row.refuse(column, f"{reader.labels[column]}: {problem}")
            continue
        joint |= found.joint
        if found.line:
            lines[int(line)] = {**lines.get(int(line), {}), **found.line}
        typed |= dict.fromkeys([*found.joint, *found.line], column)
    stated = [lines[number] for number in sorted(lines)]
    told = {problem.column for problem in row.problems}
    for read in read_weld(joint, stated, use, reader.listed.units).problems:
        column = typed.get(read.key, "")
        if column and column not in told:
            row.refuse(column, read.message)
            told.add(column)
    return joint, stated


def _said(key: str, text: str, units: str, weld_type: str, use: RecordKind) -> CellEntries:
    if key != "position" or use is RecordKind.SPEC:
        return said_by(key, text, units, units, weld_type, use)
    names, definition = names_in(text), registry()["test_position"]
    if not names:
        known = ", ".join(choice.key for choice in definition.choices)
        raise EntryError(f"“{text}” is not a position of a test coupon: {known}.")
    if len(names) > 1 and use not in definition.many:
        raise EntryError(f"“{text}” names several positions. Write a row for each coupon.")
    said = CellEntries(joint={"test_position": names if use in definition.many else names[0]})
    if weld_type in ("", "fillet") and all(name.endswith(("F", "FR")) for name in names):
        said.joint["weld_type"] = "fillet"
    return said


def _tests(reader: ListReader, row: RowRead, said: Mapping[str, str]) -> list[ProcedureTest]:
    found = []
    for name in said.get("tests", "").replace(",", ";").split(";"):
        if not name.strip():
            continue
        test = reader.procedure_tests.get(name.strip().casefold())
        if test is None:
            row.refuse("tests", f"Supporting tests: “{name.strip()}” is not on file. Import the test first.")
        else:
            found.append(test)
    return found


def _lacks(record: Any, use: RecordKind, tests: Sequence[ProcedureTest]) -> list[str]:
    """The chief things a record of its kind says, and this one does not; its own page names all the code
    asks for."""
    first = record.lines[0] if record.lines else {}
    position = "position" if use is RecordKind.SPEC else "test_position"
    wanted: list[tuple[str, object]] = [
        ("title", record.title),
        ("base metal", record.joint.get("base_metal_a")),
        ("thickness", record.joint.get("thickness_a")),
        ("position", record.joint.get(position)),
        ("process", first.get("process")),
        ("filler", first.get("filler_classification")),
    ]
    if use is RecordKind.SPEC:
        wanted.append(("supporting tests", tests))
    else:
        wanted += [
            ("welder", record.welder),
            ("day of welding", record.welded_on),
            ("laboratory", record.laboratory),
            ("results, specimen by specimen", None),
        ]
    return [words for words, value in wanted if not value]


_KINDS: dict[str, Callable[[ListReader, RowRead, Mapping[str, str]], None]] = {
    WELDERS: _welder,
    USES: _use,
    **dict.fromkeys(RECORDS, _record),
}
