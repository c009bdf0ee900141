"""What one weld of a known length takes: weld metal, filler, arc time, gas and work, from the section drawn
and the procedure it is made by.

Every figure has two ends, from the least to the most that the entries allow. What is not stated makes a
figure missing, never zero. Lengths in mm, masses in kg, arc time in minutes, gas in liters, work in hours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from itertools import product

from ..core.facts import Facts, Weld
from ..materials.catalogue import Filler, Origin, find_filler
from . import deposit, wire
from .engineering import engineering
from .grooves import SHAPES, Groove, GrooveError, groove_area
from .reckoned import together
from .weld_inputs import high, low, number

Span = tuple[Decimal, Decimal]
_ROUND = frozenset({"u", "double_u", "j", "double_j", "flare_v", "flare_bevel"})
_PLAIN = frozenset({"square", "flare_v", "flare_bevel"})
LITERS_OF_MM3 = Decimal(10) ** 6


@dataclass(frozen=True)
class Allowances:
    """What a shop adds to the arithmetic of the arc."""

    run: Decimal
    """Length welded between two starts."""
    flow_seconds: Decimal
    """Gas before and after each run."""
    stub: Decimal
    """Length of a covered electrode that is thrown away."""
    operating_percent: Decimal
    """Share of a working hour with the arc on; 0 takes the tabled figure of the process."""
    kg_per_hour: Decimal
    """Weld metal laid in an hour, waiting included: for lines whose arc time does not follow."""


TABLED_STUB, ELECTRODE = Decimal("50.8"), Decimal("355.6")
"""The tabled yields of covered electrodes count a stub of 2 in; the usual electrode is 14 in long."""


@dataclass(frozen=True)
class Taken:
    """One process line of one weld."""

    process: str
    filler: str
    """Classification."""
    form: str
    diameter: Decimal | None
    gas: str
    """Key of the gas; empty where the line states none."""
    metal: Span
    """Weld metal in the joint, without reinforcement."""
    bought: Span
    """Filler to be bought."""
    arc: Span | None
    liters: Span | None
    hours: Span | None
    """Work with waiting, cleaning and handling."""
    by_arc: bool
    """True where the work follows from the arc time, false where from the shop's own kg in an hour."""
    origins: tuple[Origin, ...]


@dataclass(frozen=True)
class Wanting:
    """Why a weld cannot be reckoned: variables to state, or a sentence."""

    needs: tuple[str, ...] = ()
    because: str = ""


def taken(weld: Weld, length: Decimal, shop: Allowances) -> tuple[Taken, ...] | Wanting:
    """What the weld takes over its length, process by process."""
    if not weld.lines:
        return Wanting(("process",))
    sections = _sections(weld)
    if isinstance(sections, Wanting):
        return sections
    found = []
    for index, section in enumerate(sections):
        line = _line(weld.line_facts(index), section, length, shop)
        if isinstance(line, Wanting):
            return line
        found.append(line)
    return tuple(found)


def girth(joint: Facts) -> Decimal | None:
    """Length of a weld around a pipe, at the middle of its wall; `None` where no pipe is stated."""
    outside, wall = number(joint, "diameter"), number(joint, "thickness_a")
    if joint.choices("product_form") != {"pipe"} or outside is None or wall is None:
        return None
    if not (outside.is_point and wall.is_point) or low(wall) >= low(outside):
        return None
    return wire.PI * (low(outside) - low(wall))


def section_of(facts: Facts) -> Span | Wanting:
    """Section of the weld in mm²: of a groove flush with both surfaces, of a fillet with a flat face."""
    kind = facts.choices("weld_type")
    if kind == {"fillet"}:
        leg = number(facts, "fillet_size")
        if leg is None:
            return Wanting(("fillet_size",))
        return deposit.fillet_area(low(leg)), deposit.fillet_area(high(leg))
    if kind != {"groove"}:
        return Wanting(("weld_type",))
    return _groove(facts, None)


def _groove(facts: Facts, depth: Decimal | None) -> Span | Wanting:
    """Of the whole groove, or of what lies up to `depth` above its root; over all ends of its dimensions."""
    shapes = facts.choices("groove_type")
    if len(shapes) != 1 or not shapes <= set(SHAPES):
        return Wanting(("groove_type",))
    (shape,) = shapes
    keys = {"thickness": "thickness_a", "gap": "root_opening"}
    if shape not in _PLAIN:
        keys |= {"face": "root_face", "angle": "groove_angle"}
    if shape in _ROUND:
        keys["radius"] = "groove_radius"
    ends: dict[str, tuple[Decimal, ...]] = {}
    for name, key in keys.items():
        if found := facts.ends(key):
            ends[name] = tuple(sorted(set(found)))
    if needs := tuple(key for name, key in keys.items() if name not in ends):
        return Wanting(needs)
    areas = []
    for corner in product(*ends.values()):
        sizes = {name: float(each) for name, each in zip(ends, corner, strict=True)}
        if depth is not None:
            sizes["thickness"] = float(depth)
            sizes["face"] = min(sizes.get("face", 0.0), float(depth))
        try:
            areas.append(groove_area(Groove(shape, **sizes)))
        except GrooveError as error:
            return Wanting(because=str(error))
    if max(areas) <= 0:
        return Wanting(because="The groove has no section.")
    return Decimal(f"{min(areas):.6g}"), Decimal(f"{max(areas):.6g}")


def _sections(weld: Weld) -> Sequence[Span] | Wanting:
    """The section of each process line: the whole for one, else by the thickness each deposits, the first one
    at the root. One line may leave its thickness out: it fills the rest."""
    whole = section_of(weld.line_facts(0))
    if isinstance(whole, Wanting) or len(weld.lines) == 1:
        return whole if isinstance(whole, Wanting) else (whole,)
    total = number(weld.joint, "thickness_a")
    stated = [number(line, "deposit_thickness") for line in weld.lines]
    depths = [low(each) if each is not None and each.is_point else None for each in stated]
    if weld.joint.choices("weld_type") != {"groove"} or depths.count(None) > 1:
        return Wanting(("deposit_thickness",))
    if total is None or not total.is_point:
        return Wanting(("thickness_a",))
    rest = low(total) - sum((each for each in depths if each is not None), Decimal(0))
    if rest < 0 or (None in depths and rest == 0):
        return Wanting(because="The thicknesses that the processes deposit are more than the metal is thick.")
    return _split(weld, whole, low(total), [rest if each is None else each for each in depths])


def _split(weld: Weld, whole: Span, total: Decimal, depths: Sequence[Decimal]) -> Sequence[Span] | Wanting:
    shape = next(iter(weld.joint.choices("groove_type")))
    filled, reached, found = Decimal(0), (Decimal(0), Decimal(0)), []
    for depth in depths:
        filled += depth
        if shape.startswith("double_") or shape in _ROUND:
            # Both sides, or a curve: by their share of the thickness, which is near enough to buy filler.
            upto: Span | Wanting = (whole[0] * filled / total, whole[1] * filled / total)
        else:
            upto = _groove(weld.line_facts(0), filled)
        if isinstance(upto, Wanting):
            return upto
        found.append((upto[0] - reached[0], upto[1] - reached[1]))
        reached = upto
    return found


def _line(facts: Facts, section: Span, length: Decimal, shop: Allowances) -> Taken | Wanting:
    names, fillers = facts.choices("process"), facts.choices("filler_classification")
    if len(names) != 1:
        return Wanting(("process",))
    if len(fillers) != 1:
        return Wanting(("filler_classification",))
    process, filler = next(iter(names)), find_filler(next(iter(fillers)))
    if filler is None:
        return Wanting(
            because=f"The filler {next(iter(fillers))} is not in the catalog: its density is not known."
        )
    modes, gas, size = (
        facts.choices("transfer_mode"),
        facts.choice("shielding_gas"),
        number(facts, "filler_diameter"),
    )
    try:
        density, of_density = wire.density_of(filler.family)
        least, most, of_yield = wire.yield_of(
            process,
            next(iter(modes)) if len(modes) == 1 else None,
            filler.form,
            None if gas is None else gas != "none",
        )
    except wire.NotTabled as error:
        return Wanting(because=f"{str(error)[:1].upper()}{str(error)[1:]}.")
    if filler.form == "covered":
        least, most = (_with_stub(each, shop.stub) for each in (least, most))
    metal = (_mass(section[0], length, density), _mass(section[1], length, density))
    bought = (metal[0] / most, metal[1] / least)
    diameter = low(size) if size is not None and size.is_point else None
    arc = _arc(facts, filler, diameter, density, bought, length)
    hours, by_arc, more = _hours(facts, process, metal, arc, shop)
    return Taken(
        process,
        filler.key,
        filler.form,
        diameter,
        gas if gas is not None and gas != "none" else "",
        metal,
        bought,
        arc,
        _liters(facts, section, arc, length, shop),
        hours,
        by_arc,
        together((of_density, of_yield, *more)),
    )


def _mass(area: Decimal, length: Decimal, density: Decimal) -> Decimal:
    """kg of `area` mm² over `length` mm at `density` g/cm³."""
    return area * length * density / LITERS_OF_MM3


def _with_stub(share: Decimal, stub: Decimal) -> Decimal:
    """The share of a covered electrode that becomes weld metal with a stub of another length than tabled:
    what is burnt of it changes, and what is lost of that by slag and spatter does not."""
    return share * (ELECTRODE - stub) / (ELECTRODE - TABLED_STUB)


def _arc(
    facts: Facts,
    filler: Filler,
    diameter: Decimal | None,
    density: Decimal,
    bought: Span,
    length: Decimal,
) -> Span | None:
    """By the feed of a solid wire; else, of a single pass, by its travel."""
    feed, travel = number(facts, "wire_feed"), number(facts, "travel_speed")
    if filler.form == "solid" and diameter is not None and feed is not None:
        rates = [wire.deposition_rate(diameter, end, density) for end in (low(feed), high(feed))]
        return bought[0] / rates[1] * 60, bought[1] / rates[0] * 60
    if travel is not None and facts.choices("passes_per_side") == {"single"}:
        return length / high(travel), length / low(travel)
    return None


def _liters(facts: Facts, section: Span, arc: Span | None, length: Decimal, shop: Allowances) -> Span | None:
    """Flow while the arc is on, and before and after each run of each pass."""
    flow = number(facts, "shielding_flow")
    if arc is None or flow is None:
        return None
    passes = _passes(facts, section)
    runs = (length / shop.run).to_integral_value(ROUND_CEILING)
    idle = [count * runs * shop.flow_seconds / 60 for count in passes]
    return low(flow) * (arc[0] + idle[0]), high(flow) * (arc[1] + idle[1])


def _passes(facts: Facts, section: Span) -> tuple[int, int]:
    """How many; one at least where the section of a pass is not known."""
    from_settings = _pass_area(facts)
    if from_settings is None:
        return 1, 1
    return (
        deposit.passes_needed(section[0], from_settings[1]) or 1,
        deposit.passes_needed(section[1], from_settings[0]) or 1,
    )


def _pass_area(facts: Facts) -> Span | None:
    diameter, feed, travel = (number(facts, key) for key in ("filler_diameter", "wire_feed", "travel_speed"))
    if diameter is None or not diameter.is_point or feed is None or travel is None:
        return None
    size = low(diameter)
    return deposit.pass_area(size, low(feed), high(travel)), deposit.pass_area(size, high(feed), low(travel))


def _hours(
    facts: Facts, process: str, metal: Span, arc: Span | None, shop: Allowances
) -> tuple[Span | None, bool, Iterable[Origin]]:
    """Arc time by the operating factor; where either is not known, weld metal by the shop's own rate."""
    if arc is not None:
        if shop.operating_percent > 0:
            share = shop.operating_percent / 100
            return (arc[0] / 60 / share, arc[1] / 60 / share), True, ()
        try:
            least, most, of_factor = operating_factor(process, facts.choices("operation"))
        except wire.NotTabled:
            pass
        else:
            return (arc[0] / 60 / most, arc[1] / 60 / least), True, (of_factor,)
    if shop.kg_per_hour <= 0:
        return None, False, ()
    return (metal[0] / shop.kg_per_hour, metal[1] / shop.kg_per_hour), False, ()


def operating_factor(process: str, operation: frozenset[str]) -> tuple[Decimal, Decimal, Origin]:
    """Least and greatest share of the working time with the arc on. Raises NotTabled."""
    for row in engineering().table("operating_factor"):
        if process in row["processes"] and operation and operation <= set(row["operations"]):
            return row["percent"].low / 100, row["percent"].high / 100, row.origin
    raise wire.NotTabled(f"no operating factor is tabled for {process}")
