"""What a coupon costs a shop: its own rates, applied to metal, time and the specimens the code asks for."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, fields
from decimal import ROUND_HALF_UP, Decimal

from ..core.facts import Coupon, Side
from ..materials.catalogue import Metal, find_metal
from ..tabular.edition import Edition
from ..testing.requirements import Requirement
from ..testing.results import ResultKind
from ..testing.specimens import required_tests

STEEL = Decimal("7.85")
"""Density in g/cm³ of carbon steel (common figure), for a metal whose own the catalogue does not hold."""
PLATE = (Decimal(300), Decimal(300))
"""Length of the weld and width of both plates together, in mm (common practice for a groove coupon)."""
PIPE_LENGTH = Decimal(300)


@dataclass(frozen=True)
class Rates:
    """Money in the shop's own currency. The figures are a beginning for a shop to change, not prices."""

    hour: Decimal = Decimal(85)
    """An hour of welder, machine and supervision."""
    setup_hours: Decimal = Decimal("1.5")
    """Hours to prepare, tack and write down one coupon."""
    position_hours: Decimal = Decimal("0.5")
    """Further hours for each test position."""
    kg_per_hour: Decimal = Decimal("0.6")
    """Weld metal laid in an hour, waiting included."""
    day_hours: Decimal = Decimal(8)
    """Hours of a working day."""
    lab_days: Decimal = Decimal(5)
    """Working days from the weld to its results."""
    aluminum_kg: Decimal = Decimal(9)
    steel_kg: Decimal = Decimal(3)
    pipe_factor: Decimal = Decimal("2.5")
    """Pipe costs so many times as much as plate of the same mass."""
    filler_kg: Decimal = Decimal(22)
    gas_m3: Decimal = Decimal(15)
    """Shielding gas, per cubic meter."""
    spool_kg: Decimal = Decimal("7.2")
    """Wire on one spool."""
    pack_kg: Decimal = Decimal(5)
    """Electrodes or rods in one pack."""
    run_mm: Decimal = Decimal(300)
    """Length welded between two starts."""
    flow_seconds: Decimal = Decimal(5)
    """Gas before and after each run."""
    stub_mm: Decimal = Decimal(50)
    """Length of a covered electrode that is thrown away."""
    operating_percent: Decimal = Decimal(0)
    """Share of the working time with the arc on; 0 takes the tabled figure of the process."""
    witness: Decimal = Decimal(0)
    """A witness of the customer or of a society, for each coupon."""
    tension: Decimal = Decimal(60)
    bend: Decimal = Decimal(35)
    macro: Decimal = Decimal(45)
    fracture: Decimal = Decimal(30)
    visual: Decimal = Decimal(15)
    radiograph: Decimal = Decimal(120)
    ultrasonic: Decimal = Decimal(110)
    impact: Decimal = Decimal(40)
    penetrant: Decimal = Decimal(40)
    magnetic: Decimal = Decimal(40)
    hardness: Decimal = Decimal(50)

    @classmethod
    def names(cls) -> tuple[str, ...]:
        return tuple(each.name for each in fields(cls))

    def of(self, kind: ResultKind) -> Decimal:
        """One specimen or examination, cut and machined."""
        return Decimal(getattr(self, "bend" if "bend" in kind.value else kind.value))


@dataclass(frozen=True)
class Bill:
    """The cost of one coupon, in cents, with what it is made of."""

    cents: int
    specimens: tuple[tuple[ResultKind, int], ...]
    """What is cut and examined: for each requirement the cheapest way to meet it."""
    parts: tuple[tuple[str, Decimal], ...]
    """Each share of the cost with its name."""
    hours: Decimal = Decimal(0)
    """Hours to prepare and weld it."""
    open: tuple[str, ...] = field(default=())
    """Tests that cannot be counted yet, and why."""

    @property
    def total(self) -> Decimal:
        return Decimal(self.cents) / 100


def bill(coupon: Coupon, edition: Edition, side: Side, rates: Rates) -> Bill:
    """What the coupon costs under an edition."""
    asked = required_tests(coupon, edition, side)
    counted: Counter[ResultKind] = Counter()
    for requirement in asked.requirements:
        counted += _cheapest_way(requirement, rates)
    joint = coupon.weld.joint
    pieces = max(1, len(joint.choices("test_position")))
    metal, deposit = _masses(coupon)
    setup = rates.setup_hours + rates.position_hours * pieces
    welding = deposit * pieces / rates.kg_per_hour
    parts = (
        ("Set-up and positions", rates.hour * setup),
        ("Welding time", rates.hour * welding),
        ("Base metal", metal * pieces * _metal_rate(coupon, rates)),
        ("Filler", deposit * pieces * rates.filler_kg),
        ("Tests and examinations", sum((rates.of(kind) * n for kind, n in counted.items()), Decimal(0))),
        ("Witness", rates.witness),
    )
    cents = (sum((money for _, money in parts), Decimal(0)) * 100).to_integral_value(ROUND_HALF_UP)
    open_ones = tuple(each.sentence for each in asked.open)
    return Bill(int(cents), tuple(sorted(counted.items())), parts, setup + welding, open_ones)


def _cheapest_way(requirement: Requirement, rates: Rates) -> Counter[ResultKind]:
    ways = [
        Counter({specimen.kind: specimen.number for specimen in way.specimens})
        for way in requirement.alternatives
    ]
    return min(ways, key=lambda way: sum(rates.of(kind) * n for kind, n in way.items()), default=Counter())


def _masses(coupon: Coupon) -> tuple[Decimal, Decimal]:
    """Kilograms of base metal and of weld metal in one piece: a plate of the usual size, or two short pipes;
    the groove as a V of 60 degrees, which is near enough to tell coupons apart."""
    joint, metal = coupon.weld.joint, _metal(coupon)
    density = (metal.density if metal and metal.density else STEEL) / 1_000_000
    thick = joint.highest("thickness_a") or joint.highest("thickness_b") or Decimal(10)
    length, across = PLATE
    if joint.is_only("product_form", "pipe") and (diameter := joint.highest("diameter")):
        length, across = Decimal("3.1416") * (diameter - thick), PIPE_LENGTH
    groove = thick * thick * Decimal("0.577") + 3 * thick
    if joint.is_only("weld_type", "fillet"):
        leg = joint.highest("fillet_size") or thick
        groove = leg * leg / 2
    return length * across * thick * density, length * groove * density


def _metal_rate(coupon: Coupon, rates: Rates) -> Decimal:
    metal = _metal(coupon)
    per_kg = rates.aluminum_kg if metal and metal.family == "aluminium" else rates.steel_kg
    return per_kg * (rates.pipe_factor if coupon.weld.joint.is_only("product_form", "pipe") else 1)


def _metal(coupon: Coupon) -> Metal | None:
    named = coupon.weld.joint.choices("base_metal_a")
    return find_metal(min(named)) if named else None
