"""Numbers without a unit on a record in US units that nobody is likely to mean in inches or °F: 13 under a
thickness is 13 mm of a drawing far more often than 13 in, so the unit is asked for. From where on a field
asks stands in `tables/catalogue/bare_numbers.toml`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any

from ..core.quantities import QuantityError, read_quantity
from ..core.units import DIMENSIONS, SI, US
from ..core.values import Interval
from ..materials.catalogue import ORIGIN
from ..materials.terms import FOLDER, catalogue_file
from ..tabular import schema
from ..tabular.schema import Column, TablePlace, read_row, required
from ..variables.definition import Variable
from ..variables.registry import registry

FILE = "bare_numbers.toml"
_BARE: dict[str, Column] = {
    **ORIGIN,
    "variables": required(schema.keys),
    "above": schema.text,
    "below": schema.text,
}
_INCHES = re.compile(r"(?<!\d)\.\d|\d\.\d{3}")
"""Written as only inches are: `.375`, `1.125`."""
_APART = Decimal("0.05")
"""Readings in both unit systems that lie no further apart are of a size named in both, such as NPS 6."""


@lru_cache(maxsize=1)
def taken_as_written() -> Mapping[str, Interval]:
    """By variable, the numbers that are taken without their unit, in the canonical unit. Raises
    TableError."""
    found: dict[str, Interval] = {}
    for raw, place in schema.numbered(catalogue_file(FILE)["bare"], TablePlace(FOLDER, FILE), "bare"):
        row = read_row(raw, _BARE, place)
        for key in row["variables"]:
            definition = registry()[schema.known_variable(key, place)]
            if key in found:
                raise place.fail(f"{key} stands in two rows")
            found[key] = Interval(
                _end(row, "below", definition, place), _end(row, "above", definition, place)
            )
            if found[key] == Interval(None, None):
                raise place.fail("gives neither above nor below")
    return found


def _end(row: Mapping[str, Any], side: str, definition: Variable, place: TablePlace) -> Decimal | None:
    if row[side] is None:
        return None
    try:
        return read_quantity(row[side], str(definition.dimension), US, many=False).interval.low
    except QuantityError as error:
        raise place.fail(str(error)) from error


def is_beyond_what_is_taken(key: str, us: Interval) -> bool:
    """True where few would mean in inches or °F what the text is in US units, so that `asks_for_unit` is to
    be asked."""
    taken = taken_as_written().get(key)
    return taken is not None and not _ends_within(us, taken)


def asks_for_unit(text: str, definition: Variable, us: Interval, si: Interval | None) -> str:
    """The question about a number beyond what is taken, or nothing. `us` and `si` are what the text is in
    each unit system; `si` is `None` where it is nothing in that one, as `1/2` is no number of millimeters."""
    if si is None or _INCHES.search(text):
        return ""
    if definition.plausible_interval is not None and not _ends_within(si, definition.plausible_interval):
        return ""
    if all(abs(one - two) <= abs(one) * _APART for one, two in zip(_ends(us), _ends(si), strict=False)):
        return ""
    dimension = DIMENSIONS[str(definition.dimension)]
    units = dimension.unit_for(US).symbol, dimension.unit_for(SI).symbol
    said = text.strip()
    if re.fullmatch(r"-?[\d.,]+", said):
        return (
            f"“{said}” has no unit. Is it {said} {units[0]} or {said} {units[1]}? Write the unit behind it."
        )
    return f"“{said}” has no unit. Write {units[0]} or {units[1]} behind the number."


def _ends(interval: Interval) -> list[Decimal]:
    return [end for end in (interval.low, interval.high) if end is not None]


def _ends_within(interval: Interval, outer: Interval) -> bool:
    return all(Interval.point(end).within(outer) for end in _ends(interval))
