"""One figure that follows from what is stated, as pages print it, and the words of its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..core.quantities import SI
from ..core.values import Interval
from ..materials.catalogue import Origin, Provenance
from .weld_inputs import high, low

MM2_PER_IN2 = Decimal("645.16")


@dataclass(frozen=True)
class Reckoned:
    """One figure that follows from what is stated."""

    label: str
    value: str
    how: str
    """What it was reckoned from."""
    origins: tuple[Origin, ...]
    """Rows of the tables it rests on; empty where it is geometry or arithmetic alone."""


def together(origins: Iterable[Origin]) -> tuple[Origin, ...]:
    """Rows of one provenance as one, each of its pages named once."""
    found: dict[Provenance, Origin] = {}
    for each in origins:
        known = found.get(each.provenance)
        sources = dict.fromkeys((*(known.sources if known else ()), *each.sources))
        found[each.provenance] = Origin(each.provenance, tuple(sources), "", "")
    return tuple(found.values())


def area_words(span: Interval, system: str) -> str:
    """mm² in both units, those of the record first."""
    ends: Sequence[Decimal] = (low(span), high(span))
    metric, inch = (
        span_words(ends, "mm²", 1),
        span_words([each / MM2_PER_IN2 for each in ends], "in²", 3),
    )
    return f"{metric} ({inch})" if system == SI else f"{inch} ({metric})"


def span_words(ends: Sequence[Decimal], unit: str, places: int) -> str:
    """Two ends with a unit; one where both are printed alike."""
    one, other = (f"{each:.{places}f}" for each in ends)
    return f"{one} {unit}" if one == other else f"{one} to {other} {unit}"


def percent_words(least: Decimal, most: Decimal) -> str:
    """Shares of one, as percent."""
    one, other = f"{100 * least:.0f}", f"{100 * most:.0f}"
    return f"{one}\u202f%" if one == other else f"{one} to {other}\u202f%"
