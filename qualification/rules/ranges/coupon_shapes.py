"""Coupons worth trying for a weld, easiest first: made up from the weld itself, each one a coupon that could
be welded.

Nothing here knows a rule of a code. What a coupon may be follows from the weld, from geometry and from the
trade: one piece, enterable on a test record, and free of the contradictions a record is refused for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product

from ..core.facts import Coupon, Facts, Side, Weld
from ..core.gases import NO_GAS
from ..core.values import Absent, Interval, Stated, Undetermined
from ..entries.contradictions import contradictions
from ..entries.derive import derive
from ..materials.grouping import contradictions as group_contradictions
from ..tabular.edition import Edition
from ..variables.definition import Level, RecordKind, ValueKind, Variable
from ..variables.registry import registry
from ..variables.special_welds import SPECIAL
from .made_before import MadeBefore
from .ranges import TestRange, range_qualified, rules_of

PROPOSED = "Proposed coupon"
LAYERS = Decimal(3)
"""Enough layers for codes that ask a number of them of thick deposits; a coupon that thick has them anyway
(common practice)."""
STOCK_PLATES = (Decimal("6.35"), Decimal("12.7"), Decimal(13))
"""Thicknesses in mm a shop has at hand (common practice)."""
STOCK_PIPES = (Decimal("60.325"), Decimal("168.275"), Decimal("609.6"))
"""Outside diameters in mm of pipe a shop can buy: NPS 2, 6 and 24 (ASME B36.10)."""
THINNEST_PART = Decimal("1.5")
"""No coupon thinner than this, in mm, is made up of a fraction of the weld (common practice)."""
WITHOUT_IN_WORDS = {"hydrogen_release": "none"}
"""What a coupon leaves away, and how a record says so in words."""
MEANS = ("amps", "volts", "wire_feed", "travel_speed")
"""Readings whose mean a procedure test states as well."""
PIECES = tuple(product(("plate", "pipe"), ("fillet", "groove")))
"""Form and kind of each piece a coupon may be."""
USES = {Side.PROCEDURE: RecordKind.TEST, Side.WELDER: RecordKind.WELDER_TEST}


Stance = tuple[Stated, Stated, Stated]
"""Product form, kind of weld and test position of a coupon: what decides the positions it counts for."""


def stance_of(weld: Weld) -> Stance:
    """Product form, weld type and position, by which coupons are told apart."""
    return weld.joint["product_form"], weld.joint["weld_type"], weld.joint["test_position"]


@dataclass(frozen=True)
class Size:
    """Thickness of the two sides and the deposit of each line, in mm; `None` leaves what the weld says."""

    sides: tuple[Decimal, Decimal] | None
    deposits: tuple[Decimal | None, ...]


def coupons_worth_trying(
    weld: Weld,
    edition: Edition,
    side: Side,
    system: str,
    *,
    as_drawn: bool = False,
    only: Callable[[Stance], bool] = lambda _: True,
    sizes: Sequence[Decimal] = (),
) -> Iterator[Coupon]:
    """Coupons in rising order of effort: plate before pipe, few positions before many, thin before thick;
    then those of another choice than the first where the weld leaves several. None contradicts itself.
    `as_drawn`: only as thick as the weld itself, of which there are few. `only`: those of such a stance.
    `sizes`: thicknesses in mm to try instead of those of the weld."""
    seen: set[Weld] = set()
    positions = _position_sets(edition, side)
    for narrowed in dict.fromkeys(_narrowings(weld, side)):
        for form, kind, stands, size in product(
            _forms(weld, side), _weld_types(weld), positions, _sizes(narrowed, as_drawn, sizes)
        ):
            stance = (frozenset({form}), frozenset({kind}), stands or narrowed.joint["test_position"])
            if not _goes_with(stands, form, kind) or not only(stance):
                continue
            for diameter in _diameters(weld, form):
                made = _made(narrowed, form, kind, stands, size, diameter)
                if made in seen:
                    continue
                seen.add(made)
                if not contradictions(made, system) and not group_contradictions(made, edition):
                    yield Coupon(PROPOSED, made, system)


def completed(
    coupon: Coupon, edition: Edition, side: Side, before: MadeBefore | None = None
) -> tuple[Coupon, TestRange]:
    """The coupon with those values stated that its range waits for and that are free to choose, and its
    range. `before`: the limits of the coupons completed before, under the same edition and on the same
    side."""
    found = range_qualified(coupon, edition, side, before)
    waits = {
        key
        for line in found.lines
        for limit in line.limits
        if isinstance(limit.allowed, Undetermined)
        for key in limit.allowed.needs
    }
    chosen = {key: value for key in waits if (value := _free_choice(key, side)) is not None}
    joint = _with(coupon.weld.joint, chosen, Level.JOINT)
    lines = tuple(_with(line, chosen, Level.LINE) for line in coupon.weld.lines)
    if joint == coupon.weld.joint and lines == coupon.weld.lines:
        return coupon, found
    fuller = Coupon(coupon.record, Weld(joint, lines, coupon.weld.name), coupon.system)
    if contradictions(fuller.weld, coupon.system):
        return coupon, found
    return fuller, range_qualified(fuller, edition, side, before)


def _with(facts: Facts, chosen: Mapping[str, Stated], level: Level) -> Facts:
    process = facts["process"]
    return facts.including(
        {
            key: value
            for key, value in chosen.items()
            if registry()[key].level is level
            and facts[key] is Absent.MISSING
            and (
                level is Level.JOINT
                or isinstance(process, frozenset)
                and process <= registry()[key].processes
            )
        }
    )


def _free_choice(key: str, side: Side) -> Stated | None:
    """The plain way to weld what nobody has drawn: without the extra thing where it can be left away."""
    if key in WITHOUT_IN_WORDS:
        return WITHOUT_IN_WORDS[key]
    variable = registry().get(key)
    if variable is None or not _is_entered(variable, side) or variable.kind is not ValueKind.CHOICE:
        return None
    without = [c.key for c in variable.choices if c.key in ("no", "none")]
    return frozenset({without[0]}) if without else None


def _is_entered(variable: Variable, side: Side) -> bool:
    return not variable.derived and USES[side] in variable.uses


def _narrowings(weld: Weld, side: Side) -> Iterator[Weld]:
    """The weld with one value for each entry: of several choices the first in order, of a range its top; then
    with each other choice and each low end in turn."""
    impact = _impact(weld, side)
    for chosen in ({}, *({key: value} for key, value in _several(weld))):
        yield _narrowed(weld, side, {**impact[0], **chosen})
    for more in impact[1:]:
        yield _narrowed(weld, side, more)


def _impact(weld: Weld, side: Side) -> list[dict[str, Stated]]:
    """Whether the coupon is tested for toughness: as the weld asks, else without before with."""
    if side is Side.WELDER:
        return [{}]
    asked = weld.joint.choice("toughness_required")
    ways: tuple[str, ...] = ("no", "yes") if asked is None else (asked,)
    return [{"impact_tested": frozenset({way})} for way in ways]


def _several(weld: Weld) -> Iterator[tuple[str, Stated]]:
    for facts in (weld.joint, *weld.lines):
        for key, value in facts.items():
            variable = registry()[key]
            if variable.derived:
                continue
            if isinstance(value, frozenset) and len(value) > 1:
                yield from ((key, each) for each in _in_order(variable, value)[1:])
            elif isinstance(value, Interval) and not value.is_point and value.low is not None:
                yield key, Interval.point(value.low)


def _in_order(variable: Variable, value: frozenset[str]) -> list[Stated]:
    order = [choice.key for choice in variable.choices]
    ranked = sorted(value, key=lambda c: (order.index(c) if c in order else len(order), c))
    return [frozenset({each}) for each in ranked]


def _narrowed(weld: Weld, side: Side, instead: Mapping[str, Stated]) -> Weld:
    def one(facts: Facts, level: Level) -> Facts:
        stated = {
            key: _one(registry()[key], value)
            for key, value in facts.items()
            if _is_entered(registry()[key], side)
        }
        chosen = {
            key: value
            for key, value in instead.items()
            if registry()[key].level is level and (key in stated or key not in facts)
        }
        return Facts({**stated, **chosen})

    lines = tuple(one(line, Level.LINE) for line in weld.lines)
    return Weld(one(weld.joint, Level.JOINT), lines, weld.name)


def _one(variable: Variable, value: Stated) -> Stated:
    if isinstance(value, frozenset) and len(value) > 1:
        return _in_order(variable, value)[0]
    if isinstance(value, Interval) and value.high is not None and RecordKind.TEST not in variable.many:
        return Interval.point(value.high)
    return value


def _forms(weld: Weld, side: Side) -> tuple[str, ...]:
    """Plate first; for a procedure first what it is welded on."""
    stated = weld.joint.choices("product_form")
    if side is Side.WELDER or not stated:
        return ("plate", "pipe")
    return tuple(sorted(("plate", "pipe"), key=lambda form: (form not in stated, form == "pipe")))


def _weld_types(weld: Weld) -> tuple[str, ...]:
    stated = weld.joint.choices("weld_type")
    if stated == {"fillet"}:
        return ("fillet", "groove")
    # A plug weld is covered by plug welds alone; a tack by tacks and, under some codes, by more.
    own = sorted(stated & SPECIAL) if len(stated) == 1 else ()
    return (*own, "groove")


def _position_sets(edition: Edition, side: Side) -> list[frozenset[str]]:
    """Single test positions the edition knows, in the registry's order, then the sets it names together, then
    all that one piece can be welded in; none at all where positions do not bind."""
    rows = rules_of(edition, side)
    known = [c.key for c in registry()["test_position"].choices]
    limiting = [row for row in rows if row.rule == "covers" and row.variable in ("position", "iso_position")]
    tables = [
        edition.covers[row.params["covers"]] for row in limiting if row.params["tested"] == "test_position"
    ]
    if not tables:
        return [frozenset({p}) for p in known] if limiting else [frozenset()]
    covers = [cover for table in tables for cover in table.rows]
    singles = [frozenset({p}) for p in known if any(p in cover.tested for cover in covers)]
    together = dict.fromkeys(cover.tested for cover in covers if cover.together)
    every = (frozenset().union(*(p for p in singles if _goes_with(p, *what))) for what in PIECES)
    return list(dict.fromkeys([*singles, *together, *(positions for positions in every if positions)]))


def _goes_with(positions: frozenset[str], form: str, kind: str) -> bool:
    """Cheaper than to make the coupon and to find that it contradicts itself."""
    if positions and any(p.endswith("G") for p in positions) != (kind != "fillet"):
        return False
    return not positions & ({"5G", "6G", "5F", "2FR"} if form == "plate" else {"3G", "4G", "3F"})


def _sizes(weld: Weld, as_drawn: bool, instead: Sequence[Decimal]) -> list[Size]:
    """Thicknesses worth trying, thinnest first: as the weld is drawn, those it names, and fractions of them.
    A code that lets a coupon count for a multiple of itself is met by one of the fractions."""
    whole, own = derive(weld), tuple(line.highest("deposit_thickness") for line in weld.lines)
    drawn = Size(None, own)
    if as_drawn:
        return [drawn]
    if instead:
        return [Size((size, size), deposits) for size in instead for deposits in _deposits(size, own)]
    named = [whole.joint[k] for k in ("thickness_thinner", "thickness_thicker", "fillet_size")]
    named += [line["deposit_thickness"] for line in weld.lines]
    ends = {end for value in named if isinstance(value, Interval) for end in (value.low, value.high) if end}
    tried = {
        *ends,
        *(half for end in ends if (half := end / 2) >= THINNEST_PART),
        *STOCK_PLATES,
    }
    found = [Size((size, size), deposits) for size in sorted(tried) for deposits in _deposits(size, own)]
    at = whole.joint.highest("thickness_thicker")
    place = next((n for n, each in enumerate(found) if at is None or each.sides[0] > at), len(found))  # type: ignore[index]
    return [*found[:place], drawn, *found[place:]]


def _deposits(size: Decimal, own: Sequence[Decimal | None]) -> list[tuple[Decimal | None, ...]]:
    """How the lines may share the joint: one fills it; several as the weld has them where that fits, else in
    the same proportion."""
    if len(own) == 1:
        return [(size,)]
    stated = [each for each in own if each is not None]
    if len(stated) < len(own) or not sum(stated):
        return [tuple(size / len(own) for _ in own)]
    fills = tuple((size * each / sum(stated)).quantize(Decimal("0.001"), "ROUND_DOWN") for each in stated)
    return [tuple(stated), fills] if sum(stated) <= size else [fills]


def _top(value: Stated) -> Decimal | None:
    return value.high if isinstance(value, Interval) else None


def _diameters(weld: Weld, form: str) -> list[Stated]:
    if form == "plate":
        return [Absent.NOT_APPLICABLE]
    stated = weld.joint.interval("diameter")
    if stated is None:
        return [Interval.point(size) for size in STOCK_PIPES]
    return [Interval.point(end) for end in dict.fromkeys((stated.high, stated.low)) if end is not None]


def _made(weld: Weld, form: str, kind: str, positions: frozenset[str], size: Size, diameter: Stated) -> Weld:
    values = {
        **weld.joint,
        "weld_type": frozenset({kind}),
        "product_form": frozenset({form}),
        "diameter": diameter,
    }
    if size.sides is not None:
        values |= {
            f"thickness_{each}": Interval.point(thick) for each, thick in zip("ab", size.sides, strict=True)
        }
    if positions:
        values["test_position"] = positions
    joint = Facts(values)
    root_face = joint.interval("root_face")
    if root_face is not None:
        thin = derive(Weld(joint, ())).joint.interval("thickness_thinner")
        if thin is not None:
            joint = joint.including({"root_face": _at_most(root_face, thin.high)})
    lines = (_line(line, deposit, kind) for line, deposit in zip(weld.lines, size.deposits, strict=True))
    return Weld(joint, tuple(lines), weld.name)


def _line(line: Facts, deposit: Decimal | None, kind: str) -> Facts:
    values = dict(line)
    process = line.choices("process")
    if "backing_gas" not in values and process and process <= registry()["backing_gas"].processes:
        values["backing_gas"] = frozenset(
            {NO_GAS}
        )  # welded without, where the weld leaves it open: the harder case
    if "layers" not in values:
        is_single = line.is_only("passes_per_side", "single")
        values["layers"] = Interval.point(Decimal(1) if is_single else LAYERS)
    for key in MEANS:
        readings = line.interval(key)
        if f"{key}_mean" not in values and readings is not None:
            values |= _middle(f"{key}_mean", readings)
    if kind == "groove":
        if deposit is not None:
            values["deposit_thickness"] = Interval.point(deposit)
        if values.get("backing") == frozenset({"base_metal"}):
            # A groove coupon is backed by a strip where the fillet it stands for has its own base metal.
            values["backing"] = frozenset({"metal"})
    one_pass = values.get("max_pass_thickness")
    if isinstance(one_pass, Interval):
        values["max_pass_thickness"] = _at_most(
            one_pass, _top(values.get("deposit_thickness", Absent.MISSING))
        )
    return Facts(values)


def _middle(key: str, readings: Interval) -> dict[str, Stated]:
    if readings.low is None or readings.high is None:
        return {}
    return {key: Interval.point((readings.low + readings.high) / 2)}


def _at_most(value: Interval, most: Decimal | None) -> Interval:
    return (
        Interval.point(most) if most is not None and value.high is not None and value.high > most else value
    )
