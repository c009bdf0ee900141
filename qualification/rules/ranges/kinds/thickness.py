"""Kinds of rule about thickness: base metal by the coupon's two sides, deposit, lowest thickness for
toughness."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from ...core.findings import Citation
from ...core.values import Absent, Interval, Undetermined
from ...tabular import schema
from ...tabular.rulebook import RuleRow
from ...tabular.schema import required
from ...variables.limits import Condition, Limit, Truth
from ...variables.registry import registry
from ..rule_context import RuleKind, Tested
from .metals import pairs_covered

THICKNESSES = ("thinner", "thicker")


def band_interval(
    tested: Tested, table: str, value: Decimal, of: Mapping[str, Decimal | None]
) -> tuple[Interval, Citation]:
    """The interval a band allows, and its citation; factors are of `value`, `high_of` names an entry of
    `of`."""
    band = tested.edition.bands[table].at(value, tested.system)
    low, high = (_end(band.columns, end, value, tested.system) for end in ("low", "high"))
    if band.columns["high_of"] is not None and band.columns["high_of"] in of:
        high = of[band.columns["high_of"]]
    return Interval(low, high), band.citation


def _end(columns: Mapping[str, Any], end: str, value: Decimal, system: str) -> Decimal | None:
    """One end of a band: a number, a multiple of `value`, or whichever of the two the table picks."""
    fixed, factor = columns[end], columns[f"{end}_factor"]
    ways = ([fixed.of(system)] if fixed else []) + ([value * factor] if factor is not None else [])
    if not ways:
        return None
    return min(ways) if columns[f"{end}_pick"] == "smaller" else max(ways)


def is_encoded(tested: Tested, table: str, value: Decimal) -> bool:
    """False in a band that the table names without saying what it allows."""
    return not tested.edition.bands[table].at(value, tested.system).columns["not_encoded"]


def _sides(tested: Tested) -> tuple[Interval, Interval] | None:
    """The coupon's thinner and thicker side."""
    thinner, thicker = tested.interval("thickness_thinner"), tested.interval("thickness_thicker")
    return None if thinner is None or thicker is None else (thinner, thicker)


def _missing(tested: Tested, *keys: str) -> tuple[str, ...]:
    return tuple(key for key in keys if tested.facts[key] is Absent.MISSING) or keys


def _of_unlike_metals(tested: Tested) -> bool | None:
    """Whether the coupon joins two groups of metals; `None` when the record does not say."""
    pairs = tested.choices(tested.metals.pair)
    return None if pairs is None else any(len(set(pair.split("|"))) > 1 for pair in pairs)


def _groove_thickness(tested: Tested) -> list[Limit]:
    """Base-metal thickness from the coupon's, thinner and thicker side each. A coupon of unlike thickness in
    one group of metals counts by its thicker side, one of two groups by each side on its own."""
    sides = _sides(tested)
    if sides is None:
        return _both_undetermined(tested, _missing(tested, "thickness_a", "thickness_b"))
    thinner, thicker = sides
    unlike = _of_unlike_metals(tested) if thinner != thicker else False
    if unlike is None:
        return _both_undetermined(tested, _missing(tested, *tested.metals.sides))
    if unlike:
        return _sides_apart(tested)
    if thicker.high is None:
        return _both_undetermined(tested, ("thickness_a", "thickness_b"))
    interval, cited = band_interval(tested, tested.row.params["bands"], thicker.high, {})
    return [limit for side in THICKNESSES for limit in _with_freed_upper_end(tested, interval, cited, side)]


def _both_undetermined(tested: Tested, needs: tuple[str, ...]) -> list[Limit]:
    return [tested.limit(Undetermined(needs), variable=f"thickness_{side}") for side in THICKNESSES]


def _with_freed_upper_end(tested: Tested, interval: Interval, cited: Citation, side: str) -> list[Limit]:
    """The interval as one limit; where rows free its upper end, the lower end alone, and the upper end
    unless the weld meets what those rows ask."""
    settings = {
        "variable": f"thickness_{side}",
        "citation": cited,
        "tested": tested.facts["thickness_thicker"],
    }
    freeing = [row for row in tested.edition.procedure if _frees(row, tested, side)]
    for row in freeing:
        if not row.weld_when:
            return [
                tested.limit(
                    Interval(interval.low, None),
                    **{**settings, "citation": row.citation, "because": row.because},
                )
            ]
    if not freeing:
        return [tested.limit(interval, **settings)]
    exemptions = tuple(
        tested.conditions(specs) for specs in (*tested.row.weld_unless, *(row.weld_when for row in freeing))
    )
    return [
        tested.limit(Interval(interval.low, None), **settings),
        tested.limit(Interval(None, interval.high), unless=exemptions, **settings),
    ]


def _frees(row: RuleRow, tested: Tested, side: str) -> bool:
    return (
        row.rule == "frees_upper_thickness"
        and side in row.params["sides"]
        and tested.process in row.standing
        and tested.holds(row.test_when) is Truth.YES
        and not any(tested.exempted_by(specs) is not Truth.NO for specs in row.test_unless)
    )


def _sides_apart(tested: Tested) -> list[Limit]:
    """Limits per side for a coupon of two groups of metals and two thicknesses: each side of the weld is held
    against the coupon side of its own group, so a weld with the sides swapped is judged alike. A metal
    that is on neither side of the coupon, covered in place of one of them, has to meet both."""
    limits = []
    others = _metals_in_their_place(tested)
    for tested_side in ("a", "b"):
        thickness, metal = (
            tested.interval(f"thickness_{tested_side}"),
            tested.choices(tested.metals.side(tested_side)),
        )
        assert thickness is not None
        assert metal is not None
        if thickness.high is None:
            return _both_undetermined(tested, (f"thickness_{tested_side}",))
        interval, cited = band_interval(tested, tested.row.params["bands"], thickness.high, {})
        for side, metals in ((side, metals) for side in ("a", "b") for metals in (metal, others) if metals):
            when = (*tested.conditions(tested.row.weld_when), Condition(tested.metals.side(side), metals))
            limits.append(
                tested.limit(
                    interval, variable=f"thickness_{side}", citation=cited, when=when, tested=thickness
                )
            )
    return limits


def _metals_in_their_place(tested: Tested) -> frozenset[str]:
    """Groups of metals the coupon covers without holding them."""
    pairs, own = tested.choices(tested.metals.pair), tested.choices(tested.metals.either)
    assert pairs is not None
    assert own is not None
    covered = [
        pairs_covered(tested.edition, pairs, row)[0]
        for row in tested.edition.procedure
        if row.rule == "covers_pair"
    ]
    return frozenset(metal for found in covered for pair in found - pairs for metal in pair.split("|")) - own


def _frees_upper_thickness(tested: Tested) -> list[Limit]:
    """Limits nothing by itself: `_groove_thickness` reads these rows and lifts the upper end it would set."""
    return []


def _deposit_thickness(tested: Tested) -> list[Limit]:
    """Deposit from the tested deposit; thick deposits may go as far as the base metal may. Of a coupon of two
    groups of metals the thinner side counts, of one group the thicker."""
    deposit, sides = tested.interval("deposit_thickness"), _sides(tested)
    if deposit is None or deposit.high is None:
        return tested.undetermined("deposit_thickness")
    columns = tested.edition.bands[tested.row.params["deposit_bands"]].at(deposit.high, tested.system).columns
    of: dict[str, Decimal | None] = {}
    if columns["high_of"] is not None:
        if sides is None:
            return tested.undetermined(*_missing(tested, "thickness_a", "thickness_b"))
        by = sides[1] if sides[0] == sides[1] or _of_unlike_metals(tested) is False else sides[0]
        if by.high is None:
            return tested.undetermined("thickness_a", "thickness_b")
        base, _ = band_interval(tested, tested.row.params["bands"], by.high, {})
        of = {columns["high_of"]: base.high}
    interval, cited = band_interval(tested, tested.row.params["deposit_bands"], deposit.high, of)
    return [tested.limit(interval, citation=cited)]


def _floor(tested: Tested) -> list[Limit]:
    """A lowest value: the tested one or a ceiling of the code, whichever is smaller; thin coupons by a
    factor."""
    by = tested.row.params["by"] or tested.row.variable
    found = tested.interval(by)
    if found is None or found.low is None:
        return tested.undetermined(by)
    params, system = tested.row.params, tested.system
    if found.low < params["thin_below"].of(system):
        return [tested.limit(Interval(found.low * params["thin_factor"], None), tested=found)]
    return [tested.limit(Interval(min(found.low, params["ceiling"].of(system)), None), tested=found)]


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


THICKNESS_KINDS: dict[str, RuleKind] = {
    "floor": RuleKind(
        lambda v: {
            "thin_below": required(schema.pair(_dimension(v))),
            "thin_factor": required(schema.number),
            "ceiling": required(schema.pair(_dimension(v))),
            "by": schema.known_variable,
        },
        _floor,
    ),
    "groove_thickness": RuleKind(lambda _: {"bands": required(schema.text)}, _groove_thickness),
    "frees_upper_thickness": RuleKind(
        lambda _: {
            "sides": required(
                lambda raw, place: tuple(
                    schema.one_of(*THICKNESSES)(s, place) for s in schema.keys(raw, place)
                )
            )
        },
        _frees_upper_thickness,
    ),
    "deposit_thickness": RuleKind(
        lambda _: {"bands": required(schema.text), "deposit_bands": required(schema.text)}, _deposit_thickness
    ),
}
