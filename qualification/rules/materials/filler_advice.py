"""Advice on the choice of an aluminium filler: what the trade avoids and what it usually takes.

Advice is never a verdict. It comes from `tables/catalogue/filler_advice.toml`, each sentence with its source;
the code in force, the drawing and the shop's responsible person decide.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from ..tabular import edition, schema
from ..tabular.schema import Column, TablePlace, read_row, required
from .catalogue import FOLDER, ORIGIN, Catalogue, Filler, Metal, Origin, catalogue, origin

FILE = "filler_advice.toml"
PURPOSES = {
    "strength": "Strength and ductility",
    "cracking": "Resistance to hot cracking",
    "colour": "Color match after anodizing",
    "hot_service": "Service above 65 °C (150 °F)",
}


@dataclass(frozen=True)
class Advice:
    key: str
    level: str
    """`avoid`, `caution` or `note`."""
    sentence: str
    origin: Origin


@dataclass(frozen=True)
class FillerChoice:
    """Fillers usually taken for one pair of metals and one purpose; none means that none is recommended."""

    purpose: str
    """A key of PURPOSES."""
    fillers: tuple[str, ...]
    origin: Origin


@dataclass(frozen=True)
class _Rule:
    advice: Advice
    metals: frozenset[str] | None
    series: frozenset[str] | None
    magnesium_above: Decimal | None
    filler_series: frozenset[str] | None
    filler_magnesium_above: Decimal | None
    without_filler: bool

    def speaks_of_metal(self, metal: Metal) -> bool:
        if self.metals is not None and metal.key not in self.metals:
            return False
        if self.series is not None and metal.series not in self.series:
            return False
        return self.magnesium_above is None or (
            metal.magnesium is not None and metal.magnesium > self.magnesium_above
        )

    @property
    def asks_about_filler(self) -> bool:
        return self.filler_series is not None or self.filler_magnesium_above is not None

    def speaks_of_filler(self, filler: Filler | None) -> bool:
        if not self.asks_about_filler:
            return True
        if filler is None or (self.filler_series is not None and filler.series not in self.filler_series):
            return False
        above = self.filler_magnesium_above
        return above is None or (filler.magnesium is not None and filler.magnesium > above)


@dataclass(frozen=True)
class _Pair:
    side_a: frozenset[str]
    side_b: frozenset[str]
    choices: tuple[FillerChoice, ...]


@dataclass(frozen=True)
class AdviceTable:
    rules: tuple[_Rule, ...]
    pairs: tuple[_Pair, ...]


def _metals(raw: Any, place: TablePlace) -> frozenset[str]:
    return _known(raw, catalogue().metals, "metal", place)


def _fillers(raw: Any, place: TablePlace) -> tuple[str, ...]:
    if raw == []:
        return ()
    _known(raw, catalogue().fillers, "filler", place)
    return schema.keys(raw, place)


def _known(raw: Any, among: Mapping[str, object], what: str, place: TablePlace) -> frozenset[str]:
    found = frozenset(schema.keys(raw, place))
    if found - set(among):
        raise place.fail(f"{sorted(found - set(among))[0]!r} is not a {what} of the catalogue")
    return found


def _series(raw: Any, place: TablePlace) -> frozenset[str]:
    found = frozenset(schema.keys(raw, place))
    if any(len(digit) != 1 or not digit.isdecimal() for digit in found):
        raise place.fail(f"expected first digits of alloys, found {raw!r}")
    return found


ADVICE: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.text),
    "level": required(schema.one_of("avoid", "caution", "note")),
    "sentence": required(schema.text),
    "metals": _metals,
    "series": _series,
    "magnesium_above": schema.number,
    "filler_series": _series,
    "filler_magnesium_above": schema.number,
    "without_filler": schema.yes_no,
}
PAIR: dict[str, Column] = {
    **ORIGIN,
    "side_a": required(_metals),
    "side_b": required(_metals),
    **dict.fromkeys(PURPOSES, _fillers),
}


@lru_cache(maxsize=1)
def advice_table() -> AdviceTable:
    """The advice that ships with the program. Raises TableError when it cannot be trusted."""
    return build_advice(edition.read_files(edition.ROOT / FOLDER).get(FILE, {}), catalogue())


def build_advice(raw: Mapping[str, Any], known: Catalogue) -> AdviceTable:
    """Check the parsed file. Raises TableError naming the row."""
    whole = TablePlace(FOLDER, FILE)
    if set(raw) != {"advice", "pair"}:
        raise whole.fail("expected [[advice]] and [[pair]] entries")
    rules: dict[str, _Rule] = {}
    for item, place in schema.numbered(raw["advice"], whole, "advice", "key"):
        rule = _rule(read_row(item, ADVICE, place), known, place)
        if rule.advice.key in rules:
            raise place.fail("is listed twice")
        rules[rule.advice.key] = rule
    pairs: list[_Pair] = []
    for item, place in schema.numbered(raw["pair"], whole, "pair"):
        pairs.append(_pair(read_row(item, PAIR, place), known, place))
        _check_pair(pairs, place)
    return AdviceTable(tuple(rules.values()), tuple(pairs))


def _rule(row: Mapping[str, Any], known: Catalogue, place: TablePlace) -> _Rule:
    conditions = ("metals", "series", "magnesium_above", "filler_series", "filler_magnesium_above")
    if all(row[key] is None for key in conditions):
        raise place.fail("speaks of every joint; give a condition")
    made = _Rule(
        Advice(row["key"], row["level"], row["sentence"], origin(row, known.sources, place)),
        without_filler=bool(row["without_filler"]),
        **{key: row[key] for key in conditions},
    )
    if made.without_filler and made.asks_about_filler:
        raise place.fail("asks for a filler and for none")
    return made


def _pair(row: Mapping[str, Any], known: Catalogue, place: TablePlace) -> _Pair:
    where = origin(row, known.sources, place)
    choices = tuple(
        FillerChoice(purpose, row[purpose], where) for purpose in PURPOSES if row[purpose] is not None
    )
    if not choices:
        raise place.fail("names no filler for any purpose")
    return _Pair(row["side_a"], row["side_b"], choices)


def _check_pair(pairs: list[_Pair], place: TablePlace) -> None:
    new = pairs[-1]
    for a in new.side_a:
        for b in new.side_b:
            if any(_is_pair(old, a, b) for old in pairs[:-1]):
                raise place.fail(f"{a} with {b} stands in an earlier pair")


def _is_pair(pair: _Pair, a: str, b: str) -> bool:
    return (a in pair.side_a and b in pair.side_b) or (b in pair.side_a and a in pair.side_b)


def filler_advice(
    metal_a: Metal, metal_b: Metal, filler: Filler | None = None, *, without_filler: bool = False
) -> tuple[Advice, ...]:
    """What the trade says against this combination, worst first.

    With `filler` left out only the metals are judged; `without_filler` says that none is added.
    """
    found = []
    for rule in advice_table().rules:
        if rule.without_filler and not without_filler:
            continue
        about_metals = rule.metals is not None or rule.series is not None or rule.magnesium_above is not None
        if about_metals and not (rule.speaks_of_metal(metal_a) or rule.speaks_of_metal(metal_b)):
            continue
        if rule.speaks_of_filler(None if without_filler else filler):
            found.append(rule.advice)
    order = ("avoid", "caution", "note")
    return tuple(sorted(found, key=lambda advice: order.index(advice.level)))


def filler_choices(metal_a: Metal, metal_b: Metal) -> tuple[FillerChoice, ...]:
    """The fillers usually taken for the pair, by purpose; empty when the table does not know the pair."""
    for pair in advice_table().pairs:
        if _is_pair(pair, metal_a.key, metal_b.key):
            return pair.choices
    return ()
