"""What the definitions of variables share: groups of the form, sets of processes, uses, common choices."""

from __future__ import annotations

from .definition import Choice, Level, RecordKind, ValueKind, Variable

PROCESS, FILLER, GAS, ARC, TECHNIQUE = "Process", "Filler metal", "Gas", "Electrical", "Technique"

GMAW = frozenset({"GMAW"})
WIRE = frozenset({"GMAW", "FCAW"})
GASSED = frozenset({"GMAW", "FCAW", "GTAW"})
FED = frozenset({"GMAW", "FCAW", "SAW"})
SAW = frozenset({"SAW"})
GTAW = frozenset({"GTAW"})
READING = frozenset({RecordKind.TEST, RecordKind.WELDER_TEST, RecordKind.SPEC})
"""Readings swing while a coupon is welded, so a test too may hold a range."""
PULSED = frozenset({"pulsed", "double_pulsed"})
MECHANIZED = frozenset({"machine", "automatic"})


def line(key: str, label: str, group: str, kind: ValueKind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.LINE, group=group, kind=kind, **more)  # type: ignore[arg-type]


SPEC_OR_PART = frozenset({RecordKind.SPEC, RecordKind.PART})
ON_TESTS = frozenset({RecordKind.TEST, RecordKind.WELDER_TEST})


def joint(key: str, label: str, group: str, kind: ValueKind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.JOINT, group=group, kind=kind, **more)  # type: ignore[arg-type]


def every_joint(key: str, label: str, group: str, kind: ValueKind, **more: object) -> Variable:
    """What every joint has, so that nobody may say that it does not apply."""
    return joint(key, label, group, kind, may_be_na=False, **more)


def choices_of(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, label) for key, label in pairs)


YES_NO = choices_of(("yes", "Yes"), ("no", "No"))
TEST_POSITIONS = tuple(
    Choice(k, k) for k in ("1G", "2G", "3G", "4G", "5G", "6G", "1F", "2F", "2FR", "3F", "4F", "5F")
)
POSITIONS = (
    Choice("flat", "Flat"),
    Choice("horizontal", "Horizontal"),
    Choice("vertical", "Vertical"),
    Choice("overhead", "Overhead"),
)
