"""The laws: each takes a document and says in words where it is broken."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from decimal import Decimal
from random import Random
from typing import Any

from ..core.facts import Coupon, Side
from ..core.quantities import DIMENSIONS, SI, US
from ..core.values import Interval
from ..editions.loader import known_edition
from ..entries.derive import derive
from ..entries.reading import read_weld
from ..interface.schema import use_of_test, use_of_weld
from ..materials.grouping import group
from ..ranges.house import HouseLimit, narrowed
from ..ranges.joining import Joins
from ..ranges.prequalified import answer_for
from ..ranges.ranges import range_qualified
from ..variables.definition import Level, ValueKind
from ..variables.registry import registry
from .as_weld import as_weld
from .documents import (
    FOLLOWS,
    Document,
    Place,
    another,
    answer,
    ends,
    ranges_of,
    tests_places,
    typed,
    weld_places,
)

Broken = Iterator[str]
Law = Callable[[Random, Document], Broken]
WORDS_FOR_NONE = frozenset({"n/a", "none", "no"})


def is_covered(found: Document | None) -> bool:
    """True for an answer that covers the weld; false for one that does not, and where there was none."""
    return found is not None and bool(found["covered"])


def _copy(document: Document) -> Document:
    return copy.deepcopy(document)


def part_of_box(rng: Random, document: Document) -> Broken:
    """A covered box covers each point and each smaller box in it."""
    if not is_covered(answer(document)):
        return
    for _ in range(3):
        smaller = _copy(document)
        for place in weld_places(smaller):
            _narrow(rng, place, smaller["weld"]["units"])
        found = answer(smaller)
        if found is not None and not found["covered"]:
            yield f"a part is {found['verdict']}: {found['sentence']} {_difference(document, smaller)}"


def _narrow(rng: Random, place: Place, system: str) -> None:
    if place.key == "thickness_b" and place.value == "same":
        return
    if isinstance(place.value, list) and place.value:
        place.set(sorted(rng.sample(place.value, rng.randint(1, len(place.value)))))
    elif place.variable.kind is ValueKind.NUMBER:
        found = ends(place.value, place.variable, system)
        if found and found[0] < found[1]:
            span = found[1] - found[0]
            cuts = sorted(found[0] + span * rng.randint(0, 16) / 16 for _ in range(2))
            place.set(typed(place.variable, cuts[0], rng.choice(cuts)))


def _difference(before: Document, after: Document) -> str:
    """Entries of the weld or of tests that differ."""
    told = []
    for name, old, new in (
        ("weld", before["weld"], after["weld"]),
        *((t["record"], t, u) for t, u in zip(before["tests"], after["tests"], strict=False)),
    ):
        for was, is_ in zip((old["joint"], *old["lines"]), (new["joint"], *new["lines"]), strict=False):
            told += [
                f"{name}.{key}: {was.get(key)!r} -> {is_.get(key)!r}"
                for key in sorted({*was, *is_})
                if was.get(key) != is_.get(key)
            ]
    return "; ".join(told)


def less_told(rng: Random, document: Document) -> Broken:
    """An entry left out, or marked as not applicable, never turns an answer to covered."""
    before = answer(document)
    if before is None or before["covered"]:
        return
    for where in ("weld", rng.randrange(len(document["tests"]))):
        for value in (None, "n/a"):
            poorer = _copy(document)
            places = weld_places(poorer) if where == "weld" else tests_places(poorer, poorer["tests"][where])
            places = [p for p in places if p.key != "process" and (value or p.key not in FOLLOWS)]
            for place in rng.sample(places, min(len(places), 4)):
                if value and _means_none(place, poorer, where):
                    continue
                held = place.value
                place.set(value)
                found = answer(poorer)
                if is_covered(found):
                    yield f"covered with {where} {place.key} {value!r}; {before['sentence']}"
                place.set(held)


def _means_none(place: Place, document: Document, where: object) -> bool:
    """Where `n/a` is what the other side says as well, or where the code reads it as a value."""
    if str(place.value) in WORDS_FOR_NONE or (place.key == "wire_feed" and where == "weld"):
        return True
    if place.key in ("backing_gas", "trailing_gas", "shielding_gas"):
        return True
    bodies = document["tests"] if where == "weld" else [document["weld"]]
    return any(
        "n/a" in (level.get(place.key),) for body in bodies for level in (body["joint"], *body["lines"])
    )


def more_tests(rng: Random, document: Document) -> Broken:
    """More tests, tests told twice and tests in another order never take coverage away."""
    before = answer(document)
    if before is None:
        return
    turned = _copy(document)
    rng.shuffle(turned["tests"])
    found = answer(turned)
    if found is None or found["verdict"] != before["verdict"]:
        yield f"in another order: {before['verdict']} -> {found and found['verdict']}"
    if not before["covered"]:
        return
    twice = _copy(document)
    twice["tests"] += [{**t, "record": f"{t['record']} again"} for t in _copy(document)["tests"]]
    if not is_covered(answer(twice)):
        yield "told twice, the tests no longer cover"
    more = _copy(document)
    extra = _copy(rng.choice(document["tests"])) | {"record": "extra"}
    places = tests_places(more, extra)
    for place in rng.sample(places, min(4, len(places))):
        if place.key != "process":
            place.set(another(rng, more, place))
    more["tests"].insert(rng.randint(0, len(more["tests"])), extra)
    found = answer(more)
    if found is not None and not found["covered"]:
        yield f"one more test: {found['sentence']}"


FIXED = frozenset(
    {"interpass_max", "preheat_min", "fillet_size", "covering_type", "iso_process", "heat_input_measure"}
)
"""Variables for which codes name numbers or choices of their own, whatever the coupon had."""
FIXED_OF_TACKS = frozenset({"backed"})
"""The same of a tack welder's test, which breaks as a fillet without backing and takes in none in grooves."""


def equal_of(rng: Random, document: Document) -> Broken:
    """A coupon never refuses the weld that is its equal, but for what a code fixes whatever was tested. A
    coupon of two thicknesses counts by one of them, so it may be refused by the other; one whose passes ran
    further from their mean than the code lets a procedure go is no equal of its mean."""
    for test in document["tests"]:
        alike = test["joint"].get("thickness_b") in ("same", test["joint"].get("thickness_a"))
        weld = as_weld(test, document) if alike else None
        if weld is None:
            continue
        found = answer(document | {"tests": [test], "weld": weld})
        if found is None:
            continue
        refused = {f["variable"] for f in found["obstacles"] if f["verdict"] == "not_covered"}
        by_mean = {
            key.removesuffix("_mean") for line in test["lines"] for key in line if key.endswith("_mean")
        }
        fixed = FIXED | FIXED_OF_TACKS if test["joint"].get("weld_type") == "tack" else FIXED
        if refused - fixed - by_mean:
            yield f"{test['record']} refuses its equal: {found['sentence']}"


def printed_ends(text: str, unit: str) -> list[str]:
    """Ends of a printed range that lie inside it, as a person would type them."""
    text = text.strip().replace("−", "-")
    for words in (" or more", "up to "):
        text = text.replace(words, "")
    found = []
    for piece in text.split(" to "):
        if piece.startswith(("above ", "below ", "no limit", "about ")):
            continue
        number = piece.removesuffix(unit).strip() if unit else piece
        found.append(f"{number} {unit}".strip())
    return found


def as_printed(rng: Random, document: Document) -> Broken:
    """A printed limit typed back is not refused, in either unit system; a printed choice neither."""
    test = rng.choice(document["tests"])
    found = ranges_of(document, test)
    if found is None or not found["lines"]:
        return
    rows = [row for line in found["lines"] for row in line["rows"] if row["binds"]]
    use = use_of_weld(Side(document["side"]))
    for row in rng.sample(rows, min(6, len(rows))):
        variable = registry()[row["variable"]]
        if variable.derived or use not in variable.uses or row["exact"]["qualified"]["kind"] != "interval":
            continue
        if row["line"] is not None and row["line"] >= len(document["weld"]["lines"]):
            continue
        for text, system in _both_systems(row["qualified"], test["units"]):
            unit = DIMENSIONS[str(variable.dimension)].unit_for(system).symbol
            for entry in printed_ends(text, unit):
                yield from _typed_back(document, test, row, entry)


def _both_systems(text: str, system: str) -> list[tuple[str, str]]:
    other = SI if system == US else US
    first, _, second = text.partition(" (")
    return [(first, system), *([(second.rstrip(")"), other)] if second else [])]


def _typed_back(document: Document, test: Document, row: Document, entry: str) -> Broken:
    asked = _copy(document) | {"tests": [test]}
    level = registry()[row["variable"]].level
    line = asked["weld"]["lines"][row["line"]] if level is Level.LINE else asked["weld"]["joint"]
    line[row["variable"]] = entry
    found = answer(asked)
    if found is None:
        return
    for finding in found["lines"][row["line"]]["findings"]:
        same = (
            finding["variable"] == row["variable"]
            and finding["exact"]["qualified"] == row["exact"]["qualified"]
        )
        if same and finding["verdict"] == "not_covered":
            yield f"{row['variable']} printed as {row['qualified']!r}, {entry!r} refused ({row['clause']})"


def other_units(rng: Random, document: Document) -> Broken:
    """The same weld written in the other unit system is judged alike."""
    turned = _copy(document)
    system = turned["weld"]["units"]
    for place in weld_places(turned):
        if place.variable.kind is ValueKind.NUMBER and isinstance(place.value, str):
            found = ends(place.value, place.variable, system)
            if found:
                place.set(typed(place.variable, *found))
    turned["weld"]["units"] = SI if system == US else US
    before, after = answer(document), answer(turned)
    if (before and before["verdict"]) != (after and after["verdict"]):
        told = " / ".join(str(found and found["sentence"]) for found in (before, after))
        yield f"{told} {_difference(document, turned)}"


def house_narrows(rng: Random, document: Document) -> Broken:
    """Limits laid over a code only narrow."""
    side, made = Side(document["side"]), known_edition(document["edition"])
    read = read_weld(
        document["weld"]["joint"], document["weld"]["lines"], use_of_weld(side), document["weld"]["units"]
    )
    ranges = [
        range_qualified(
            Coupon(
                t["record"], read_weld(t["joint"], t["lines"], use_of_test(side), t["units"]).weld, t["units"]
            ),
            made,
            side,
        )
        for t in document["tests"]
    ]
    plain = answer_for(read.weld, ranges, made, side, document["weld"]["units"], without_test=False)
    whole = derive(group(read.weld, made))
    for index in range(len(whole.lines)):
        facts = whole.line_facts(index)
        for key in rng.sample(sorted(facts), min(3, len(facts))):
            value = facts[key]
            if isinstance(value, Interval) and value.low is not None:
                allowed: Any = Interval(
                    value.low * rng.choice((Decimal("0.5"), Decimal(1), Decimal(2))), None
                )
            elif isinstance(value, frozenset) and value:
                allowed = frozenset(rng.sample(sorted(value), 1))
            else:
                continue
            limit = HouseLimit("Invented Works", key, allowed, "Invented.")
            if narrowed(plain, read.weld, [limit], made).verdict < plain.verdict:
                yield f"a limit on {key} widens"


def both_choices(rng: Random, document: Document) -> Broken:
    """Where each choice of a variable that tests join along is covered, all of them are; likewise two ranges
    that meet."""
    joins = Joins.of(known_edition(document["edition"]), Side(document["side"]))
    for place in weld_places(document):
        if place.key not in joins.along or place.use not in place.variable.many:
            continue
        for one, other, both in _halves(rng, document, place):
            answers = []
            for value in (one, other, both):
                asked = _copy(document)
                next(p for p in weld_places(asked) if _is_same(p, place, asked, document)).set(value)
                answers.append(answer(asked))
            if (
                is_covered(answers[0])
                and is_covered(answers[1])
                and answers[2]
                and not is_covered(answers[2])
            ):
                yield f"{place.key} {one!r}, {other!r} covered, {both!r} not: {answers[2]['sentence']}"


def _halves(rng: Random, document: Document, place: Place) -> list[tuple[Any, Any, Any]]:
    if isinstance(place.value, list) and len(place.value) > 1:
        at = rng.randint(1, len(place.value) - 1)
        return [(place.value[:at], place.value[at:], place.value)]
    if place.variable.kind is ValueKind.NUMBER:
        found = ends(place.value, place.variable, document["weld"]["units"])
        if found and found[0] < found[1]:
            middle = found[0] + (found[1] - found[0]) * rng.randint(1, 7) / 8
            return [
                (
                    typed(place.variable, found[0], middle),
                    typed(place.variable, middle, found[1]),
                    typed(place.variable, *found),
                )
            ]
    return []


def _is_same(one: Place, other: Place, document: Document, original: Document) -> bool:
    if one.key != other.key:
        return False
    levels = [document["weld"]["joint"], *document["weld"]["lines"]]
    originals = [original["weld"]["joint"], *original["weld"]["lines"]]
    return next(n for n, e in enumerate(levels) if e is one.entries) == next(
        n for n, e in enumerate(originals) if e is other.entries
    )


LAWS: dict[str, Law] = {
    law.__name__: law
    for law in (
        part_of_box,
        less_told,
        more_tests,
        equal_of,
        as_printed,
        other_units,
        house_narrows,
        both_choices,
    )
}
"""By name; every document has to keep each of them."""
