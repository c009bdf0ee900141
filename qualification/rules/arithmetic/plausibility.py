"""Entries that do not go together, pointed out and never refused: a machine may be right and a table wrong.

Each check looks at what is stated only, and stays silent where a figure it needs is missing or not tabled.
A setting that is a range is pointed out only when no part of it fits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts
from ..core.quantities import show_interval
from ..core.values import Interval
from ..core.words import within_sentence
from ..materials.catalogue import Origin
from ..variables.registry import registry
from . import burn_off, deposit, transfer, wire
from .engineering import engineering
from .grooves import GrooveError, Lacking, groove_area, groove_from
from .heat import arc_energy_span
from .weld_inputs import PULSED, high, low, number, pass_area_of, wire_of


@dataclass(frozen=True)
class Remark:
    """One pair of entries that stand oddly together."""

    check: str
    variables: tuple[str, ...]
    """Whose entries are meant, by key."""
    sentence: str
    origins: tuple[Origin, ...]
    """Rows of the tables it rests on; empty where it is geometry or arithmetic."""


def plausibility(facts: Facts, system: str) -> tuple[Remark, ...]:
    """Remarks on the settings of one process line, with the joint's values beside it (`Weld.line_facts`).

    `system` is the unit system the sentences are written in. Never raises for what was entered.
    """
    found: list[Remark] = []
    for check in _CHECKS:
        found += check(facts, system)
    return tuple(found)


def _feed_against_current(facts: Facts, system: str) -> Iterable[Remark]:
    spool, feed, amps = wire_of(facts), number(facts, "wire_feed"), number(facts, "amps")
    if spool is None or feed is None or amps is None or not facts.is_only("process", "GMAW"):
        return
    pulsed = bool(PULSED & facts.choices("current_programme")) or "pulsed_spray" in facts.choices(
        "transfer_mode"
    )
    share = engineering().tolerance("feed_current_pulsed" if pulsed else "feed_current")
    try:
        least = burn_off.current_for_feed(spool.filler.family, spool.diameter, low(feed))
        most = burn_off.current_for_feed(spool.filler.family, spool.diameter, high(feed))
        _, origins = burn_off.basis_of(spool.filler.family, spool.diameter)
    except wire.NotTabled:
        return
    usual = _widened(Interval(least.low, most.high), share)
    if not usual.meets(amps):
        much = "little" if amps.starts_before(usual) else "much"
        yield Remark(
            "feed_against_current",
            ("wire_feed", "amps"),
            f"{_say(facts, 'amps', system)} is {much} for {_name('wire_feed')} "
            f"{_say(facts, 'wire_feed', system)} with this wire: {show_interval(usual, 'current', system)} "
            "would be usual. Check both readings and the wire size.",
            origins,
        )


def _deposit_against_leg(facts: Facts, system: str) -> Iterable[Remark]:
    area, leg = pass_area_of(facts), number(facts, "fillet_size")
    if area is None or leg is None or not facts.is_only("weld_type", "fillet"):
        return
    passes = facts.choices("passes_per_side")
    one_pass = Interval(deposit.leg_of(low(area)), deposit.leg_of(high(area)))
    usual = _widened(one_pass, engineering().tolerance("leg_deposit"))
    if usual.meets(leg):
        return
    larger = usual.ends_after(leg)
    if passes == {"single"} or larger:
        yield Remark(
            "deposit_against_leg",
            ("wire_feed", "travel_speed", "fillet_size"),
            "One pass at these settings lays down a fillet leg of "
            f"{show_interval(one_pass, 'length', system)}; "
            f"{_say(facts, 'fillet_size', system)} is entered"
            f"{' as a single pass' if passes == {'single'} else ''}. Check wire feed, travel speed and size.",
            (),
        )


def _deposit_against_groove(facts: Facts, system: str) -> Iterable[Remark]:
    area = pass_area_of(facts)
    if (
        area is None
        or not facts.is_only("weld_type", "groove")
        or facts.choices("passes_per_side") != {"single"}
    ):
        return
    try:
        groove = groove_area(groove_from(facts))
    except (GrooveError, Lacking):
        return
    sides = 2 if facts.choices("sides_welded") == {"both"} else 1
    share = float(engineering().tolerance("leg_deposit"))
    if groove > 0 and float(high(area)) * sides * (1 + share) < groove:
        yield Remark(
            "deposit_against_groove",
            ("wire_feed", "travel_speed", "passes_per_side"),
            f"The groove holds {groove:.1f} mm², a single pass per side lays down "
            f"{float(high(area)) * sides:.1f} mm². "
            "Check wire feed, travel speed and the number of passes.",
            (),
        )


def _volts_against_mode(facts: Facts, system: str) -> Iterable[Remark]:
    spool, volts, modes = wire_of(facts), number(facts, "volts"), facts.choices("transfer_mode")
    if spool is None or volts is None or len(modes) != 1:
        return
    (mode,) = modes
    try:
        usual = transfer.usual_setting(
            spool.filler.family, spool.diameter, mode, facts.choice("shielding_gas")
        )
    except wire.NotTabled:
        return
    around = _widened(usual.volts, engineering().tolerance("volts_mode"))
    if not around.meets(volts):
        side = "low" if volts.starts_before(around) else "high"
        yield Remark(
            "volts_against_mode",
            ("volts", "transfer_mode"),
            f"{_say(facts, 'volts', system)} is {side} for {_mode(mode)} transfer with this wire; "
            f"{show_interval(usual.volts, 'voltage', system)} is usual. Check the reading and the mode.",
            (usual.origin,),
        )


def _mode_against_transition(facts: Facts, system: str) -> Iterable[Remark]:
    spool, amps, modes, gas = (
        wire_of(facts),
        number(facts, "amps"),
        facts.choices("transfer_mode"),
        facts.choice("shielding_gas"),
    )
    if spool is None or amps is None or gas is None or len(modes) != 1:
        return
    (mode,) = modes
    try:
        limit = transfer.transition_current(spool.filler.family, spool.diameter, gas)
    except wire.NotTabled:
        return
    share = engineering().tolerance("spray_current")
    below, above = limit.amps * (1 - share), limit.amps * (1 + share)
    about = f"metal of this wire sprays from about {limit.amps:.0f} A in this gas"
    if mode == "spray" and high(amps) < below:
        yield Remark(
            "mode_against_transition",
            ("transfer_mode", "amps"),
            f"Spray transfer is entered at {_say(facts, 'amps', system)}; {about}. Check current and mode.",
            (limit.origin,),
        )
    if mode in ("short_circuit", "globular") and low(amps) > above:
        yield Remark(
            "mode_against_transition",
            ("transfer_mode", "amps"),
            f"{_mode(mode).capitalize()} transfer is entered at {_say(facts, 'amps', system)}; {about}. "
            "Check current and mode.",
            (limit.origin,),
        )


def _current_of_wire(facts: Facts, system: str) -> Iterable[Remark]:
    spool, amps = wire_of(facts), number(facts, "amps")
    if spool is None or amps is None or not facts.is_only("process", "GMAW"):
        return
    try:
        usual, origin = transfer.current_range(spool.filler.family, spool.diameter)
    except wire.NotTabled:
        return
    # Pulsed and dip welding go well below the tabled range; only the upper end speaks of the wire itself.
    most = high(usual) * (1 + engineering().tolerance("spray_current"))
    if low(amps) > most:
        yield Remark(
            "current_of_wire",
            ("amps", "filler_diameter"),
            f"{_say(facts, 'amps', system)} is much for this wire; it is used up to {usual.high} A. "
            "Check the reading and the diameter.",
            (origin,),
        )


def _energy_against_settings(facts: Facts, system: str) -> Iterable[Remark]:
    stated = number(facts, "heat_input")
    volts, amps, travel = (number(facts, key) for key in ("volts", "amps", "travel_speed"))
    if stated is None or volts is None or amps is None or travel is None:
        return
    if facts.choices("heat_input_measure") != {"arc"}:
        return
    reckoned = arc_energy_span(volts, amps, travel)
    around = _widened(reckoned, engineering().tolerance("energy"))
    if not around.meets(stated):
        yield Remark(
            "energy_against_settings",
            ("heat_input", "volts", "amps", "travel_speed"),
            f"{registry()['heat_input'].label} {_say(facts, 'heat_input', system)} is entered; volts, "
            "amperes "
            f"and travel speed give {show_interval(reckoned, 'heat_input', system)} without a thermal "
            "efficiency. Check all four.",
            (),
        )


_CHECKS: tuple[Callable[[Facts, str], Iterable[Remark]], ...] = (
    _feed_against_current,
    _current_of_wire,
    _volts_against_mode,
    _mode_against_transition,
    _deposit_against_leg,
    _deposit_against_groove,
    _energy_against_settings,
)


def _widened(interval: Interval, share: Decimal) -> Interval:
    return Interval(low(interval) * (1 - share), high(interval) * (1 + share))


def _say(facts: Facts, key: str, system: str) -> str:
    value = facts[key]
    assert isinstance(value, Interval)
    return show_interval(value, str(registry()[key].dimension), system)


def _name(key: str) -> str:
    return within_sentence(registry()[key].label)


def _mode(key: str) -> str:
    return within_sentence(registry()["transfer_mode"].choice_label(key))
