"""What the definitions of variables share: groups of the form, sets of processes, uses, common choices."""

from __future__ import annotations

from .variables import Choice, Kind, Level, Use, Variable

PROCESS, FILLER, GAS, ARC, TECHNIQUE = "Process", "Filler metal", "Gas", "Electrical", "Technique"

GMAW = frozenset({"GMAW"})
WIRE = frozenset({"GMAW", "FCAW"})
GASSED = frozenset({"GMAW", "FCAW", "GTAW"})
FED = frozenset({"GMAW", "FCAW", "SAW"})
SAW = frozenset({"SAW"})
GTAW = frozenset({"GTAW"})
READING = frozenset({Use.TEST, Use.WELDER_TEST, Use.SPEC})
"""Readings swing while a coupon is welded, so a test too may hold a range."""
PULSED = frozenset({"pulsed", "double_pulsed"})
MECHANIZED = frozenset({"machine", "automatic"})


def line(key: str, label: str, group: str, kind: Kind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.LINE, group=group, kind=kind, **more)  # type: ignore[arg-type]


SPEC_OR_PART = frozenset({Use.SPEC, Use.PART})
ON_TESTS = frozenset({Use.TEST, Use.WELDER_TEST})


def joint(key: str, label: str, group: str, kind: Kind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.JOINT, group=group, kind=kind, **more)  # type: ignore[arg-type]


def choices_of(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, label) for key, label in pairs)


YES_NO = choices_of(("yes", "Yes"), ("no", "No"))
