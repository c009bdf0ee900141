"""Tables that give an answer per band of a number, checked for gaps and overlaps in both unit systems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from .findings import Citation
from .quantities import SI, US
from .schema import PairInterval, Place
from .values import Interval


@dataclass(frozen=True)
class Band:
    span: PairInterval
    columns: Mapping[str, Any]
    citation: Citation


@dataclass(frozen=True)
class BandTable:
    name: str
    of: str
    """Dimension of the numbers it is entered with and answers in."""
    bands: tuple[Band, ...]

    def at(self, value: Decimal, system: str) -> Band:
        """The band `value` (canonical units) lies in. Raises LookupError below the first or above the last."""
        point = Interval.point(value)
        for band in self.bands:
            if point.within(band.span.of(system)):
                return band
        raise LookupError(f"{self.name} has no band at {value}")


def band_table(
    name: str, bands: Sequence[Band], place: Place, *, of: str = "length", from_zero: bool = True, unlimited: bool = True
) -> BandTable:
    """Check that the bands follow one another without gap or overlap and build the table.

    `from_zero`: the first band has to start without a lower end; `unlimited`: the last without an upper.
    Raises TableError naming the two rows that do not meet.
    """
    if not bands:
        raise place.fail("holds no rows")
    for system in (US, SI):
        spans = [band.span.of(system) for band in bands]
        if from_zero and spans[0].low is not None:
            raise place.fail(f"{name} ({system}): nothing covers numbers below {spans[0].low}")
        if unlimited and spans[-1].high is not None:
            raise place.fail(f"{name} ({system}): nothing covers numbers above {spans[-1].high}")
        for before, after, citation in zip(spans, spans[1:], [b.citation for b in bands[1:]], strict=False):
            if before.high is None or after.low is None or before.high > after.low:
                raise place.fail(f"{name} ({system}): {citation.row} overlaps the row before it")
            if before.high < after.low or (before.high_open and after.low_open):
                raise place.fail(f"{name} ({system}): there is a gap before {citation.row}")
            if not before.high_open and not after.low_open:
                raise place.fail(f"{name} ({system}): {citation.row} overlaps the row before it")
    return BandTable(name, of, tuple(bands))
