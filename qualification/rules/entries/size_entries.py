"""Sizes that hang on another entry: the wall by a schedule on the pipe's diameter, the gauge on its metal.

`NPS 6 Sch 80` under the diameter states the wall as well, `Sch 80` under the thickness takes the nominal size
from the diameter, and `10 ga` the metal of its side. An inch number that is a nominal size of pipe (`6 in`)
is not taken for the outside diameter: it asks which is meant.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from ..core.problems import Problem
from ..core.quantities import US, QuantityError
from ..core.values import Interval
from ..materials.catalogue import Metal
from ..materials.gauges import is_gauge, read_gauge, with_metal
from ..materials.sizes import is_metric_pipe, is_nominal, say_size, sizes
from ..materials.tubular import Tubular, read_tubular, says_outside
from ..variables.metal_systems import SIDES
from .notation import OUTSIDE, Manner, read_measure

_INCH = Decimal("25.4")
_SAME_WALL = Decimal("0.02")
"""Walls of one pipe, in mm, rounded in inches and in millimeters."""
_OTHER_UNIT = re.compile(r"\d\s*(?:mm|cm|m|ft|')", re.IGNORECASE)
_INCHES = re.compile(r"\d\s*(?:in\b|inch|\"|″|”)", re.IGNORECASE)


@dataclass
class SizeEntries:
    """What the sizes of one level say of one another."""

    rewritten: dict[str, str] = field(default_factory=dict)
    """Entries with the rest put behind them, by key."""
    filled: dict[str, str] = field(default_factory=dict)
    """Entries that another one states."""
    refused: dict[str, str] = field(default_factory=dict)
    """Entries that can be read in two ways, with the question."""
    problems: list[Problem] = field(default_factory=list)


def size_entries(
    entries: Mapping[str, str], metals: Mapping[str, Sequence[Metal | None]], system: str
) -> SizeEntries:
    """`entries` with the single text of each of `diameter`, `thickness_a`, `thickness_b` and `product_form`;
    `metals` those named by side."""
    found = SizeEntries()
    if named := _NOMINAL.fullmatch(entries.get("diameter", "").strip()):
        found.rewritten["diameter"] = f"NPS {named['size']}{named['rest']}"
        entries = {**entries, "diameter": found.rewritten["diameter"]}
    pipe = _tubular(entries.get("diameter", ""), system)
    for side in SIDES:
        key = f"thickness_{side}"
        text = entries.get(key, "")
        if ends := _between_gauges(text, _sheet(metals.get(side, ()))):
            found.rewritten[key] = ends
            continue
        if is_gauge(text):
            found.rewritten[key] = with_metal(text, _sheet(metals.get(side, ())))
            continue
        tube = _tubular(text, system)
        if tube is not None and tube.schedule and tube.nps is None and pipe is not None and pipe.nps:
            found.rewritten[key] = f"NPS {say_size(pipe.nps)} Sch {tube.schedule}"
        elif not entries.get("diameter") and tube is not None and tube.outside is not None:
            found.filled.setdefault("diameter", text)
    if pipe is not None and pipe.wall is not None:
        _wall_of_pipe(entries, pipe, pipe.wall, system, found)
    if entries.get("diameter") and system == US:
        _ask_for_unit(entries["diameter"], pipe, found)
    if pipe is None and entries.get("diameter") and entries.get("product_form") not in _PLATE:
        _ask_for_nominal(entries["diameter"], system, found)
    return found


_NOMINAL = re.compile(
    r"(?P<size>\d{1,2}(?:[ -]\d/\d|/\d)?) ?(?:in\.?|inch|\"|″|”)? ?(?:nominal|nom\b\.?)(?: size| pipe)*"
    r"(?P<rest>(?:[ ,]+sch.*)?)",
    re.IGNORECASE,
)
"""A size that says it is nominal: `6 in nominal`."""
_PLATE = ("plate", "Plate, sheet or profile")


def _tubular(text: str, system: str) -> Tubular | None:
    try:
        return read_tubular(text, system)
    except QuantityError:
        return None  # said where the entry itself is read


_GAUGES = re.compile(
    r"(?P<low>\d{1,2} ?(?:ga|gauge|gage)\b\.?(?: [a-z]+)??) ?(?:to|thru|through|-|–) ?(?P<high>\S.*)",
    re.IGNORECASE,
)


def _between_gauges(text: str, sheet: str) -> str:
    """`16 ga to 1/4` with the thickness of the sheet in place of its gauge; empty for anything else."""
    match = _GAUGES.fullmatch(text.strip())
    if not match:
        return ""
    try:
        ends = [read_gauge(with_metal(match[end], sheet)) for end in ("low", "high")]
    except QuantityError:
        return ""
    low, high = ends
    if low is None:
        return ""
    return f"{low / _INCH:f} in to {match['high'] if high is None else f'{high / _INCH:f} in'}"


def _sheet(metals: Sequence[Metal | None]) -> str:
    """The kind of sheet whose gauges hold for these metals; empty where they leave it open."""
    kinds = {_kind(metal) for metal in metals}
    return kinds.pop() if len(kinds) == 1 else ""


def _kind(metal: Metal | None) -> str:
    family = metal.family if metal is not None else ""
    if family == "aluminium":
        return "aluminum"
    if family.startswith("stainless"):
        return "stainless"
    return "steel" if family.endswith("steel") else ""


def _wall_of_pipe(
    entries: Mapping[str, str], pipe: Tubular, wall: Decimal, system: str, found: SizeEntries
) -> None:
    typed = found.rewritten.get("thickness_a", entries.get("thickness_a", ""))
    if not typed:
        found.filled["thickness_a"] = entries["diameter"]
        return
    try:
        stated = read_measure(typed, "length", system, Manner(size="wall")).interval
    except QuantityError:
        return
    if stated is not None and stated.is_point and abs((stated.low or wall) - wall) > _SAME_WALL:
        found.problems.append(
            Problem(
                "diameter",
                f"Outside diameter: “{entries['diameter']}” has another wall than the thickness of side A"
                " says. Correct one of them.",
            )
        )


def _ask_for_nominal(text: str, system: str, found: SizeEntries) -> None:
    if (
        _OTHER_UNIT.search(text)
        or says_outside(text)
        or "NPS" in text.upper()
        or not (system == US or _INCHES.search(text))
    ):
        return
    try:
        stated = read_measure(text, "length", system, Manner(size=OUTSIDE)).interval
    except QuantityError:
        return
    for end in _ends(stated):
        inches = end / _INCH
        if is_nominal(inches):
            size = say_size(Fraction(inches))
            outside = sizes().pipes[Fraction(inches)].outside.us / _INCH
            found.refused["diameter"] = (
                f"“{text}”: is {size} in the nominal size or the outside diameter? Write NPS {size}, which is"
                f" {outside.normalize():f} in outside, or {size} in OD."
            )
            return


_BARE_DECIMAL = re.compile(
    r"(?:[Øø] ?|OD ?|D ?[=:] ?)?(?P<number>\d{2,3}[.,]\d)\d?(?![\d/])(?!.*(?:in\b|\"|″|”|mm|cm))", re.I
)


def _ask_for_unit(text: str, pipe: Tubular | None, found: SizeEntries) -> None:
    """A number without a unit that is the outside diameter of a metric pipe is no number of inches."""
    match = _BARE_DECIMAL.match(text.strip())
    if not match:
        return
    number = Decimal(match["number"].replace(",", "."))
    if is_metric_pipe(number):
        found.refused["diameter"] = (
            f"“{text}” has no unit, and {number} mm is a pipe. Write mm or in behind it."
        )
        for key in [key for key, said in found.filled.items() if said == text]:
            del found.filled[key]


def _ends(interval: Interval | None) -> list[Decimal]:
    if interval is None:
        return []
    return [end for end in (interval.low, interval.high) if end is not None]
