"""Reads the cases under `cases/required/`: records that state everything, and what the code asks of each.

A case names an edition, a kind of record and its processes; every variable such a record can hold is then
stated, with what `joint` and `line` say where it matters. `asked` lists what the code asks of it, need and
place included: `required joint pwht`, `habit 1 travel_speed`, `required record welder`; a `|` stands between
what is enough each. `same` are changes of single entries under which exactly the same is asked.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import Entry, read_weld
from qualification.rules.required.check import Item, Status, check_content
from qualification.rules.required.items import SECTIONS
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.record_fields import RECORD_FIELDS
from qualification.rules.variables.registry import variables_for

FOLDER = Path(__file__).parents[1] / "cases" / "required"
METALS = {"base_metal": "6061", "filler_classification": "ER5356"}


@dataclass(frozen=True)
class Stated:
    """A record as typed."""

    use: RecordKind
    joint: Mapping[str, Entry]
    lines: tuple[Mapping[str, Entry], ...]
    fields: Mapping[str, str]

    def without(self, item: Item) -> Stated:
        """The record with everything taken out that states the item."""
        gone = set(item.names)
        lines = tuple(
            {key: entry for key, entry in line.items() if key not in gone or index != item.line}
            for index, line in enumerate(self.lines)
        )
        return Stated(
            self.use,
            {k: e for k, e in self.joint.items() if k not in gone},
            lines,
            {k: t for k, t in self.fields.items() if k not in gone},
        )

    def items(self, made: Edition) -> tuple[Item, ...]:
        read = read_weld(self.joint, self.lines, self.use, "us", speaks=made.speaks)
        return check_content(made, self.use, read.weld, self.fields, system="us")


@dataclass(frozen=True)
class Case:
    title: str
    source: str
    edition: str
    record: Stated
    asked: frozenset[str]
    same: Mapping[str, tuple[str, ...]]

    def records(self) -> Iterator[Stated]:
        """The record, and each way to write it under which the same is asked."""
        yield self.record
        for key, entries in self.same.items():
            for entry in entries:
                if key in self.record.joint:
                    yield replace(self.record, joint={**self.record.joint, key: entry})
                else:
                    yield replace(
                        self.record, lines=tuple({**line, key: entry} for line in self.record.lines)
                    )


def place_of(item: Item) -> str:
    """`required 1 filler_diameter`: the item as a case lists it."""
    place = "record" if item.is_of_record else "joint" if item.line is None else f"{item.line + 1}"
    return f"{item.need.value} {place} {'|'.join(item.names)}"


@cache
def cases(family: str) -> tuple[Case, ...]:
    listed = tomllib.loads((FOLDER / f"{family}.toml").read_text("utf-8"))["case"]
    return tuple(_case(item) for item in listed)


def _case(item: Mapping[str, Any]) -> Case:
    use, made = SECTIONS[item["record"]], edition(item["edition"])
    lines = tuple(
        {
            **_filled(use, Level.LINE, process, made),
            "process": process,
            **item.get("line", {}),
            **item.get(process, {}),
        }
        for process in item["processes"]
    )
    joint = {**_filled(use, Level.JOINT, None, made), **item.get("joint", {})}
    fields = {key: "stated" for key, field in RECORD_FIELDS.items() if use in field.uses}
    same = {key: tuple(entries) for key, entries in item.get("same", {}).items()}
    return Case(
        item["title"],
        item["source"],
        made.id,
        Stated(use, joint, lines, fields),
        frozenset(item["asked"]),
        same,
    )


def _filled(use: RecordKind, level: Level, process: str | None, made: Edition) -> dict[str, Entry]:
    return {variable.key: _sample(variable) for variable in variables_for(use, level, process, made.speaks)}


def _sample(variable: Variable) -> str:
    """Something that can be read, whatever it is."""
    if variable.kind is ValueKind.NUMBER:
        low, high = (
            (variable.plausible_interval or Interval(None, None)).low,
            (variable.plausible_interval or Interval(None, None)).high,
        )
        number = low if low else high / 2 if high else 1
        return f"{number} {DIMENSIONS[str(variable.dimension)].canonical.symbol}".strip()
    if variable.kind is ValueKind.GAS:
        return "100Ar"
    if variable.kind is ValueKind.CHOICE and variable.choices:
        return variable.choices[0].key
    return next((entry for stem, entry in METALS.items() if variable.key.startswith(stem)), "stated")


def complaint(case: Case, made: Edition) -> str:
    """Why what is asked is not what the case says; empty when it is."""
    for record in case.records():
        items = record.items(made)
        asked = {place_of(item) for item in items}
        if asked != case.asked:
            return (
                f"{case.title}: asked besides {sorted(asked - case.asked)}, not asked"
                f" {sorted(case.asked - asked)}"
            )
        open_ones = sorted(
            place_of(item) for item in items if item.status not in (Status.STATED, Status.NOT_APPLICABLE)
        )
        if open_ones:
            return f"{case.title}: not stated although everything is: {open_ones}"
    return ""
