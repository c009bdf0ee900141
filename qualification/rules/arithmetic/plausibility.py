"""Entries that do not go together, pointed out and never refused: a machine may be right and a table wrong.

Each check looks at what is stated only, and stays silent where a figure it needs is missing or not tabled.
A setting that is a range is pointed out only when no part of it fits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from ..catalogue import Filler, Origin, find_filler
from ..facts import Facts
from ..quantities import show_interval
from ..values import Interval
from ..variables import registry
from ..wording import within_sentence
from . import burn_off, deposit, transfer, wire
from .engineering import engineering
from .grooves import GrooveError, Lacking, groove_area, groove_from
from .heat import arc_energy_span

PULSED = frozenset({"pulsed", "double_pulsed"})


@dataclass(frozen=True)
class Remark:
    """One pair of entries that stand oddly together."""

    check: str
    variables: tuple[str, ...]
    """Whose entries are meant, by key."""
    sentence: str
    origins: tuple[Origin, ...]
    """Rows of the tables it rests on; empty where it is geometry or arithmetic."""


@dataclass(frozen=True)
class _Wire:
    filler: Filler
    diameter: Decimal


def plausibility(facts: Facts, system: str) -> tuple[Remark, ...]:
    """Remarks on the settings of one process line, with the joint's values beside it (`Weld.line_facts`).

    `system` is the unit system the sentences are written in. Never raises for what was entered.
    """
    found: list[Remark] = []
    for check in _CHECKS:
        found += check(facts, system)
    return tuple(found)


def _feed_against_current(facts: Facts, system: str) -> Iterable[Remark]:
    spool, feed, amps = _wire(facts), _number(facts, "wire_feed"), _number(facts, "amps")
    if spool is None or feed is None or amps is None or facts["process"] != frozenset({"GMAW"}):
        return
    pulsed = bool(PULSED & _choices(facts, "current_programme")) or "pulsed_spray" in _choices(
        facts, "transfer_mode"
    )
    share = engineering().tolerance("feed_current_pulsed" if pulsed else "feed_current")
    try:
        low = burn_off.current_for_feed(spool.filler.family, spool.diameter, _low(feed))
        high = burn_off.current_for_feed(spool.filler.family, spool.diameter, _high(feed))
        origins = burn_off.burn_off(spool.filler.family, spool.diameter).origins
    except wire.NotTabled:
        return
    usual = _widened(Interval(low.low, high.high), share)
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
    area, leg = _pass_area(facts), _number(facts, "fillet_size")
    if area is None or leg is None or facts["weld_type"] != frozenset({"fillet"}):
        return
    passes = _choices(facts, "passes_per_side")
    one_pass = Interval(deposit.leg_of(_low(area)), deposit.leg_of(_high(area)))
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
    area = _pass_area(facts)
    if (
        area is None
        or facts["weld_type"] != frozenset({"groove"})
        or _choices(facts, "passes_per_side") != {"single"}
    ):
        return
    try:
        groove = groove_area(groove_from(facts))
    except (GrooveError, Lacking):
        return
    sides = 2 if _choices(facts, "sides_welded") == {"both"} else 1
    share = float(engineering().tolerance("leg_deposit"))
    if groove > 0 and float(_high(area)) * sides * (1 + share) < groove:
        yield Remark(
            "deposit_against_groove",
            ("wire_feed", "travel_speed", "passes_per_side"),
            f"The groove holds {groove:.1f} mm², a single pass per side lays down "
            f"{float(_high(area)) * sides:.1f} mm². "
            "Check wire feed, travel speed and the number of passes.",
            (),
        )


def _volts_against_mode(facts: Facts, system: str) -> Iterable[Remark]:
    spool, volts, modes = _wire(facts), _number(facts, "volts"), _choices(facts, "transfer_mode")
    if spool is None or volts is None or len(modes) != 1:
        return
    (mode,) = modes
    try:
        usual = transfer.usual_setting(spool.filler.family, spool.diameter, mode, _gas(facts))
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
        _wire(facts),
        _number(facts, "amps"),
        _choices(facts, "transfer_mode"),
        _gas(facts),
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
    if mode == "spray" and _high(amps) < below:
        yield Remark(
            "mode_against_transition",
            ("transfer_mode", "amps"),
            f"Spray transfer is entered at {_say(facts, 'amps', system)}; {about}. Check current and mode.",
            (limit.origin,),
        )
    if mode in ("short_circuit", "globular") and _low(amps) > above:
        yield Remark(
            "mode_against_transition",
            ("transfer_mode", "amps"),
            f"{_mode(mode).capitalize()} transfer is entered at {_say(facts, 'amps', system)}; {about}. "
            "Check current and mode.",
            (limit.origin,),
        )


def _current_of_wire(facts: Facts, system: str) -> Iterable[Remark]:
    spool, amps = _wire(facts), _number(facts, "amps")
    if spool is None or amps is None or facts["process"] != frozenset({"GMAW"}):
        return
    try:
        usual, origin = transfer.current_range(spool.filler.family, spool.diameter)
    except wire.NotTabled:
        return
    # Pulsed and dip welding go well below the tabled range; only the upper end speaks of the wire itself.
    most = _high(usual) * (1 + engineering().tolerance("spray_current"))
    if _low(amps) > most:
        yield Remark(
            "current_of_wire",
            ("amps", "filler_diameter"),
            f"{_say(facts, 'amps', system)} is much for this wire; it is used up to {usual.high} A. "
            "Check the reading and the diameter.",
            (origin,),
        )


def _energy_against_settings(facts: Facts, system: str) -> Iterable[Remark]:
    stated = _number(facts, "heat_input")
    volts, amps, travel = (_number(facts, key) for key in ("volts", "amps", "travel_speed"))
    if stated is None or volts is None or amps is None or travel is None:
        return
    if _choices(facts, "heat_input_measure") != {"arc"}:
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


def _pass_area(facts: Facts) -> Interval | None:
    """mm² one pass adds, from the lowest feed at the highest travel to the reverse."""
    diameter, feed, travel = (_number(facts, key) for key in ("filler_diameter", "wire_feed", "travel_speed"))
    if diameter is None or not diameter.is_point or feed is None or travel is None:
        return None
    modes, processes = _choices(facts, "transfer_mode"), _choices(facts, "process")
    if len(processes) != 1:
        return None
    try:
        low, high, _ = wire.yield_of(next(iter(processes)), next(iter(modes)) if len(modes) == 1 else None)
    except wire.NotTabled:
        return None
    size = _low(diameter)
    return Interval(
        deposit.pass_area(size, _low(feed), _high(travel), low),
        deposit.pass_area(size, _high(feed), _low(travel), high),
    )


def _wire(facts: Facts) -> _Wire | None:
    names, diameter = _choices(facts, "filler_classification"), _number(facts, "filler_diameter")
    if len(names) != 1 or diameter is None or not diameter.is_point:
        return None
    filler = find_filler(next(iter(names)))
    return _Wire(filler, _low(diameter)) if filler is not None and filler.form == "solid" else None


def _number(facts: Facts, key: str) -> Interval | None:
    """A stated number with both ends above zero; `None` otherwise."""
    value = facts[key]
    bounded = (
        isinstance(value, Interval) and value.low is not None and value.high is not None and value.low > 0
    )
    return value if bounded else None  # type: ignore[return-value]


def _choices(facts: Facts, key: str) -> frozenset[str]:
    value = facts[key]
    return value if isinstance(value, frozenset) else frozenset()


def _gas(facts: Facts) -> str | None:
    gases = _choices(facts, "shielding_gas")
    return next(iter(gases)) if len(gases) == 1 else None


def _low(interval: Interval) -> Decimal:
    assert interval.low is not None
    return interval.low


def _high(interval: Interval) -> Decimal:
    assert interval.high is not None
    return interval.high


def _widened(interval: Interval, share: Decimal) -> Interval:
    return Interval(_low(interval) * (1 - share), _high(interval) * (1 + share))


def _say(facts: Facts, key: str, system: str) -> str:
    value = facts[key]
    assert isinstance(value, Interval)
    return show_interval(value, str(registry()[key].dimension), system)


def _name(key: str) -> str:
    return within_sentence(registry()[key].label)


def _mode(key: str) -> str:
    return within_sentence(registry()["transfer_mode"].choice_label(key))
