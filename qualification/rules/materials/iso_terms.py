"""What ISO standards call a weld line's position, process, gases, backing and layers: derived, never typed.

Positions by ISO 6947, processes by ISO 4063, gases by ISO 14175, backing and layers as ISO 9606 writes them.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache, lru_cache

from ..core.facts import Facts
from ..core.gases import INERT, components
from ..core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from ..variables.registry import registry
from .iso_gases import symbol
from .terms import term_tables

TERM_FILES = ("iso_positions.toml", "iso_processes.toml", "iso_details.toml")
ACTIVE = frozenset({"CO2", "O2"})


def iso_terms(facts: Facts) -> dict[str, Stated]:
    """The terms of one line, from joint and line together; what cannot be told is left out."""
    found: dict[str, Stated] = {**_gases(facts)}
    layering = _layering(facts)
    if layering is not MISSING:
        found["layering"] = layering
    known = facts.including(found)
    for file in TERM_FILES:
        terms = term_tables(file)
        value = _looked_up(file, tuple(known[key] for key in _read_by(file)))
        if value is not MISSING:
            found[terms.variable] = value
    return found


@cache
def _read_by(file: str) -> tuple[str, ...]:
    """Variables the tables of a file look at."""
    tables = term_tables(file).tables
    return tuple(
        dict.fromkeys((*tables, *(key for rows in tables.values() for row in rows for key in row.when)))
    )


@lru_cache(maxsize=4096)
def _looked_up(file: str, values: tuple[Stated, ...]) -> Stated:
    return term_tables(file).of(Facts(dict(zip(_read_by(file), values, strict=True))))


def activity(key: str) -> str:
    """The kind of a gas mixture, as process numbers tell them apart."""
    parts = set(components(key))
    if not parts:
        return "none"
    if parts <= INERT:
        return "inert"
    if parts & ACTIVE:
        return "active"
    return "reducing" if "H2" in parts else "unreactive"


def _gases(facts: Facts) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    shielding, backing = facts["shielding_gas"], facts["backing_gas"]
    if isinstance(shielding, frozenset) and shielding:
        found["gas_activity"] = frozenset(activity(gas) for gas in shielding)
        found["iso_gas"] = frozenset(symbol(gas) for gas in shielding)
        found["helium_share"], found["co2_share"] = _share(shielding, "He"), _share(shielding, "CO2")
    elif shielding is NOT_APPLICABLE:
        found["gas_activity"] = frozenset({"none"})
    if isinstance(backing, frozenset) and backing:
        found["iso_backing_gas"] = frozenset(symbol(gas) for gas in backing)
        found["gas_backed"] = frozenset("yes" if components(gas) else "no" for gas in backing)
    elif backing is NOT_APPLICABLE or _has_no_backing_gas(facts):
        found["gas_backed"] = frozenset({"no"})
    return found


def _share(gases: frozenset[str], part: str) -> Interval:
    shares = [components(gas).get(part, Decimal(0)) for gas in gases]
    return Interval(min(shares), max(shares))


def _has_no_backing_gas(facts: Facts) -> bool:
    """True for processes on whose lines nobody states a backing gas."""
    process = facts.choices("process")
    return bool(process) and not process & registry()["backing_gas"].processes


def _layering(facts: Facts) -> Stated:
    """One layer or several. A coupon says how many; a production weld says passes, and several passes are
    taken as several layers, which is never the easier reading for a weld to be covered."""
    if layers := facts.ends("layers"):
        least, most = layers
        return frozenset({"sl"} if most == 1 else {"ml"} if least > 1 else {"sl", "ml"})
    if facts.is_only("passes_per_side", "single"):
        return frozenset({"sl"})
    if (passes := facts.choices("passes_per_side")) and facts["test_position"] is MISSING:
        return frozenset("sl" if one == "single" else "ml" for one in passes)
    return MISSING
