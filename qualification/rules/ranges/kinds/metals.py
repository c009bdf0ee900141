"""Kinds of rule about the two metals joined, by the edition's system of groups or by name."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

from ...core.findings import Citation
from ...core.values import Absent, Allowed, NotEncoded, NotOnTest, Undetermined
from ...entries.derive import pair_key
from ...materials.grouping import base_metals, minimum_tensile
from ...tabular import schema
from ...tabular.covers import Cover
from ...tabular.edition import Edition
from ...tabular.rulebook import RuleRow
from ...tabular.schema import required
from ...variables.limits import Condition, Limit
from ...variables.metal_systems import SIDES, UNASSIGNED
from ..rule_context import RuleKind, Tested


def _undetermined(tested: Tested) -> list[Limit]:
    needs = [key for key in tested.metals.sides if tested.facts[key] is Absent.MISSING]
    return tested.undetermined(*(needs or ["base_metal_a", "base_metal_b"]))


def _covers_each_side(tested: Tested) -> list[Limit]:
    """By a table of groups of metals: where one row takes both metals of the coupon, its metals may stand on
    either side in any combination; a pair that no row takes whole stands for itself alone."""
    pairs = tested.choices(tested.metals.pair)
    if pairs is None:
        return _undetermined(tested)
    metals = {metal for pair in pairs for metal in pair.split("|")}
    for cover in tested.edition.covers[tested.row.params["covers"]].rows:
        if metals <= cover.tested and not cover.test_when and not cover.weld_when:
            return [
                tested.limit(cover.covers, variable=side, citation=cover.citation, tested=tested.facts[side])
                for side in tested.metals.sides
            ]
    return [tested.limit(pairs, variable=tested.metals.pair)]


def _covers_pair(tested: Tested) -> list[Limit]:
    """The tested pair of metals and those that two tables add to it; see `pairs_covered`."""
    pairs = tested.choices(tested.metals.pair)
    if pairs is None:
        return _undetermined(tested)
    allowed, cited = pairs_covered(tested.edition, pairs, tested.row)
    return [tested.limit(allowed, citation=cited)]


def pairs_covered(edition: Edition, pairs: frozenset[str], row: RuleRow) -> tuple[frozenset[str], Citation]:
    """The tested pairs of metals, the pairs a table adds to them, and the pairs in which a metal of the table
    of stand-ins takes the place of the tested one. A metal without a group stands for itself only."""
    added = [cover for cover in edition.covers[row.params["covers"]].rows if cover.speaks_for(pairs)]
    allowed = set(pairs) | {pair for cover in added for pair in cover.covers}
    stand_ins = edition.covers[row.params["stand_ins"]].rows
    for first, second in (pair.split("|") for pair in pairs if ":" not in pair):
        replacing = [cover for cover in stand_ins if cover.tested & {first, second}]
        allowed |= {pair_key(a, b) for a, b in product(_places(first, replacing), _places(second, replacing))}
        added += replacing
    return frozenset(allowed), next((cover.citation for cover in added), row.citation)


def _places(metal: str, replacing: list[Cover]) -> set[str]:
    return {metal, *(other for cover in replacing if metal in cover.tested for other in cover.covers)}


def _same_group(tested: Tested) -> list[Limit]:
    """Metals with a group within their group by both, where a coupon of two of them also stands for each with
    itself; metals of `by_name` by the metal's own name."""
    numbers = tested.choices(tested.metals.either)
    if numbers is None:
        return _undetermined(tested)
    if numbers & set(tested.row.params["by_name"]):
        named = tested.choices("metal_pair")
        if named is None:
            return tested.undetermined(*_unstated(tested, "base_metal_a", "base_metal_b"))
        return [tested.limit(named, variable="metal_pair")]
    pairs = tested.choices(tested.metals.sub_pair)
    if pairs is None:
        return tested.undetermined(*_unstated(tested, *(tested.metals.sub_side(side) for side in SIDES)))
    with_itself = {pair_key(side, side) for pair in pairs for side in pair.split("|")}
    return [tested.limit(pairs | with_itself)]


def _unstated(tested: Tested, *keys: str) -> list[str]:
    return [key for key in keys if not tested.facts.given(key)] or list(keys)


def _no_stronger_metal(tested: Tested) -> list[Limit]:
    """Within a group of metals, those of which the code asks no more tensile strength than of the tested one.
    Of a coupon of two metals in one group the weaker counts, and the tested pair stands as it is."""
    limits: list[Limit] = []
    for group, names in _tested_by_group(tested).items():
        if names is None:
            return tested.undetermined("base_metal_a", "base_metal_b")
        strengths = {name: _tested_minimum(tested, name) for name in names}
        known = [strength for strength in strengths.values() if strength is not None]
        reach = min(known) if len(known) == len(strengths) else None
        allowed = _no_stronger(tested.edition, group, reach, tested.system)
        allowed |= {name for name, strength in strengths.items() if len(names) == 1 or strength == reach}
        pair = tested.choices("metal_pair")
        as_tested = ((Condition("metal_pair", pair),),) if len(names) > 1 and pair else ()
        unless = (*(tested.conditions(c) for c in tested.row.weld_unless), *as_tested)
        limits += [
            tested.limit(
                frozenset(allowed),
                variable=f"base_metal_{side}",
                unless=unless,
                when=(
                    *tested.conditions(tested.row.weld_when),
                    Condition(tested.metals.side(side), frozenset({group})),
                ),
            )
            for side in SIDES
        ]
    return limits


def _tested_by_group(tested: Tested) -> dict[str, frozenset[str] | None]:
    """Metals of the coupon by the group they are of; `None` where one of them is not named. Metals without a
    group stand for themselves and are left to the rules about pairs."""
    found: dict[str, frozenset[str] | None] = {}
    for side in SIDES:
        groups, names = tested.choices(tested.metals.side(side)), tested.choices(f"base_metal_{side}")
        for group in (groups or frozenset()) - {UNASSIGNED}:
            before = found.get(group, frozenset())
            found[group] = None if names is None or before is None else before | names
    return found


def _tested_minimum(tested: Tested, name: str) -> Decimal | None:
    """What the code asks of a metal as it was tested: on the side where it stands, the lower where on
    both."""
    form = tested.choices("product_form")
    asked = [
        minimum_tensile(
            name,
            tested.edition,
            tested.interval(f"thickness_{side}"),
            next(iter(form)) if form and len(form) == 1 else "",
            tested.system,
        ).strength
        for side in SIDES
        if name in (tested.choices(f"base_metal_{side}") or ())
    ]
    return None if None in asked or not asked else min(strength for strength in asked if strength is not None)


def _no_stronger(edition: Edition, group: str, reach: Decimal | None, system: str) -> set[str]:
    """Metals of a group of which, in every form and thickness, no more than `reach` is asked."""
    tables = base_metals(edition)
    members = [
        name for name, row in tables.numbers.items() if row.number == group and tables.minima.get(name)
    ]
    if reach is None:
        return set()
    return {name for name in members if max(row.minimum.of(system) for row in tables.minima[name]) <= reach}


def _same_in_group(tested: Tested) -> list[Limit]:
    """For metals of the named groups, on whichever side: what the coupon's metal of that group had. With
    `rest` the code allows more, which the tables do not hold."""
    stem = tested.row.variable.removesuffix("_a")
    limits = []
    for group in tested.row.params["groups"]:
        sides = [side for side in SIDES if group in (tested.choices(tested.metals.side(side)) or ())]
        if not sides:
            continue
        values = [tested.choices(f"{stem}_{side}") for side in sides]
        missing = tuple(f"{stem}_{side}" for side, value in zip(sides, values, strict=True) if value is None)
        allowed: Allowed = (
            Undetermined(missing) if missing else frozenset().union(*(value for value in values if value))
        )
        if all(tested.facts[f"{stem}_{side}"] is Absent.NOT_APPLICABLE for side in sides):
            allowed = NotOnTest(tested.row.params["rest"] == "not_encoded")
        beyond = tested.row.params["rest"] == "not_encoded" and isinstance(allowed, frozenset)
        limits += [
            tested.limit(
                NotEncoded() if beyond else allowed,
                variable=f"{stem}_{side}",
                tested=tested.facts[f"{stem}_{sides[0]}"],
                unless=(
                    *(tested.conditions(c) for c in tested.row.weld_unless),
                    *([(Condition(f"{stem}_{side}", allowed),)] if beyond else []),
                ),
                when=(
                    *tested.conditions(tested.row.weld_when),
                    Condition(tested.metals.side(side), frozenset({group})),
                ),
            )
            for side in SIDES
        ]
    return limits


METAL_KINDS: dict[str, RuleKind] = {
    "covers_each_side": RuleKind(lambda _: {"covers": required(schema.text)}, _covers_each_side),
    "covers_pair": RuleKind(
        lambda _: {"covers": required(schema.text), "stand_ins": required(schema.text)}, _covers_pair
    ),
    "no_stronger_metal": RuleKind(lambda _: {}, _no_stronger_metal),
    "same_in_group": RuleKind(
        lambda _: {"groups": required(schema.keys), "rest": schema.one_of("not_encoded")}, _same_in_group
    ),
    "same_group": RuleKind(lambda _: {"by_name": required(schema.keys)}, _same_group),
}
