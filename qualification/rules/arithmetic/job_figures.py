"""What a foot or a meter of a weld takes: weld metal, electrodes or wire, hours and money, the metal a back
gouge asks for; and what a shop's own quick tests of a trial say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import acos, pi, sqrt

from ..core.facts import Facts
from ..core.quantities import DIMENSIONS, SI, US, from_canonical, show_both
from ..core.values import Interval
from ..materials.catalogue import Filler, Origin, find_filler
from . import deposit, strength, wire
from .engineering import engineering
from .filling import mass_per_metre
from .grooves import GrooveError, Lacking, section_from
from .reckoned import Reckoned, area_words, percent_words, span_words
from .weld_inputs import high, low, number

METERS = {SI: (Decimal(1), "meter"), US: (Decimal("0.3048"), "foot")}
GRAMS = Decimal(1000)


@dataclass(frozen=True)
class Money:
    """A shop's own rates, in its own currency."""

    hour: Decimal
    """An hour of welder, machine and supervision."""
    kg_per_hour: Decimal
    """Weld metal laid in an hour, waiting included."""
    filler_kg: Decimal


def job_rows(facts: Facts, system: str, money: Money | None) -> Iterable[Reckoned]:
    """Figures of one line; what is not stated gives no row."""
    yield from _consumed(facts, system, money)
    yield from _gouged(facts, system)
    yield from _quick_tests(facts, system)


def weld_area(facts: Facts) -> Decimal | None:
    """Section of the weld in mm² by what is stated: the groove with a fillet over it, or a flat fillet;
    `None` for anything else, and for ranges."""
    leg = number(facts, "fillet_size")
    if facts.choices("weld_type") == {"fillet"} and leg is not None and leg.is_point:
        return deposit.fillet_area(low(leg))
    if facts.choices("weld_type") != {"groove"}:
        return None
    try:
        area = section_from(facts)
    except (GrooveError, Lacking):
        return None
    return Decimal(f"{area:.6g}") if area > 0 else None


def _consumed(facts: Facts, system: str, money: Money | None) -> Iterable[Reckoned]:
    area, filler, names = weld_area(facts), _filler(facts), facts.choices("process")
    if area is None or filler is None or len(names) != 1:
        return
    modes, gas = facts.choices("transfer_mode"), facts.choice("shielding_gas")
    try:
        least, most, of_yield = wire.yield_of(
            next(iter(names)),
            next(iter(modes)) if len(modes) == 1 else None,
            filler.form,
            None if gas is None else gas != "none",
        )
        density, of_density = wire.density_of(filler.family)
    except wire.NotTabled:
        return
    meters, unit = METERS[system]
    metal = Decimal(f"{mass_per_metre(float(area), float(density)):.6g}") * meters
    needed = (metal / most, metal / least)
    origins: tuple[Origin, ...] = (of_density, of_yield)
    what = "Electrodes" if filler.form == "covered" else "Wire"
    if filler.form != "solid" or not facts.given("wire_feed") or facts.choices("weld_type") != {"groove"}:
        # Of a groove filled by a wire of known feed more is said elsewhere.
        yield Reckoned(
            f"{what} for a {unit} of it",
            span_words([each * GRAMS for each in needed], "g", 0)
            + f" ({span_words([each / wire.POUND for each in needed], 'lb', 2)})",
            f"Section of {area_words(Interval.point(area), system)}, density, and "
            f"{percent_words(least, most)} of it becoming weld metal"
            f"{', stubs included' if filler.form == 'covered' else ''}; without reinforcement.",
            origins,
        )
    if money is not None:
        labor = metal / money.kg_per_hour * money.hour
        bought = [each * money.filler_kg for each in needed]
        yield Reckoned(
            f"Cost of a {unit} of it",
            span_words([labor + each for each in bought], "", 2).strip(),
            f"Labor {labor:.2f} at {money.hour.normalize():f} an hour and "
            f"{money.kg_per_hour.normalize():f} kg of weld metal in it, waiting included; "
            f"filler {span_words(bought, '', 2).strip()}. The shop's own rates.",
            origins,
        )


def _filler(facts: Facts) -> Filler | None:
    names = facts.choices("filler_classification")
    return find_filler(next(iter(names))) if len(names) == 1 else None


def _gouged(facts: Facts, system: str) -> Iterable[Reckoned]:
    depth = number(facts, "gouge_depth")
    if depth is None:
        return
    (row,) = engineering().table("back_gouge")
    ends = (
        gouge_area(low(depth), row["radius"].low),
        gouge_area(high(depth), row["radius"].high),
    )
    meters, unit = METERS[system]
    volume = [each * meters for each in ends]
    yield Reckoned(
        "Section of the back gouge to fill",
        area_words(Interval(*ends), system),
        f"A round groove of the depth stated, radius {show_both(row['radius'], 'length', system)}; "
        f"{span_words(volume, 'cm³', 1)} for a {unit}.",
        (row.origin,),
    )


def gouge_area(depth: Decimal, radius: Decimal) -> Decimal:
    """Section in mm² of a groove with a round bottom of `radius` mm: the segment of the circle as deep as the
    groove, or the half circle with straight walls above it. Raises ValueError unless both are above zero."""
    if depth <= 0 or radius <= 0:
        raise ValueError("depth and radius have to be above zero")
    if depth >= radius:
        return Decimal(f"{pi / 2:.12f}") * radius * radius + 2 * radius * (depth - radius)
    r, d = float(radius), float(depth)
    return Decimal(f"{r * r * acos(1 - d / r) - (r - d) * sqrt(2 * r * d - d * d):.6g}")


def _quick_tests(facts: Facts, system: str) -> Iterable[Reckoned]:
    former, strip = number(facts, "quick_bend_former"), number(facts, "quick_bend_thickness")
    if former is not None and strip is not None:
        yield Reckoned(
            "Strain of the bend test",
            f"{strength.bend_strain(low(strip), low(former)):.1f}\u202f%",
            "100 t/(A + t): thickness of the strip and diameter of the former.",
            (),
        )
    load, section = number(facts, "quick_pull"), number(facts, "quick_pull_area")
    if load is not None and section is not None:
        stress = strength.ultimate_stress(low(load), low(section))
        dimension = DIMENSIONS["stress"]
        ksi = from_canonical(stress, dimension.us, dimension) / 1000
        words = (f"{ksi:.1f} ksi", f"{stress:.0f} MPa")
        first, second = words if system == US else words[::-1]
        yield Reckoned(
            "Strength of the pull test",
            f"{first} ({second})",
            "Highest load by the section before the test.",
            (),
        )
