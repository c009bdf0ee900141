"""Documents drawn at random, as the commands `ranges` and `coverage` take them.

Each begins as a base (a coupon and a weld it covers, typed as a person types them) and is then changed:
entries of other metals, fillers, gases, choices and numbers, ranges and several choices at once, entries left
out or marked, more tests, more lines. Far from every base nothing would ever be covered, and a law about
covered welds would say nothing.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from random import Random
from typing import Any

from ..core.facts import Side
from ..core.quantities import DIMENSIONS, QuantityError, read_quantity
from ..editions.loader import known_edition
from ..interface.questions import InputRefused, coverage_document, ranges_document
from ..interface.schema import use_of_test, use_of_weld
from ..materials.grouping import base_metals, fillers
from ..variables.definition import RecordKind, ValueKind, Variable
from ..variables.registry import registry

Document = dict[str, Any]
Bases = Mapping[str, Document]
"""By name: edition, side, units, and a coupon and a weld of `joint` and `lines` each."""
GASES = ("100Ar", "75Ar/25CO2", "98Ar/2O2", "75Ar/25He", "100He", "100CO2", "100N2", "none")
FACTORS = tuple(Decimal(f) for f in ("0.4", "0.5", "0.8", "0.9", "0.95", "1.05", "1.1", "1.25", "2", "3"))
FOLLOWS = frozenset(
    {"f_number", "a_number", "filler_group", "iso_filler", "filler_form", "group_a", "group_b"}
    | {
        f"{stem}_{side}"
        for stem in ("p_number", "m_number", "d11_group", "iso_group", "s_number")
        for side in "ab"
    }
)
"""Entries that are filled in from the metal or the filler where they are left out."""


@dataclass(frozen=True)
class Place:
    """One entry of a document."""

    entries: dict[str, Any]
    key: str
    use: RecordKind

    @property
    def variable(self) -> Variable:
        return registry()[self.key]

    def set(self, value: Any) -> None:
        if value is None:
            self.entries.pop(self.key, None)
        else:
            self.entries[self.key] = value

    @property
    def value(self) -> Any:
        return self.entries.get(self.key)


def documents(seed: int | str, count: int, bases: Bases) -> Iterator[Document]:
    """`count` questions drawn at random; the same `seed` draws the same."""
    for number in range(count):
        yield drawn(Random(f"{seed}/{number}"), bases)


TRIES = 6
"""Documents drawn in place of one that contradicts itself."""


def drawn(rng: Random, bases: Bases) -> Document:
    """One question, mostly about a weld that some test comes close to; seldom one that is refused."""
    for _ in range(TRIES):
        made = _drawn(rng, bases)
        if answer(made) is not None:
            return made
    return made


def _drawn(rng: Random, bases: Bases) -> Document:
    base = bases[rng.choice(sorted(bases))]
    system = base.get("units", "us")
    asked = {
        "edition": base["edition"],
        "side": base["side"],
        "tests": [_record(base["coupon"], system, n) for n in range(1, rng.choice((1, 1, 2, 2, 3, 4)) + 1)],
        "weld": {"units": system, **_level(base["weld"])},
    }
    for test in asked["tests"][1:]:
        _change(rng, asked, tests_places(asked, test), rng.randint(0, 3))
    _change(rng, asked, tests_places(asked, asked["tests"][0]), rng.choice((0, 0, 1, 2)))
    _change(rng, asked, weld_places(asked), rng.choice((0, 1, 1, 2, 3)))
    if rng.random() < 0.5:
        _widen(rng, asked)
    if rng.random() < 0.15:
        _another_line(rng, asked, bases)
    return asked


def _record(coupon: Document, system: str, number: int) -> Document:
    return {"record": f"T{number}", "units": system, "results_passed": True, **_level(coupon)}


def _level(body: Document) -> Document:
    """Joint and lines without blanks, since a document leaves out what is not stated."""
    joint, lines = copy.deepcopy(body["joint"]), copy.deepcopy(body["lines"])
    return {
        "joint": {k: v for k, v in joint.items() if v != ""},
        "lines": [{k: v for k, v in line.items() if v != ""} for line in lines],
    }


def tests_places(document: Document, test: Document) -> list[Place]:
    """Every entry of one test of a document, joint first, each with the kind of record it is read as."""
    return _places(test, use_of_test(Side(document["side"])))


def weld_places(document: Document) -> list[Place]:
    """Every entry of a document's weld, joint first, each with the kind of record it is read as."""
    return _places(document["weld"], use_of_weld(Side(document["side"])))


def _places(body: Document, use: RecordKind) -> list[Place]:
    return [
        Place(entries, key, use) for entries in (body["joint"], *body["lines"]) for key in sorted(entries)
    ]


def _change(rng: Random, document: Document, places: list[Place], count: int) -> None:
    for place in rng.sample(places, min(count, len(places))):
        if place.key != "process":
            place.set(another(rng, document, place))


def another(rng: Random, document: Document, place: Place) -> Any:
    """Another entry of the same variable; now and then none, or `n/a`."""
    roll, variable = rng.random(), place.variable
    if roll < 0.06:
        return None
    if roll < 0.1:
        return "n/a"
    several = place.use in variable.many and rng.random() < 0.3
    if variable.kind is ValueKind.NUMBER:
        return _number(rng, place, several)
    pool = _pool(document, variable)
    if not pool:
        return "Invented 7"
    if several:
        return sorted(rng.sample(pool, min(len(pool), rng.choice((2, 2, 3)))))
    return rng.choice(pool)


def _pool(document: Document, variable: Variable) -> list[str]:
    made = known_edition(document["edition"])
    if variable.kind is ValueKind.CHOICE:
        return [choice.key for choice in variable.choices]
    if variable.kind is ValueKind.GAS:
        return list(GASES)
    if variable.kind is ValueKind.METAL:
        return sorted(base_metals(made).numbers) or ["6061", "5083", "SA-36"]
    if variable.kind is ValueKind.FILLER:
        known = fillers(made)
        return sorted({*known.f_numbers, *known.groups}) or ["ER5356", "ER4043", "ER70S-6"]
    return []


def ends(text: Any, variable: Variable, system: str) -> tuple[Decimal, Decimal] | None:
    """Both ends of a number as typed, in the canonical unit."""
    try:
        found = read_quantity(str(text), str(variable.dimension), system).interval
    except QuantityError:
        return None
    assert found.low is not None
    assert found.high is not None
    return found.low, found.high


def typed(variable: Variable, low: Decimal, high: Decimal | None = None) -> str:
    """Canonical numbers as a person could type them."""
    unit = DIMENSIONS[str(variable.dimension)].canonical.symbol
    first = f"{low:f} {unit}".strip()
    return first if high is None or high == low else f"{first} to {high:f} {unit}".strip()


def _number(rng: Random, place: Place, several: bool) -> str:
    variable = place.variable
    found = ends(place.value, variable, "us")
    plausible = variable.plausible or (Decimal(1), Decimal(100))
    low = found[0] * rng.choice(FACTORS) if found else plausible[0]
    low = min(max(low, plausible[0]), plausible[1])
    if variable.dimension == "count":
        return str(int(low) or 1)
    high = min(low * rng.choice(FACTORS[5:]), plausible[1]) if several else low
    return typed(variable, low, max(low, high))


def _widen(rng: Random, document: Document) -> None:
    """Claim more at once on the weld: a range or further choices."""
    places = [place for place in weld_places(document) if place.use in place.variable.many]
    for place in rng.sample(places, min(len(places), rng.choice((1, 2, 3)))):
        found = (
            ends(place.value, place.variable, document["weld"]["units"]) if place.variable.dimension else None
        )
        if found:
            low, high = found[0] * rng.choice(FACTORS[:6]), found[1] * rng.choice(FACTORS[4:])
            if low <= high:
                place.set(typed(place.variable, low, high))
        elif place.variable.kind is not ValueKind.NUMBER:
            pool = _pool(document, place.variable)
            held = [place.value] if isinstance(place.value, str) else list(place.value or [])
            if pool and "n/a" not in held and not any(";" in each for each in held):
                place.set(sorted({*held, rng.choice(pool)}))


def _another_line(rng: Random, document: Document, bases: Bases) -> None:
    """A second process line on the weld, and on a test that has it too."""
    alike = [
        body
        for body in bases.values()
        if body["side"] == document["side"] and body["edition"] == document["edition"]
    ]
    other = rng.choice(alike)
    document["weld"]["lines"].append(_level(other["weld"])["lines"][0])
    if rng.random() < 0.5:
        rng.choice(document["tests"])["lines"].append(_level(other["coupon"])["lines"][0])
    else:
        record = _record(other["coupon"], document["tests"][0]["units"], len(document["tests"]) + 1)
        document["tests"].append(record)


def answer(document: Document) -> Document | None:
    """What `coverage` answers; `None` where it refuses the document."""
    try:
        return coverage_document(document)
    except InputRefused:
        return None


def ranges_of(document: Document, test: Document) -> Document | None:
    """What `ranges` answers for one test of the document."""
    try:
        return ranges_document({"edition": document["edition"], "side": document["side"], **test})
    except InputRefused:
        return None
