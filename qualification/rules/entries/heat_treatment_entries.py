"""A temperature typed under the kind of postweld heat treatment: `1150 °F, 1 hr`, `620 °C 2 h`.

Temperature and time go into their own fields. The kind follows where the family of the metals leaves no doubt
(`tables/catalogue/heat_treatment.toml`); elsewhere the entry asks for it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from ..core.quantities import QuantityError
from ..materials.terms import FOLDER, catalogue_file
from ..tabular import schema
from ..tabular.schema import CITED, Column, Pair, TablePlace, read_row, required
from .entry_texts import Entries, Entry, pieces
from .notation import Manner, read_measure

FILE = "heat_treatment.toml"
KEY, TEMPERATURE, TIME = "pwht", "pwht_temperature", "pwht_time"
_TREATED = re.compile(
    r"(?:(?:stress[ -]relie(?:f|ve|ved)|pwht|sr|yes)\b[ :,@]*(?:at )?)?"
    r"(?P<temperature>\d[\d.,]{0,6} ?(?:°? ?[CF])?(?: ?(?:-|–|to|±|\+/-) ?\d[\d.,]{0,6})?"
    r" ?(?:°|deg\.?)? ?[CF])\b"
    r"(?: ?(?:[,/;@x]|for)? ?(?P<time>\d[\d./]{0,5} ?(?:h|hr|hrs|hours?|min|minutes?)\b.{0,40}))?",
    re.IGNORECASE,
)
_ROW: dict[str, Column] = {
    **CITED,
    "families": required(schema.keys),
    "at_most": schema.pair("temperature"),
    "choice": required(schema.text),
}


@dataclass(frozen=True)
class _Treated:
    families: frozenset[str]
    at_most: Pair | None
    choice: str


@lru_cache(maxsize=1)
def _rows() -> tuple[_Treated, ...]:
    """Raises TableError."""
    rows = [
        read_row(item, _ROW, place)
        for item, place in schema.numbered(
            catalogue_file(FILE).get("treated"), TablePlace(FOLDER, FILE), "treated"
        )
    ]
    return tuple(_Treated(frozenset(row["families"]), row["at_most"], row["choice"]) for row in rows)


def treatment_stated(
    entries: Entries, family: str, system: str, came_from: dict[str, str]
) -> tuple[dict[str, Entry], str]:
    """The entries that take the place of a temperature under the kind of treatment, and the question where
    its kind is left open; nothing for any other entry. `came_from` learns where temperature and time
    stand."""
    typed = "; ".join(pieces(entries.get(KEY, "")))
    match = _TREATED.fullmatch(typed)
    if not match:
        return {}, ""
    try:
        span = read_measure(match["temperature"], "temperature", system, Manner()).interval
    except QuantityError:
        return {}, ""
    hottest = span.high if span else None
    found: dict[str, Entry] = {}
    for key, text in ((TEMPERATURE, match["temperature"]), (TIME, (match["time"] or "").strip())):
        if text and not pieces(entries.get(key, "")):
            found[key], came_from[key] = text, typed
    kind = _kind(family, hottest)
    if kind:
        return {**found, KEY: kind}, ""
    return found, (
        f"“{typed}” gives the temperature, and not whether it is below or above the transformation of these"
        " metals. Choose the kind here and put the temperature in its own field."
    )


def _kind(family: str, hottest: Decimal | None) -> str:
    for row in _rows():
        fits = row.at_most is None or (hottest is not None and hottest <= row.at_most.us)
        if family in row.families and fits:
            return row.choice
    return ""
