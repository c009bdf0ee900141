"""Kinds of rule about the two metals joined, as P-Numbers, Group Numbers or names."""

from __future__ import annotations

from itertools import product

from . import schema
from .covers import Cover
from .derive import pair_key
from .findings import Citation
from .limits import Limit
from .rulebook import RuleRow
from .schema import required
from .tables import Edition
from .tested import Kind, Tested
from .values import Absent


def _undetermined(tested: Tested) -> list[Limit]:
    needs = [key for key in ("p_number_a", "p_number_b") if tested.facts[key] is Absent.MISSING]
    return tested.undetermined(*(needs or ["base_metal_a", "base_metal_b"]))


def _covers_each_side(tested: Tested) -> list[Limit]:
    """By a table of groups of metals: where one row takes both metals of the coupon, its metals may stand on
    either side in any combination; a pair that no row takes whole stands for itself alone."""
    pairs = tested.choices("p_pair")
    if pairs is None:
        return _undetermined(tested)
    metals = {metal for pair in pairs for metal in pair.split("|")}
    for cover in tested.edition.covers[tested.row.params["covers"]].rows:
        if metals <= cover.tested and not cover.test_when and not cover.weld_when:
            return [
                tested.limit(cover.covers, variable=side, citation=cover.citation, tested=tested.facts[side])
                for side in ("p_number_a", "p_number_b")
            ]
    return [tested.limit(pairs, variable="p_pair")]


def _covers_pair(tested: Tested) -> list[Limit]:
    """The tested pair of metals and those that two tables add to it; see `pairs_covered`."""
    pairs = tested.choices("p_pair")
    if pairs is None:
        return _undetermined(tested)
    allowed, cited = pairs_covered(tested.edition, pairs, tested.row)
    return [tested.limit(allowed, citation=cited)]


def pairs_covered(edition: Edition, pairs: frozenset[str], row: RuleRow) -> tuple[frozenset[str], Citation]:
    """The tested pairs of metals, the pairs a table adds to them, and the pairs in which a metal of the table
    of stand-ins takes the place of the tested one. A metal without a P-Number stands for itself only."""
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
    """Metals with a Group Number by P- and Group Number, where a coupon of two groups also stands for each
    with itself; metals of `by_name` by the metal's own name."""
    numbers = tested.choices("p_numbers")
    if numbers is None:
        return _undetermined(tested)
    if numbers & set(tested.row.params["by_name"]):
        named = tested.choices("metal_pair")
        if named is None:
            return tested.undetermined(*_unstated(tested, "base_metal_a", "base_metal_b"))
        return [tested.limit(named, variable="metal_pair")]
    pairs = tested.choices("group_pair")
    if pairs is None:
        return tested.undetermined(*_unstated(tested, "group_a", "group_b"))
    with_itself = {pair_key(side, side) for pair in pairs for side in pair.split("|")}
    return [tested.limit(pairs | with_itself)]


def _unstated(tested: Tested, *keys: str) -> list[str]:
    return [key for key in keys if not tested.facts.given(key)] or list(keys)


METAL_KINDS: dict[str, Kind] = {
    "covers_each_side": Kind(lambda _: {"covers": required(schema.text)}, _covers_each_side),
    "covers_pair": Kind(lambda _: {"covers": required(schema.text), "stand_ins": required(schema.text)}, _covers_pair),
    "same_group": Kind(lambda _: {"by_name": required(schema.keys)}, _same_group),
}
