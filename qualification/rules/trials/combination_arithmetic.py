"""Comparisons of entries that need arithmetic.

Each answers `None` where nothing is odd or an entry it needs is not stated, else what to add to the sentence
of its row, which may be nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Protocol

from ..arithmetic import burn_off, wire
from ..arithmetic.heat import arc_energy_span
from ..arithmetic.weld_inputs import number, wire_of
from ..core.facts import Facts, Weld
from ..core.quantities import show, show_interval
from ..core.values import Interval
from ..materials.catalogue import Filler, Metal, find_metal
from .combination_tables import Combination, Currents
from .practice import practice

LOWEST_EFFICIENCY = "0.6"
SAME_SIZE = Decimal("0.06")
"""Sizes closer than this share of one another are sold as one size."""


class Known(Protocol):
    """What is known of metals and fillers beside the facts."""

    metals: list[Metal]
    fillers: list[Filler]
    filler_kinds: list[tuple[frozenset[str], frozenset[str]]]


Arithmetic = Callable[[Combination, Facts, Known, Weld, str], str | None]


def _filler_process(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    processes = facts.choices("process")
    if not processes:
        return None
    for _, made_for in about.filler_kinds:
        if made_for and not processes & made_for:
            return f"It is made for {' and '.join(sorted(made_for))}."
    return None


def _filler_specification(
    row: Combination, facts: Facts, about: Known, weld: Weld, system: str
) -> str | None:
    named = set(re.findall(r"(?<![\d.])5\.\d{1,2}(?!\d)", facts.text("filler_specification")))
    wanted = {filler.specification.rsplit("-", 1)[-1] for filler in about.fillers}
    if not named or not wanted or named & (wanted | row.accepted):
        return None
    return f"The catalog has it under {' and '.join(sorted({f.specification for f in about.fillers}))}."


def _load_voltage(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    volts, amps = number(facts, "volts"), number(facts, "amps")
    return None if volts is None or amps is None else _far_from_line(row, volts, amps, system)


def _volts_for_feed(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    spool, volts, feed = wire_of(facts), number(facts, "volts"), number(facts, "wire_feed")
    if spool is None or volts is None or feed is None or facts.given("amps"):
        return None
    assert feed.low is not None
    assert feed.high is not None
    try:
        least = burn_off.current_for_feed(spool.filler.family, spool.diameter, feed.low).low
        most = burn_off.current_for_feed(spool.filler.family, spool.diameter, feed.high).high
    except wire.NotTabled:
        return None
    return _far_from_line(row, volts, Interval(least, most), system)


def _far_from_line(row: Combination, volts: Interval, amps: Interval, system: str) -> str | None:
    base, slope, off = row.numbers["base"], row.numbers["per_amp"], row.numbers["off"]
    assert amps.low is not None
    assert amps.high is not None
    most = base + slope * 600
    usual = Interval(
        max(min(base + slope * amps.low, most) - off, Decimal(8)), min(base + slope * amps.high, most) + off
    )
    if usual.meets(volts):
        return None
    return f"Between {show_interval(usual, 'voltage', system)} would be looked at no further."


def _of_size(of: str, diameter: Interval, polarity: str | None = None) -> Currents | None:
    """The row of the size nearest to it, if one is near enough."""
    if not diameter.is_point or diameter.low is None:
        return None
    rows = [
        each
        for each in practice().combinations.currents
        if each.of == of and (polarity is None or each.polarity == polarity)
    ]
    nearest = min(rows, key=lambda each: abs(each.diameter - diameter.low), default=None)  # type: ignore[operator]
    if nearest is None or abs(nearest.diameter - diameter.low) > SAME_SIZE * nearest.diameter:
        return None
    return nearest


def _current_of_electrode(
    row: Combination, facts: Facts, about: Known, weld: Weld, system: str
) -> str | None:
    amps, diameter = number(facts, "amps"), number(facts, "filler_diameter")
    if amps is None or diameter is None:
        return None
    return _outside(row, amps, _of_size("covered", diameter), system)


def _current_of_tungsten(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    amps, diameter = number(facts, "amps"), number(facts, "tungsten_diameter")
    kinds = facts.choices("current_type")
    if amps is None or diameter is None or not kinds:
        return None
    found = [size for kind in sorted(kinds) if (size := _of_size("tungsten", diameter, kind)) is not None]
    if not found or len(found) < len(kinds):
        return None
    return _outside(row, amps, max(found, key=lambda each: each.up_to), system)


def _outside(row: Combination, amps: Interval, size: Currents | None, system: str) -> str | None:
    if size is None:
        return None
    share = row.numbers["share"] / 100
    usual = Interval(None if size.at_least is None else size.at_least * (1 - share), size.up_to * (1 + share))
    if usual.meets(amps):
        return None
    return f"It is used {_span(Interval(size.at_least, size.up_to), 'current', system)}."


def _span(usual: Interval, dimension: str, system: str) -> str:
    if usual.low is None:
        assert usual.high is not None
        return f"up to {show(usual.high, dimension, system)}"
    return f"at {show_interval(usual, dimension, system)}"


def _heat_input(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    stated = facts.interval("heat_input")
    volts, amps, travel = (number(facts, key) for key in ("volts", "amps", "travel_speed"))
    if stated is None or volts is None or amps is None or travel is None:
        return None
    # Energy measured from the waveform and heat by the size of the bead are not volts times amps.
    if facts.choices("heat_input_measure") & {"energy", "bead"}:
        return None
    given = arc_energy_span(volts, amps, travel)
    assert given.low is not None
    assert given.high is not None
    share, least = row.numbers["share"] / 100, Decimal(LOWEST_EFFICIENCY)
    usual = Interval(given.low * least * (1 - share), given.high * (1 + share))
    if usual.meets(stated):
        return None
    return f"They give {show_interval(given, 'heat_input', system)} without a thermal efficiency."


def _melts(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    heat = facts.interval("pwht_temperature")
    if heat is None or (heat.high or heat.low) is None:
        return None
    reached = heat.high if heat.high is not None else heat.low
    for metal in about.metals:
        solidus = metal.melting.of(system).low if metal.melting is not None else None
        if solidus is None and metal.family == "aluminium":
            solidus = Decimal(660)
        if solidus is not None and reached is not None and reached > solidus:
            return f"{metal.key} begins to melt at {show(solidus, 'temperature', system)}."
    return None


def _deposits_short(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    thinner = number(facts, "thickness_thinner")
    deposits = [line.interval("deposit_thickness") for line in weld.lines]
    if thinner is None or not deposits or None in deposits:
        return None
    highs = [each.high for each in deposits if each is not None]
    known = [high for high in highs if high is not None]
    assert thinner.low is not None
    if len(known) < len(highs) or sum(known) >= thinner.low * (1 - row.numbers["share"] / 100):
        return None
    return f"They add up to {show(Decimal(sum(known)), 'length', system)}."


def _root_opening(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    gap, thinner = facts.interval("root_opening"), facts.interval("thickness_thinner")
    backing = facts.choices("backing")
    if gap is None or gap.low is None or thinner is None:
        return None
    if thinner.high is None or not backing:
        return None
    numbers = row.numbers
    widest = (
        thinner.high + numbers["slack"]
        if backing == {"none"}
        else thinner.high * numbers["backed_times"] + numbers["backed_slack"]
    )
    if gap.low <= widest:
        return None
    return f"Up to {show(widest, 'length', system)} would be looked at no further."


def _temper(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    """T tempers are of alloys that harden by heat treatment, H tempers of those that harden by work."""
    for side in ("a", "b"):
        temper = facts.text(f"temper_{side}")
        names = facts.choices(f"base_metal_{side}")
        metals = [find_metal(name) for name in names]
        kinds = {metal.heat_treatable if metal is not None and not metal.cast else None for metal in metals}
        if kinds not in ({True}, {False}):
            continue
        first = re.match(r"(?:T\d|H\d)", temper.strip().upper())
        if first and (first[0][0] == "T") != (kinds == {True}):
            return f"{temper.strip()} is not a temper of {' or '.join(sorted(names))}."
    return None


def _fillet_size(row: Combination, facts: Facts, about: Known, weld: Weld, system: str) -> str | None:
    leg, thicker = facts.interval("fillet_size"), facts.interval("thickness_thicker")
    if leg is None or thicker is None:
        return None
    if leg.low is None or thicker.high is None:
        return None
    widest = thicker.high * row.numbers["times"] + row.numbers["slack"]
    return (
        f"Up to {show(widest, 'length', system)} would be looked at no further." if leg.low > widest else None
    )


CHECKS: dict[str, Arithmetic] = {
    "filler_process": _filler_process,
    "filler_specification": _filler_specification,
    "load_voltage": _load_voltage,
    "volts_for_feed": _volts_for_feed,
    "current_of_electrode": _current_of_electrode,
    "current_of_tungsten": _current_of_tungsten,
    "heat_input": _heat_input,
    "melts": _melts,
    "deposits_short": _deposits_short,
    "root_opening": _root_opening,
    "temper": _temper,
    "fillet_size": _fillet_size,
}
