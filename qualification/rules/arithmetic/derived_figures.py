"""What follows from the settings and readings of one process line, in words and with where each figure comes
from: weld metal and wire, the current a feed draws, the section of a pass, filling the groove, and heat under
each code's convention.

Nothing here is a limit. What is not stated, or not tabled, gives no row.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from ..core.facts import Facts
from ..core.quantities import SI, show_both
from ..core.values import Interval
from ..materials.catalogue import Origin
from . import burn_off, deposit, transfer, wire
from .filling import filling
from .grooves import GrooveError, Lacking, section_from
from .heat import Convention, all_conventions, thermal_efficiency
from .heat_comparison import Energy
from .job_figures import Money, job_rows
from .reckoned import Reckoned, area_words, percent_words, span_words, together
from .weld_inputs import PULSED, high, low, number, pass_area_of, wire_of

MM_PER_M, MM_PER_FT = 1000.0, 304.8


@dataclass(frozen=True)
class HeatByCode:
    """The heat of the weld as one code's convention measures it."""

    code: str
    clause: str
    words: str
    value: str
    basis: str
    origins: tuple[Origin, ...]


def reckon(facts: Facts, system: str, money: Money | None = None) -> tuple[Reckoned, ...]:
    """All figures of one line (`Weld.line_facts`, with what its passes showed), with cost where the shop's
    rates are given. Never raises for what was entered."""
    rows = (
        *_wire_rows(facts, system),
        *_pass_rows(facts, system),
        *_groove_rows(facts, system),
        *job_rows(facts, system, money),
    )
    return tuple(replace(each, origins=together(each.origins)) for each in rows)


def _wire_rows(facts: Facts, system: str) -> Iterable[Reckoned]:
    spool, feed, amps = wire_of(facts), number(facts, "wire_feed"), number(facts, "amps")
    if spool is None:
        return
    family, size = spool.filler.family, spool.diameter
    mean = ", the mean current of a pulsed arc" if _is_pulsed(facts) else ""
    try:
        rests_on, origins = burn_off.basis_of(family, size)
        if feed is not None:
            spans = [burn_off.current_for_feed(family, size, end) for end in (low(feed), high(feed))]
            usual = Interval(low(spans[0]), high(spans[1]))
            yield Reckoned(
                "Current this feed usually draws",
                show_both(usual, "current", system),
                f"Wire feed and wire size{mean}; {rests_on}.",
                origins,
            )
        if amps is not None:
            spans = [burn_off.feed_for_current(family, size, end) for end in (low(amps), high(amps))]
            usual = Interval(low(spans[0]), high(spans[1]))
            yield Reckoned(
                "Feed this current usually melts",
                show_both(usual, "wire_feed", system),
                f"Current and wire size{mean}; {rests_on}.",
                origins,
            )
    except wire.NotTabled:
        pass
    yield from _transition(facts, family, size, system)
    yield from _deposition(facts, family, size)


def _transition(facts: Facts, family: str, size: Decimal, system: str) -> Iterable[Reckoned]:
    gas = facts.choice("shielding_gas")
    if gas is None:
        return
    try:
        limit = transfer.transition_current(family, size, gas)
    except wire.NotTabled:
        return
    amps = show_both(Interval.point(limit.amps.quantize(Decimal(1))), "current", system)
    yield Reckoned(
        "Current from which this wire sprays",
        f"above {amps}" if limit.is_least else amps,
        "Wire size and shielding gas; a pulsed arc sprays below it in the mean."
        + (" Helium raises it beyond that of argon, by how much is not tabled." if limit.is_least else ""),
        (limit.origin,),
    )


def _deposition(facts: Facts, family: str, size: Decimal) -> Iterable[Reckoned]:
    feed, found = number(facts, "wire_feed"), _yield(facts)
    if feed is None or found is None:
        return
    least, most, from_table = found
    try:
        density, of_density = wire.density_of(family)
    except wire.NotTabled:
        return
    rates = [
        wire.deposition_rate(size, end, density, share)
        for end, share in ((low(feed), least), (high(feed), most))
    ]
    yield Reckoned(
        "Weld metal laid down in an hour of arc time",
        span_words(rates, "kg", 2) + f" ({span_words([each / wire.POUND for each in rates], 'lb', 1)})",
        f"Wire feed, wire size, density and {percent_words(least, most)} of the wire becoming weld metal.",
        (of_density, from_table),
    )


def _pass_rows(facts: Facts, system: str) -> Iterable[Reckoned]:
    area, found = pass_area_of(facts), _yield(facts)
    if area is None or found is None:
        return
    origins = (found[2],)
    yield Reckoned(
        "Section that one pass lays down",
        area_words(area, system),
        "Wire feed times wire section by travel speed, times the share of the wire that becomes weld metal.",
        origins,
    )
    if facts.choices("weld_type") != {"fillet"}:
        return
    legs = Interval(deposit.leg_of(low(area)), deposit.leg_of(high(area)))
    throats = Interval(deposit.throat_of(low(area)), deposit.throat_of(high(area)))
    yield Reckoned(
        "Flat fillet of that section",
        f"leg {show_both(_rounded(legs), 'length', system)}, "
        f"throat {show_both(_rounded(throats), 'length', system)}",
        "Half the square of the leg is the section; gap, root penetration and convexity take from it.",
        origins,
    )
    leg, feed, size = (number(facts, key) for key in ("fillet_size", "wire_feed", "filler_diameter"))
    if leg is not None and feed is not None and size is not None:
        ends = (
            deposit.travel_for_leg(low(size), low(feed), high(leg), found[0]),
            deposit.travel_for_leg(low(size), high(feed), low(leg), found[1]),
        )
        yield Reckoned(
            "Travel at which one pass gives the leg stated",
            show_both(Interval(*ends), "travel_speed", system),
            "Wire feed, wire size and fillet leg.",
            origins,
        )


def _groove_rows(facts: Facts, system: str) -> Iterable[Reckoned]:
    if facts.choices("weld_type") != {"groove"}:
        return
    try:
        area = section_from(facts)
    except (GrooveError, Lacking):
        return
    if area <= 0:
        return
    yield Reckoned(
        "Section of the groove",
        area_words(Interval.point(Decimal(f"{area:.6g}")), system),
        "Its dimensions with a fillet over it, without reinforcement and without what melts of the edges.",
        (),
    )
    yield from _filled(facts, area, system)


def _filled(facts: Facts, area: float, system: str) -> Iterable[Reckoned]:
    spool, feed, found = wire_of(facts), number(facts, "wire_feed"), _yield(facts)
    if spool is None or feed is None or found is None:
        return
    share = float((found[0] + found[1]) / 2)
    try:
        density, of_density = wire.density_of(spool.filler.family)
    except wire.NotTabled:
        return
    middle = (low(feed) + high(feed)) / 2
    rate = float(wire.deposition_rate(spool.diameter, middle, density))
    one_pass, flow = pass_area_of(facts), number(facts, "shielding_flow")
    length, unit = (MM_PER_M, "meter") if system == SI else (MM_PER_FT, "foot")
    made = filling(
        area,
        length,
        float(density),
        rate,
        share,
        None if one_pass is None else float(low(one_pass) + high(one_pass)) / 2,
        None if flow is None else float(low(flow) + high(flow)) / 2,
    )
    parts = [
        *([f"{made.passes} pass{'es' * (made.passes != 1)}"] if made.passes is not None else []),
        f"{made.wire * 1000:.0f} g ({made.wire / float(wire.POUND):.2f} lb) of wire",
        f"{made.arc_time:.1f} min of arc time",
        *([f"{made.gas:.0f} L of gas"] if made.gas is not None else []),
    ]
    yield Reckoned(
        f"To fill a {unit} of it",
        ", ".join(parts),
        "Section of the groove, wire feed, density and the share of the wire that becomes weld metal; stops, "
        "pre- and post-flow and reinforcement come on top.",
        (of_density, found[2]),
    )


def heat_by_code(
    facts: Facts, system: str, by_displays: Interval | None, measured: Energy | None, basis: str = ""
) -> tuple[HeatByCode, ...]:
    """The weld's heat under every convention, from the energy by its displays (kJ/in), from a measured
    waveform, and from its bead. `basis` says what was measured. A convention without its figure says what it
    needs."""
    return tuple(_under(each, facts, system, by_displays, measured, basis) for each in all_conventions())


def _under(
    each: Convention,
    facts: Facts,
    system: str,
    by_displays: Interval | None,
    measured: Energy | None,
    basis: str,
) -> HeatByCode:
    origins: list[Origin] = [each.origin]
    factor, words = Decimal(1), each.words
    if each.with_efficiency:
        factor, origin = _efficiency(facts)
        if origin is None:
            return HeatByCode(each.code, each.clause, words, "", "No thermal efficiency is tabled.", ())
        words, origins = f"{words}; {factor.normalize():f} is taken", [*origins, origin]
    value, said = "", ""
    if each.measure == "bead":
        area = pass_area_of(facts)
        value = "" if area is None else f"{area_words(area, system)} by pass"
        said = "From wire feed and travel speed." if value else "Needs wire feed, wire size and travel speed."
    elif each.measure == "energy":
        value = "" if measured is None else _energy(measured, factor, system)
        said = basis if value else "Needs a measured waveform of a pass with its length."
    else:
        span = by_displays
        value = "" if span is None else show_both(_times(span, factor), "heat_input", system)
        said = _by_displays(facts) if value else "Needs length, arc time, amps and volts of a pass."
    return HeatByCode(each.code, each.clause, words, value, said, together(origins))


def _by_displays(facts: Facts) -> str:
    if _is_pulsed(facts) or "short_circuit" in facts.choices("transfer_mode"):
        return "By the displays, which can be far off for such an arc."
    return "By the displays, from the least to the most the readings allow."


def _efficiency(facts: Facts) -> tuple[Decimal, Origin | None]:
    processes = facts.choices("process")
    try:
        return thermal_efficiency(next(iter(processes), ""))
    except LookupError:
        return Decimal(1), None


def _energy(measured: Energy, factor: Decimal, system: str) -> str:
    value = show_both(Interval.point(measured.value * factor), "heat_input", system)
    share = 100 * measured.uncertainty / measured.value if measured.value else Decimal(0)
    return f"{value} ± {share:.1f}\u202f%"


def _times(span: Interval, factor: Decimal) -> Interval:
    return Interval(
        None if span.low is None else span.low * factor, None if span.high is None else span.high * factor
    )


def _is_pulsed(facts: Facts) -> bool:
    return bool(PULSED & facts.choices("current_programme")) or "pulsed_spray" in facts.choices(
        "transfer_mode"
    )


def _yield(facts: Facts) -> tuple[Decimal, Decimal, Origin] | None:
    processes, modes = facts.choices("process"), facts.choices("transfer_mode")
    if len(processes) != 1:
        return None
    try:
        return wire.yield_of(next(iter(processes)), next(iter(modes)) if len(modes) == 1 else None, "solid")
    except wire.NotTabled:
        return None


def _rounded(span: Interval) -> Interval:
    """To a tenth of a millimetre, which is closer than a fillet can be measured."""
    tenth = Decimal("0.1")
    return Interval(low(span).quantize(tenth), high(span).quantize(tenth))
