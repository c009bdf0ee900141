"""Which coupon to weld next: the easiest single coupon that would cover a weld, found by asking the engine.

Nothing here knows a rule. Coupons are made up from the weld itself, each is read by the same
`range_qualified` as a real test, and only those under which the weld comes out covered are proposed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product

from .coverage import cover
from .derive import derive
from .facts import Coupon, Facts, Weld
from .findings import Verdict
from .gases import NO_GAS
from .grouping import group
from .house import HouseLimit, is_welded_outside, narrowed
from .ranges import Side, range_qualified
from .tables import Edition
from .values import Absent, Interval, Stated
from .variables import Level, Use, registry
from .wording import say_value

PROPOSED = "Proposed coupon"
LAYERS = Decimal(3)
"""Enough layers for codes that ask a number of them of thick deposits; a coupon that thick has them anyway
(common practice)."""
MOST_TRIED = 600


@dataclass(frozen=True)
class Proposal:
    """A coupon that would cover the weld, were it welded and passed."""

    coupon: Coupon
    sentence: str


def coupons_that_would_cover(
    weld: Weld, edition: Edition, side: Side, system: str, most: int = 2, house: Sequence[HouseLimit] = ()
) -> tuple[Proposal, ...]:
    """Up to `most` coupons, easiest first; empty when no single coupon of one of the tried shapes would do,
    or when the weld leaves out too much to say. None is proposed for a weld outside a house limit, and none
    that would itself be welded in a way such a limit forbids."""
    whole = derive(group(weld, edition))
    found: list[Proposal] = []
    for tried, coupon in enumerate(_candidates(whole, edition, side, system)):
        if tried >= MOST_TRIED or len(found) >= most:
            break
        if is_welded_outside(coupon.weld, house, edition):
            continue
        report = narrowed(
            cover(weld, [range_qualified(coupon, edition, side)], edition, side), weld, house, edition
        )
        if report.verdict <= Verdict.COVERED and not any(_no_harder(p.coupon, coupon) for p in found):
            found.append(Proposal(coupon, _sentence(coupon, side, system)))
    return tuple(found)


def _no_harder(proposed: Coupon, other: Coupon) -> bool:
    """True when the coupon already proposed differs from the other in thickness alone."""
    keys = ("test_position", "product_form", "weld_type")
    return all(proposed.weld.joint[k] == other.weld.joint[k] for k in keys)


def _candidates(weld: Weld, edition: Edition, side: Side, system: str) -> Iterator[Coupon]:
    """Coupons in rising order of effort: plate before pipe, few positions before many, thin before thick."""
    forms = ("plate", "pipe") if side is Side.WELDER else _tested_forms(weld)
    for form, kind, positions, size in product(
        forms, _weld_types(weld), _position_sets(edition, side), _sizes(weld)
    ):
        joint = _joint(weld, form, kind, positions, size)
        if joint is not None:
            yield Coupon(PROPOSED, Weld(joint, tuple(_line(line, size, kind) for line in weld.lines)), system)


def _tested_forms(weld: Weld) -> tuple[str, ...]:
    stated = weld.joint["product_form"]
    return tuple(sorted(stated, reverse=True)) if isinstance(stated, frozenset) else ("plate",)


def _weld_types(weld: Weld) -> tuple[str, ...]:
    return ("fillet", "groove") if weld.joint["weld_type"] == frozenset({"fillet"}) else ("groove",)


def _position_sets(edition: Edition, side: Side) -> list[frozenset[str]]:
    """Single test positions the edition knows, in the registry's order, then the sets it names together; none
    at all where positions do not bind."""
    rows = edition.procedure if side is Side.PROCEDURE else edition.welder
    known = [c.key for c in registry()["test_position"].choices]
    limiting = [row for row in rows if row.rule == "covers" and row.variable in ("position", "iso_position")]
    tables = [
        edition.covers[row.params["covers"]] for row in limiting if row.params["tested"] == "test_position"
    ]
    if not tables:
        return [frozenset({p}) for p in known] if limiting else [frozenset()]
    covers = [cover for table in tables for cover in table.rows]
    singles = [frozenset({p}) for p in known if any(p in cover.tested for cover in covers)]
    return [*singles, *dict.fromkeys(cover.tested for cover in covers if cover.together)]


def _sizes(weld: Weld) -> list[Decimal]:
    """Thicknesses worth trying, thinnest first: those the weld itself names and fractions of them. A code
    that lets a coupon count for a multiple of itself is met by one of the fractions."""
    named = [weld.joint[k] for k in ("thickness_thinner", "thickness_thicker", "fillet_size")]
    named += [line["deposit_thickness"] for line in weld.lines]
    ends = {end for value in named if isinstance(value, Interval) for end in (value.low, value.high) if end}
    tried = {end / part for end in ends for part in (1, 2)} | {
        Decimal("12.7"),
        Decimal("13"),
        Decimal("6.35"),
    }
    return sorted(tried)


def _joint(weld: Weld, form: str, kind: str, positions: frozenset[str], size: Decimal) -> Facts | None:
    pipe_position = bool(positions & {"5G", "6G", "5F", "2FR"})
    plate_position = bool(positions & {"3G", "4G", "3F"})
    if positions and (any(p.endswith("G") for p in positions) != (kind == "groove")):
        return None
    if (form == "plate" and pipe_position) or (form == "pipe" and plate_position):
        return None
    values: dict[str, Stated] = {
        key: _one(key, weld.joint[key]) for key in weld.joint if not registry()[key].derived
    }
    values |= {
        "weld_type": frozenset({kind}),
        "product_form": frozenset({form}),
        "thickness_a": Interval.point(size),
        "thickness_b": Interval.point(size),
    }
    if positions:
        values["test_position"] = positions
    if form == "plate":
        values["diameter"] = Absent.NOT_APPLICABLE
    elif not isinstance(values.get("diameter"), Interval):
        return None
    if weld.joint["toughness_required"] == frozenset({"yes"}):
        values["impact_tested"] = frozenset({"yes"})
    return Facts({k: v for k, v in values.items() if k in _known(Level.JOINT)})


def _line(line: Facts, size: Decimal, kind: str) -> Facts:
    values: dict[str, Stated] = {key: _one(key, line[key]) for key in line if not registry()[key].derived}
    process = line["process"]
    if (
        "backing_gas" not in values
        and isinstance(process, frozenset)
        and process <= registry()["backing_gas"].processes
    ):
        values["backing_gas"] = frozenset(
            {NO_GAS}
        )  # welded without, where the weld leaves it open: the harder case
    if kind == "groove":
        values["deposit_thickness"] = Interval.point(size)
        values["layers"] = Interval.point(LAYERS)
        if values.get("backing") == frozenset({"base_metal"}):
            # A groove coupon is backed by a strip where the fillet it stands for has its own base metal.
            values["backing"] = frozenset({"metal"})
    return Facts({k: v for k, v in values.items() if k in _known(Level.LINE)})


def _known(level: Level) -> frozenset[str]:
    return frozenset(v.key for v in registry().values() if v.level is level and not v.derived)


def _one(key: str, value: Stated) -> Stated:
    """A coupon is one weld: of several choices it takes the hardest-to-cover first by order, of a range its
    top. The engine then says whether that is enough."""
    if isinstance(value, frozenset) and len(value) > 1:
        order = [c.key for c in registry()[key].choices]
        return frozenset({min(value, key=lambda c: (order.index(c) if c in order else len(order), c))})
    if isinstance(value, Interval) and value.high is not None and Use.TEST not in registry()[key].many:
        return Interval.point(value.high)
    return value


def _sentence(coupon: Coupon, side: Side, system: str) -> str:
    joint = coupon.weld.joint
    parts = [
        say_value("product_form", joint["product_form"], system).split(",")[0].lower(),
        say_value("weld_type", joint["weld_type"], system).lower(),
    ]
    if joint.given("test_position"):
        parts.append("in " + " and ".join(sorted(joint["test_position"])))  # type: ignore[arg-type]
    if joint.given("diameter"):
        parts.append(say_value("diameter", joint["diameter"], system) + " outside diameter")
    parts.append(say_value("thickness_a", joint["thickness_a"], system) + " thick")
    lines = "; ".join(_line_words(line, system) for line in coupon.weld.lines)
    what = "A procedure test" if side is Side.PROCEDURE else "A welder test"
    return f"{what} that would cover it, once passed: {', '.join(parts)}; {lines}."


def _line_words(line: Facts, system: str) -> str:
    gas = ["without backing gas"] if line["backing_gas"] == frozenset({NO_GAS}) else []
    keys: Sequence[str] = (
        "process",
        "transfer_mode",
        "filler_classification",
        "f_number",
        "backing",
        "progression",
    )
    said = [
        say_value(k, line[k], system)
        for k in keys
        if line.given(k) and not (k == "f_number" and line.given("filler_classification"))
    ]
    return ", ".join([*said, *gas])
