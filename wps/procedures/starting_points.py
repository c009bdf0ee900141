"""Ready coupons and procedures, as starting points that a shop makes its own (`starts.toml`)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from qualification.codes.editions import available_editions, editions_used
from qualification.forms.coupon import FIRST_NUMBERS, only_welder
from qualification.models import ProcedureTest, Shop, UnitSystem
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.entries.reading import Entry
from wps.models import Spec
from wps.procedures.drafting import store

FILE = Path(__file__).with_name("starts.toml")
COUPON, PROCEDURE = "coupon", "procedure"


@dataclass(frozen=True)
class StartingPoint:
    """One ready coupon or procedure under one edition."""

    kind: str
    key: str
    edition: str
    title: str
    weld: str
    """The weld in one line."""
    joint: Mapping[str, Entry]
    line: Mapping[str, Entry]

    @property
    def code(self) -> str:
        """Name of the edition."""
        return dict(available_editions())[self.edition]

    @property
    def notes(self) -> str:
        return f"Started from a ready {self.kind}, a starting point: “{self.weld}”."


@cache
def starting_points(kind: str) -> tuple[StartingPoint, ...]:
    """Every ready coupon, or procedure, in the order of the file; once for each edition it is for."""
    listed: list[dict[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"))[kind]
    by_key = {each["key"]: each for each in listed}
    return tuple(
        StartingPoint(
            kind,
            each["key"],
            edition,
            each["title"],
            each["weld"],
            _entries("joint", each, by_key),
            _entries("line", each, by_key),
        )
        for each in listed
        for edition in each["editions"]
    )


def _entries(level: str, own: Mapping[str, Any], by_key: Mapping[str, Any]) -> dict[str, Entry]:
    """Its entries over those of the one it is like; an empty one takes away what that one states."""
    pattern = by_key[own["like"]] if "like" in own else {}
    return {key: entry for key, entry in {**pattern.get(level, {}), **own.get(level, {})}.items() if entry}


def offered(kind: str) -> list[StartingPoint]:
    """Those for the codes the shop works to, its own code first."""
    used, own = dict(editions_used()), Shop.current().code_edition
    found = [each for each in starting_points(kind) if each.edition in used or each.edition == own]
    return sorted(found, key=lambda each: each.edition != own)


def found(kind: str, key: str, edition: str) -> StartingPoint | None:
    """The one of that key under that edition."""
    return next((e for e in starting_points(kind) if (e.key, e.edition) == (key, edition)), None)


def start_coupon(start: StartingPoint, person: Person) -> ProcedureTest:
    """Store a draft of a procedure test with the set-up; welded by the one welder, where there is one."""
    made = ProcedureTest(
        number=next_number(
            ProcedureTest.objects.order_by("created_at").values_list("number", flat=True),
            FIRST_NUMBERS[ProcedureTest],
        ),
        welder=only_welder(),
        **set_up(start),
    )
    create_draft(made, person)
    return made


def start_procedure(start: StartingPoint, person: Person) -> Spec:
    """Store a draft of a procedure that needs no test."""
    return store(Spec(prequalified=True, **set_up(start)), person, [])


def set_up(start: StartingPoint) -> dict[str, Any]:
    """The fields of a draft that begins there, in the shop's units."""
    return {
        "title": start.title,
        "edition": start.edition,
        "units": UnitSystem.US if Shop.current().inch_first else UnitSystem.SI,
        "joint": deepcopy(dict(start.joint)),
        "lines": [deepcopy(dict(start.line))],
        "notes": start.notes,
    }
