"""How shops write a number besides as a number or a range: bounds, tolerances, several sizes, two units, and
words that state something without limiting it.

`up to 1/2`, `≥ 5`, `115±20 A`, `1/16, 3/32, 1/8 in`, `23.875 mm (0.939 in)`, `NPS 6 Sch 80`,
`10 ga aluminum`, `ambient (10 °C)`, `by the drawing`. What a record states of a weld that was made is one
number or a range that was read. A list or “any” says nothing of it and is refused there; so is a bound on a
size, while a bound on a setting (`130 max`) is kept as words and gives no number.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from ..core.quantities import QuantityError, Reading, is_unit_of, read_quantity, tidy
from ..core.units import DIMENSIONS, SI, US, Dimension
from ..core.values import Interval
from ..materials.gauges import read_gauge
from ..materials.tubular import (
    Tubular,
    nominal_ends,
    outside_beside,
    read_tubular,
    without_outside_words,
)
from .agreement import may_differ
from .number_writing import REMARKS, STATED_WORDS, by_thickness, plainly_written, says_no_number

LOW, HIGH = "low", "high"
OUTSIDE, WALL = "outside", "wall"


@dataclass(frozen=True)
class Manner:
    """How a number may be stated in one field of one kind of record."""

    many: bool = True
    """A range, or several numbers."""
    recorded: bool = False
    """What was measured on a weld that was made."""
    bound: str = ""
    """LOW for a field that is itself a lowest value, HIGH for a highest."""
    size: str = ""
    """OUTSIDE or WALL where sizes of pipe and tube are taken; empty elsewhere."""
    may_be_zero: bool = False
    """Zero is a size here: a root opening or root face."""
    thing: str = ""
    """Key of a field whose sizes are written in a way of their own."""
    designed: bool = False
    """A dimension of the joint's design: a test may state its tolerance in place of what was measured."""
    setting: bool = False
    """Something that was set or held, of which a record of a weld may state no more than a limit."""


@dataclass(frozen=True)
class Measure:
    """What was understood."""

    interval: Interval | None
    """In canonical units; `None` for words that state no number."""
    words: str = ""
    """Such words."""
    limit: Interval | None = None
    """The limit that stands on a record in place of what was welded: `130 max`."""


_ANY = frozenset({"any", "all", "no limit", "unlimited", "no restriction"})
_BEFORE = {
    "<=": (HIGH, False), "=<": (HIGH, False), "≤": (HIGH, False), "⩽": (HIGH, False), "<": (HIGH, True),
    ">=": (LOW, False), "=>": (LOW, False), "≥": (LOW, False), "⩾": (LOW, False), ">": (LOW, True),
    "up to and including": (HIGH, False), "up to": (HIGH, False), "at most": (HIGH, False),
    "not more than": (HIGH, False), "no more than": (HIGH, False), "not over": (HIGH, False),
    "not to exceed": (HIGH, False), "maximum": (HIGH, False), "max.": (HIGH, False), "max": (HIGH, False),
    "less than": (HIGH, True), "below": (HIGH, True), "under": (HIGH, True),
    "at least": (LOW, False), "not less than": (LOW, False), "no less than": (LOW, False),
    "minimum": (LOW, False), "min.": (LOW, False), "min": (LOW, False), "from": (LOW, False),
    "more than": (LOW, True), "above": (LOW, True), "over": (LOW, True),
}  # fmt: skip
_BEHIND = {
    "maximum": (HIGH, False), "max.": (HIGH, False), "max": (HIGH, False), "or less": (HIGH, False),
    "or thinner": (HIGH, False), "or below": (HIGH, False), "and under": (HIGH, False),
    "and below": (HIGH, False), "and less": (HIGH, False), "or smaller": (HIGH, False),
    "minimum": (LOW, False), "min.": (LOW, False), "min": (LOW, False), "or more": (LOW, False),
    "or thicker": (LOW, False), "or above": (LOW, False), "and over": (LOW, False), "and up": (LOW, False),
    "and above": (LOW, False), "and more": (LOW, False), "or larger": (LOW, False), "or over": (LOW, False),
}  # fmt: skip
_ENDS_OF_A_NUMBER = frozenset('0123456789 .,°%"″”')
"""What may stand before a word such as “min”, which is also the end of “in/min”."""
_TOLERANCE = re.compile(r"(?P<middle>[^±+]+?) ?(?:±|\+ ?/ ?[-−–]|\+[-−]) ?(?P<off>[^±+]+)")
_UNEQUAL = re.compile(r"(?P<middle>[^±+]+?) ?\+(?P<up>[^±+|]+?)\|-(?P<down>[^±+|]+)")
_OPEN_RANGE = re.compile(r"(?P<above>above |over )?(?P<low>.+?) to (?P<below>below |under )?(?P<high>.+)")
_BETWEEN_SIZES = re.compile(r",\s+|(?<=/\d),|(?<=/\d\d),| and | or | ?& ?")
_READ = frozenset({"current", "voltage", "wire_feed", "travel_speed", "flow"})
_LONGEST = 120


@lru_cache(maxsize=8192)
def read_measure(text: str, dimension: str, system: str, manner: Manner) -> Measure:
    """Read what stands in a field for a number. Raises QuantityError with a sentence that says how to write
    it."""
    plain = tidy(text).replace("[", "(").replace("]", ")")
    if len(plain) > _LONGEST:
        return Measure(_plainly(text, dimension, system, manner).interval)
    if says_no_number(plain, dimension, manner.may_be_zero):
        return Measure(None, plain)
    if manner.recorded and manner.setting and (limit := _limit(text, dimension, system, manner)):
        return Measure(None, plain, limit)
    plain = plainly_written(plain, dimension, system, may_be_zero=manner.may_be_zero, thing=manner.thing)
    dim = DIMENSIONS[dimension]
    if dimension == "length" and manner.size and (sized := _size(plain, system, manner)) is not None:
        return Measure(Interval.point(sized))
    if plain.endswith(")") and " (" in plain.replace("(", " ("):
        head, _, inner = plain[:-1].rpartition("(")
        head = head.strip()
        if manner.size == OUTSIDE and (outside := outside_beside(head, inner, system)) is not None:
            return Measure(Interval.point(outside))
        if re.search(r"\d$", head) and is_unit_of(inner, dimension):
            return Measure(_read(f"{head} {inner}", dim, system, manner).interval)
        if head.lower() in STATED_WORDS:
            return Measure(_read(inner, dim, system, manner).interval, head)
        if inner.strip().lower() in REMARKS | STATED_WORDS:
            return Measure(_read(head, dim, system, manner).interval)
        if head and re.search(r"\d", head):
            return Measure(_both(head, inner.strip(), dim, system, manner))
    for sign in (" = ", " / "):
        head, found, inner = plain.partition(sign)
        if found and _has_unit(head) and _has_unit(inner):
            if _unit_behind(head).lower() == _unit_behind(inner).lower():
                return Measure(_read(f"{head}, {inner}", dim, system, manner).interval)
            return Measure(_both(head, inner, dim, system, manner))
    return Measure(_read(plain, dim, system, manner).interval)


def _limit(text: str, dimension: str, system: str, manner: Manner) -> Interval | None:
    """The limit a record states of a setting in place of what was read: true of the weld, and no number that
    a range could be reckoned from."""
    claimed = replace(manner, recorded=False, setting=False, many=True)
    with suppress(QuantityError):
        found = read_measure(text, dimension, system, claimed).interval
        if found is not None and (found.low is None or found.high is None):
            return found
    return None


def _has_unit(text: str) -> bool:
    return bool(re.match(r"\D*\d.*[A-Za-z\"°″]", text))


def _read(text: str, dim: Dimension, system: str, manner: Manner) -> Reading:
    """One number, range, bound, tolerance or list."""
    plain = text.strip()
    if manner.bound and dim.key == "temperature" and (steps := by_thickness(plain)):
        ends = [read_quantity(step, dim.key, system, many=False) for step in steps]
        lows = [each.interval.low for each in ends if each.interval.low is not None]
        span = Interval(min(lows), max(lows))
        return _one_end(replace(ends[0], interval=span), manner)
    if manner.size == OUTSIDE and plain.lower() not in _ANY and _size(plain, system, manner) is None:
        plain = without_outside_words(plain)
    if plain.lower() in _ANY:
        return Reading(_anything(manner, text), dim.unit_for(system))
    return (
        _bounded(plain, dim, system, manner)
        or _toleranced(plain, dim, system, manner)
        or _listed(plain, dim, system, manner)
        or _plainly(plain, dim.key, system, manner)
    )


def _plainly(text: str, dimension: str, system: str, manner: Manner) -> Reading:
    """A size of pipe or sheet, or a number or range."""
    if dimension == "length" and manner.size:
        sized = _size(text, system, manner)
        if sized is not None:
            return Reading(Interval.point(sized), DIMENSIONS[dimension].unit_for(system))
        if manner.size == OUTSIDE and (ends := nominal_ends(text, system)) is not None:
            _only_on_claims(manner, text)
            return Reading(Interval(*ends), DIMENSIONS[dimension].unit_for(system))
        if manner.size == OUTSIDE:
            text = without_outside_words(text)
    found = read_quantity(text, dimension, system, many=manner.many or bool(manner.bound))
    return _one_end(found, manner)


def _one_end(found: Reading, manner: Manner) -> Reading:
    """Of a range in a field that is itself a lowest or highest value, that value."""
    ends = {LOW: found.interval.low, HIGH: found.interval.high}
    end = ends.get(manner.bound)
    return found if end is None or manner.many else replace(found, interval=Interval.point(end))


def _size(text: str, system: str, manner: Manner) -> Decimal | None:
    if manner.size == WALL and (sheet := read_gauge(text)) is not None:
        return sheet
    tubular = read_tubular(text, system)
    if tubular is None:
        return None
    found = tubular.outside if manner.size == OUTSIDE else tubular.wall
    if found is None:
        raise QuantityError(_what_is_left_open(tubular, text, manner))
    return found


def _what_is_left_open(tubular: Tubular, text: str, manner: Manner) -> str:
    said = text.strip()
    if not tubular.is_round:
        return f"“{said}” is a square or rectangular tube, which has no outside diameter. Leave it blank."
    if tubular.schedule and tubular.nps is None:
        return f"“{said}” is a wall by schedule. Write the nominal size with it, like NPS 6 Sch 80."
    if manner.size == OUTSIDE:
        return f"“{said}” is a wall. Write the outside diameter here, or NPS and schedule."
    return f"“{said}” gives no wall. Write the schedule or the wall as well, like NPS 6 Sch 80."


def _anything(manner: Manner, text: str) -> Interval:
    _only_on_claims(manner, text)
    return Interval(None, None)


def _only_on_claims(manner: Manner, text: str) -> None:
    if manner.recorded and not manner.designed:
        raise QuantityError(
            f"“{text.strip()}” does not say what was welded. Enter the number that was measured."
        )
    if not manner.many:
        raise QuantityError(f"“{text.strip()}” is not one number. Enter one number.")


def _bounded(text: str, dim: Dimension, system: str, manner: Manner) -> Reading | None:
    low = text.lower()
    between = _OPEN_RANGE.fullmatch(low)
    if between and (between["above"] or between["below"]) and not low.startswith("up to"):
        _only_on_claims(manner, text)
        found = read_quantity(f"{between['low']} to {between['high']}", dim.key, system)
        return replace(
            found, interval=_opened(found.interval, bool(between["above"]), bool(between["below"]))
        )
    for word, (side, is_open) in _BEFORE.items():
        if low.startswith(word) and not low[len(word) :][:1].isalpha():
            rest = text[len(word) :].strip()
            if word == "from" and re.search(r"\bto\b|\d ?[-–] ?\d", rest):
                return _plainly(rest, dim.key, system, manner)
            return _bound(rest, side, is_open, dim, system, manner, text)
    for word, (side, is_open) in _BEHIND.items():
        if low.endswith(word) and low[: -len(word)][-1:] in _ENDS_OF_A_NUMBER:
            if word in ("min", "min.") and dim.key in ("time", "duration"):
                continue  # minutes
            return _bound(text[: -len(word)].strip(" ,"), side, is_open, dim, system, manner, text)
    return None


def _bound(
    rest: str, side: str, is_open: bool, dim: Dimension, system: str, manner: Manner, text: str
) -> Reading:
    if re.search(r"(?<![/\w])(?:max|min)\b", rest.lower()) and dim.key not in ("time", "duration"):
        raise QuantityError(
            f"“{text.strip()}” states two bounds at once. Write them as a range, the smaller number first."
        )
    found = _plainly(rest, dim.key, system, replace(manner, many=False))
    if manner.bound:
        if manner.bound != side and not re.search(r"\d\D*(?:[-–]|\bto\b)\D*\d", rest):
            meant = "lowest" if manner.bound == LOW else "highest"
            raise QuantityError(f"“{text.strip()}”: this field is the {meant} value. Enter that number.")
        return found
    _only_on_claims(manner, text)
    value = found.interval.low
    interval = (
        Interval(value, None, low_open=is_open) if side == LOW else Interval(None, value, high_open=is_open)
    )
    return replace(found, interval=interval)


def _opened(interval: Interval, low: bool, high: bool) -> Interval:
    return replace(interval, low_open=low, high_open=high)


def _toleranced(text: str, dim: Dimension, system: str, manner: Manner) -> Reading | None:
    match = _UNEQUAL.fullmatch(text) or _TOLERANCE.fullmatch(text)
    if not match:
        return None
    if not manner.many and not manner.bound:
        raise QuantityError(f"“{text.strip()}” is a range. Enter one number.")
    parts = match.groupdict()
    up, down = parts.get("up") or parts.get("off") or "", parts.get("down") or parts.get("off") or ""
    unit = _unit_behind(down) or _unit_behind(up)
    own = _unit_behind(match["middle"])
    middle = read_quantity(
        match["middle"] if own or unit == "%" != dim.canonical.symbol else f"{match['middle']} {unit}",
        dim.key,
        system,
        many=False,
    )
    value = middle.interval.low
    assert value is not None
    offsets = [_offset(each, value, own or unit, dim, system) for each in (up, down)]
    if value - offsets[1] < 0 and not dim.signed:
        raise QuantityError(f"“{text.strip()}” reaches below zero; write a range above zero.")
    return _one_end(Reading(Interval(value - offsets[1], value + offsets[0]), middle.unit), manner)


def _unit_behind(text: str) -> str:
    match = re.search(r"[^\d\s.,/](?:.*)$", text.strip())
    return match[0].strip() if match else ""


def _offset(text: str, middle: Decimal, unit: str, dim: Dimension, system: str) -> Decimal:
    """How far a tolerance reaches, in the canonical unit."""
    written = _unit_behind(text)
    if written == "%" and dim.key != "percent":
        share = read_quantity(text, "percent", system, many=False).interval.low
        assert share is not None
        return abs(middle) * share / 100
    # 5 °C more is 9 °F more, and not 41 °F.
    key = "temperature_difference" if dim.key == "temperature" else dim.key
    found = read_quantity(text if written else f"{text} {unit}", key, system, many=False).interval.low
    assert found is not None
    return found


def _listed(text: str, dim: Dimension, system: str, manner: Manner) -> Reading | None:
    parts = [part for part in _BETWEEN_SIZES.split(text) if part.strip()]
    if len(parts) < 2:
        return None
    unit = _unit_behind(parts[-1])
    try:
        found = [
            read_quantity(
                part if _unit_behind(part) or not unit else f"{part} {unit}",
                dim.key,
                system,
                many=manner.many and dim.key in _READ,
            )
            for part in parts
        ]
    except QuantityError:
        return None
    if manner.recorded and not manner.many:
        raise QuantityError(
            f"“{text.strip()}” names {len(parts)} sizes. Give each its own process line; a record states"
            " what was used for one."
        )
    if not manner.many:
        _only_on_claims(manner, text)
    low = min(each.interval.low for each in found if each.interval.low is not None)
    high = max(each.interval.high for each in found if each.interval.high is not None)
    return Reading(Interval(low, high), found[-1].unit)


def _both(head: str, inner: str, dim: Dimension, system: str, manner: Manner) -> Interval:
    """The first of two writings of one quantity, once the second agrees with it."""
    first = _read(head, dim, system, manner)
    other = US if first.unit.symbol == dim.si.symbol and dim.si.symbol != dim.us.symbol else SI
    bare = not _unit_behind(inner) and bool(re.match(r"[.,]", inner) and re.search(r"\d/\d", head))
    second = _read(inner, dim, system if bare else other, replace(manner, many=True))
    if second.interval.is_point and (first.interval.low is None) != (first.interval.high is None):
        end = second.interval.low
        stated = Interval(None, end) if first.interval.low is None else Interval(end, None)
        second = replace(second, interval=stated)
    for one, two in (
        (first.interval.low, second.interval.low),
        (first.interval.high, second.interval.high),
    ):
        if (one is None) != (two is None) or (
            one is not None
            and two is not None
            and abs(one - two) > may_differ(head, first.unit, inner, second.unit, max(one, two), dim)
        ):
            raise QuantityError(
                f"“{head} ({inner})” states two different quantities. Which is right? Enter that one."
            )
    return first.interval
