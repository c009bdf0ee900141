"""What the definitions of a process line's variables share: groups of the form, sets of processes, uses."""

from __future__ import annotations

from .variables import Kind, Level, Use, Variable

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
