"""What the definitions of variables share: headings of the form, sets of processes and records, choices; and
families, by which a variable is stated in a line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from .definition import PROCESSES, Choice, Level, RecordKind, ValueKind, Variable

GMAW, GTAW, SAW, SMAW = (frozenset({process}) for process in ("GMAW", "GTAW", "SAW", "SMAW"))
WIRE = frozenset({"GMAW", "FCAW"})
GASSED = WIRE | GTAW
FED = WIRE | SAW
NOT_STICK = frozenset(PROCESSES) - SMAW
NOT_SUBMERGED = frozenset(PROCESSES) - SAW
PULSED = frozenset({"pulsed", "double_pulsed"})
MECHANIZED = frozenset({"machine", "automatic"})

SPEC, PART, TEST, WELDER_TEST, TRIAL = (
    frozenset({kind})
    for kind in (
        RecordKind.SPEC,
        RecordKind.PART,
        RecordKind.TEST,
        RecordKind.WELDER_TEST,
        RecordKind.TRIAL,
    )
)
SPEC_OR_PART = SPEC | PART
TEST_OR_SPEC = TEST | SPEC
ON_TESTS = TEST | WELDER_TEST
NOT_WELDER = TEST | SPEC_OR_PART
READING = ON_TESTS | SPEC
"""Readings swing while a coupon is welded, so a test too may hold a range."""

AWS, ISO, NAVY = (frozenset({family}) for family in ("aws", "iso", "navy"))
"""Families of codes that ask for a variable of their own."""

When = tuple[str, frozenset[str]]
"""Another variable, and choices of it."""


def when(key: str, *choices: str) -> When:
    """The condition that the variable `key` holds one of these choices."""
    return key, frozenset(choices)


def choices_of(choices: Mapping[str, str] | Iterable[Choice]) -> tuple[Choice, ...]:
    """From key and label of each."""
    if isinstance(choices, Mapping):
        return tuple(Choice(key, label) for key, label in choices.items())
    return tuple(choices)


def plain(keys: str, prefix: str = "") -> tuple[Choice, ...]:
    """Choices that are called what they are, with spaces between them."""
    return tuple(Choice(key, prefix + key) for key in keys.split())


@dataclass(frozen=True)
class Family:
    """Variables of one level under one heading, with whatever else they share (fields of `Variable`)."""

    level: Level
    heading: str
    shared: Mapping[str, Any] = field(default_factory=dict)

    def but(self, **shared: Any) -> Family:
        """The family of those that share this as well."""
        return Family(self.level, self.heading, {**self.shared, **shared})

    def entry(self, kind: ValueKind, key: str, label: str, **more: Any) -> Variable:
        return Variable(key, label, self.level, self.heading, kind, **{**self.shared, **more})

    def number(
        self,
        key: str,
        label: str,
        dimension: str,
        low: int | str | None = None,
        high: int | str | None = None,
        **more: Any,
    ) -> Variable:
        """`low` and `high`: the ends of what is plausible, in the canonical unit of the dimension."""
        ends = None if low is None or high is None else (Decimal(low), Decimal(high))
        return self.entry(ValueKind.NUMBER, key, label, dimension=dimension, plausible=ends, **more)

    def choice(
        self, key: str, label: str, choices: Mapping[str, str] | Iterable[Choice] = (), **more: Any
    ) -> Variable:
        return self.entry(ValueKind.CHOICE, key, label, choices=choices_of(choices), **more)

    def yes_no(self, key: str, label: str, **more: Any) -> Variable:
        return self.choice(key, label, YES_NO, **more)

    def text(self, key: str, label: str, help: str = "", **more: Any) -> Variable:
        return self.entry(ValueKind.TEXT, key, label, help=help, **more)


JOINT, METALS, PLACE, HEAT = (
    Family(Level.JOINT, heading) for heading in ("Joint", "Base metals", "Position", "Heat")
)
PROCESS, FILLER, GAS, ARC, TECHNIQUE = (
    Family(Level.LINE, heading) for heading in ("Process", "Filler metal", "Gas", "Electrical", "Technique")
)

YES_NO = choices_of({"yes": "Yes", "no": "No"})
TEST_POSITIONS = plain("1G 2G 3G 4G 5G 6G 1F 2F 2FR 3F 4F 5F")
POSITIONS = choices_of(
    {"flat": "Flat", "horizontal": "Horizontal", "vertical": "Vertical", "overhead": "Overhead"}
)
