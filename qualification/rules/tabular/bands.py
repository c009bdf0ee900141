"""Tables that give an answer per band of a number, checked for gaps and overlaps in both unit systems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ..core.findings import Citation
from ..core.quantities import DIMENSIONS, SI, US
from ..core.values import Interval
from . import schema
from .schema import CITED, Column, PairInterval, TablePlace, read_row


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
        """The band `value` (canonical units) lies in. Raises LookupError below the first or above the
        last."""
        point = Interval.point(value)
        for band in self.bands:
            if point.within(band.span.of(system)):
                return band
        raise LookupError(f"{self.name} has no band at {value}")


def band_table(
    name: str,
    bands: Sequence[Band],
    place: TablePlace,
    *,
    of: str = "length",
    from_zero: bool = True,
    unlimited: bool = True,
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


PICKS = ("larger", "smaller")


def band_row(dimension: str) -> dict[str, Column]:
    """Columns of a band of numbers of that dimension."""
    return {
        **CITED,
        "span": schema.pair_interval(dimension),
        "low": schema.pair(dimension),
        "low_factor": schema.number,
        "high": schema.pair(dimension),
        "high_factor": schema.number,
        "unlimited": schema.yes_no,
        "high_of": schema.text,
        "low_pick": schema.one_of(*PICKS),
        "high_pick": schema.one_of(*PICKS),
        "not_encoded": schema.yes_no,
    }


def read_bands(raw: Mapping[str, Any], whole: TablePlace) -> dict[str, BandTable]:
    """The tables of bands.toml by name. Raises TableError naming table and row."""
    found: dict[str, BandTable] = {}
    for table, body in raw.items():
        place = whole.at(table)
        if not isinstance(body, dict) or set(body) != {"of", "row"}:
            raise place.fail("expected `of` (a dimension) and [[row]] entries")
        schema.one_of(*DIMENSIONS)(body["of"], place)
        listed = []
        for item, here in schema.numbered(body["row"], place, f"{table} row"):
            row = read_row(item, band_row(body["of"]), here)
            _check_ends(row, here)
            span = row.pop("span") or PairInterval(Interval(None, None), Interval(None, None))
            listed.append(Band(span, row, schema.citation(row, here)))
        found[table] = band_table(table, listed, place, of=body["of"])
    return found


def _check_ends(row: Mapping[str, Any], place: TablePlace) -> None:
    ends = ("low", "low_factor", "high", "high_factor", "high_of", "unlimited", "low_pick", "high_pick")
    if row["not_encoded"]:
        if any(row[key] is not None for key in ends):
            raise place.fail("is not encoded, and gives a range all the same")
        return
    for end in ("low", "high"):
        both = row[end] is not None and row[f"{end}_factor"] is not None
        if both and row[f"{end}_pick"] is None:
            raise place.fail(f"gives the {end} end twice; say which counts with {end}_pick")
        if row[f"{end}_pick"] is not None and not both:
            raise place.fail(
                f"{end}_pick chooses between {end} and {end}_factor, which have to be given both"
            )
    _check_crossing(row, place)
    tops = [key for key in ("high", "high_factor", "unlimited", "high_of") if row[key] is not None]
    if len(tops) != 1 and not (row["high_pick"] and tops == ["high", "high_factor"]):
        raise place.fail("needs exactly one of high, high_factor, high_of, unlimited")


def _check_crossing(row: Mapping[str, Any], place: TablePlace) -> None:
    """A fixed low end must not lie above a multiple of the smallest number the band is entered with."""
    if (
        row["low"] is None
        or row["low_pick"] == "smaller"
        or row["high_factor"] is None
        or row["high_pick"] == "larger"
    ):
        return
    for system in (US, SI):
        start = row["span"].of(system).low if row["span"] else None
        if start is None or row["low"].of(system) > start * row["high_factor"]:
            raise place.fail(f"its low end lies above its high end where the band starts ({system})")
