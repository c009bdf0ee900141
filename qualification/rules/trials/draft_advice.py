"""Values a draft may start from: filler for the metals, settings for wire and thickness, interpass
temperature, tungsten and gas flow.

Advice from published tables, for what the draft does not state yet; never a verdict, and never more than a
start for a trial coupon.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from ..arithmetic.burn_off import same_size
from ..arithmetic.engineering import EngineeringRow, engineering
from ..arithmetic.transfer import usual_setting
from ..arithmetic.weld_inputs import high, low, number, wire_of
from ..arithmetic.wire import NotTabled
from ..core.facts import Facts, Weld
from ..core.quantities import DIMENSIONS, from_canonical, show, show_interval, show_number
from ..core.values import MISSING, Interval
from ..core.words import within_sentence
from ..materials.catalogue import Metal, Origin, find_filler, find_metal
from ..materials.filler_advice import PURPOSES, filler_advice, filler_choices
from ..variables.registry import registry

NEAR = Decimal("0.25")
"""How far a thickness may lie from that of a published row, as a share of it."""


@dataclass(frozen=True)
class DraftAdvice:
    """One value to start from."""

    variable: str
    entry: str
    """As it would be typed."""
    reason: str
    cautions: tuple[str, ...]
    origin: Origin
    line: int | None = None
    """`None` for an entry of the joint."""

    @property
    def label(self) -> str:
        return registry()[self.variable].label

    @property
    def key(self) -> str:
        """Names it on a page: where it goes and what it says."""
        return f"{'' if self.line is None else self.line}:{self.variable}:{self.entry}"


def draft_advice(weld: Weld, system: str) -> list[DraftAdvice]:
    """Advice for every entry that is not stated and that the tables say something of."""
    found = list(_of_heat(weld, system))
    for index in range(len(weld.lines)):
        facts = weld.line_facts(index)
        for each in (*_fillers(facts), *_settings(facts, system), *_flow(facts, system)):
            if facts[each.variable] is MISSING:
                found.append(replace(each, line=index))
    return found


def _metals(facts: Facts) -> tuple[Metal, Metal] | None:
    found = []
    for side in ("a", "b"):
        names = facts.choices(f"base_metal_{side}")
        metal = find_metal(next(iter(names))) if len(names) == 1 else None
        if metal is None:
            return None
        found.append(metal)
    return found[0], found[1]


def _fillers(facts: Facts) -> Iterable[DraftAdvice]:
    pair = _metals(facts)
    if pair is None:
        return
    purposes: dict[str, list[str]] = {}
    where: dict[str, Origin] = {}
    for choice in filler_choices(*pair):
        for name in choice.fillers:
            purposes.setdefault(name, []).append(within_sentence(PURPOSES[choice.purpose]))
            where.setdefault(name, choice.origin)
    named = " to ".join(dict.fromkeys(metal.key for metal in pair))
    for name, reasons in purposes.items():
        cautions = tuple(each.sentence for each in filler_advice(*pair, find_filler(name)))
        yield DraftAdvice(
            "filler_classification",
            name,
            f"Usually taken for {named}: {'; '.join(reasons)}.",
            cautions,
            where[name],
        )


def _settings(facts: Facts, system: str) -> Iterable[DraftAdvice]:
    pair, thickness = _metals(facts), number(facts, "thickness_a")
    weld_types, processes = facts.choices("weld_type"), facts.choices("process")
    if pair is None or len(processes) != 1:
        return
    family = pair[0].family
    if thickness is not None and len(weld_types) == 1 and pair[1].family == family:
        weld_type, thick = next(iter(weld_types)), high(thickness)
        if processes == {"GMAW"}:
            yield from _wire_start(facts, family, weld_type, thick, system)
        if processes == {"GTAW"}:
            yield from _tungsten_start(family, weld_type, thick, system)
    if processes == {"GMAW"}:
        yield from _usual(facts, family, system)


def _nearest(table: str, family: str, weld_type: str, thickness: Decimal) -> list[EngineeringRow]:
    """Rows of the thickness nearest to it, if one is near enough."""
    rows = [
        row
        for row in engineering().table(table)
        if row["family"] == family
        and row["weld_type"] == weld_type
        and abs(row["thickness"] - thickness) <= NEAR * row["thickness"]
    ]
    if not rows:
        return []
    least = min(abs(row["thickness"] - thickness) for row in rows)
    return [row for row in rows if abs(row["thickness"] - thickness) == least]


def _wire_start(
    facts: Facts, family: str, weld_type: str, thickness: Decimal, system: str
) -> Iterable[DraftAdvice]:
    rows, size = _nearest("wire_start", family, weld_type, thickness), number(facts, "filler_diameter")
    programmes = facts.choices("current_programme")
    if facts.choice("shielding_gas") not in (None, "Ar"):
        return
    if size is None:
        for row in rows:
            yield DraftAdvice(
                "filler_diameter",
                show(row["diameter"], "length", system),
                f"A published setting for a {weld_type} weld in {show(row['thickness'], 'length', system)}.",
                (),
                row.origin,
            )
        return
    for row in same_size(rows, low(size)):
        how = (
            f"A published setting for a {weld_type} weld in {show(row['thickness'], 'length', system)} with "
            f"{show(row['diameter'], 'length', system)} wire in argon."
        )
        cautions = (
            ("It is for a steady arc; a pulsed program has its own.",) if programmes - {"steady"} else ()
        )
        for key, dimension, value in (
            ("amps", "current", Interval.point(row["amps"])),
            ("volts", "voltage", row["volts"]),
            ("wire_feed", "wire_feed", Interval.point(row["feed"])),
            ("travel_speed", "travel_speed", Interval.point(row["travel"])),
        ):
            yield DraftAdvice(key, show_interval(value, dimension, system), how, cautions, row.origin)


def _tungsten_start(family: str, weld_type: str, thickness: Decimal, system: str) -> Iterable[DraftAdvice]:
    for row in _nearest("tungsten_start", family, weld_type, thickness)[:1]:
        how = (
            f"A published setting for a {weld_type} weld in {show(row['thickness'], 'length', system)}, "
            "AC in argon."
        )
        for key, entry in (
            ("amps", show_interval(row["amps"], "current", system)),
            ("tungsten_diameter", show(row["tungsten"], "length", system)),
            ("filler_diameter", show(row["diameter"], "length", system)),
            ("shielding_flow", show(row["flow"], "flow", system)),
        ):
            yield DraftAdvice(key, entry, how, (), row.origin)


def _usual(facts: Facts, family: str, system: str) -> Iterable[DraftAdvice]:
    """Usual volts and amperes of a mode for the wire, where no row for the thickness says more."""
    spool, modes, gas = wire_of(facts), facts.choices("transfer_mode"), facts.choice("shielding_gas")
    if spool is None or len(modes) != 1 or spool.filler.family != family or family == "aluminium":
        return
    try:
        usual = usual_setting(family, spool.diameter, next(iter(modes)), gas)
    except NotTabled:
        return
    how = f"Usual for this mode of transfer with {show(usual.diameter, 'length', system)} wire."
    for key, dimension, span in (("amps", "current", usual.amps), ("volts", "voltage", usual.volts)):
        yield DraftAdvice(key, show_interval(span, dimension, system), how, (), usual.origin)


def _flow(facts: Facts, system: str) -> Iterable[DraftAdvice]:
    pair, processes, gas = _metals(facts), facts.choices("process"), facts.choice("shielding_gas")
    if pair is None or len(processes) != 1 or gas == "none":
        return
    for row in engineering().table("flow_start"):
        if row["process"] in processes and pair[0].family in row["families"]:
            yield DraftAdvice(
                "shielding_flow",
                show_interval(row["flow"], "flow", system),
                "Usual for the process and the metal.",
                ("A draft, a wide nozzle or helium wants more; too much draws air in.",),
                row.origin,
            )


def _of_heat(weld: Weld, system: str) -> Iterable[DraftAdvice]:
    """Preheat of steel by its thickness, interpass temperature of aluminum by its metals."""
    pair = _metals(weld.joint)
    if pair is None:
        return
    yield from _preheat(weld, pair, system)
    if any(metal.family != "aluminium" for metal in pair):
        return
    rows = [_heat_row(metal) for metal in pair]
    known = [row for row in rows if row is not None]
    if len(known) != len(rows):
        return
    row = min(known, key=lambda each: each["interpass"])
    if weld.joint["interpass_max"] is MISSING:
        cautions = tuple(
            f"{metal.key} holds more than 3 % magnesium: keep it out of 65 to 200 °C (150 to 400 °F)."
            for metal in dict.fromkeys(pair)
            if metal.magnesium is not None and metal.magnesium > 3
        )
        yield DraftAdvice(
            "interpass_max",
            _temperature(row["interpass"], system),
            "The highest temperature between passes of the more sensitive of the two metals.",
            cautions,
            row.origin,
        )


def _preheat(weld: Weld, pair: tuple[Metal, Metal], system: str) -> Iterable[DraftAdvice]:
    """By the thicker side, where both metals and all processes are of the rows."""
    sides = [number(weld.joint, f"thickness_{side}") for side in ("a", "b")]
    stated = [high(each) for each in sides if each is not None]
    processes = set().union(*(line.choices("process") for line in weld.lines))
    if not stated or not processes or weld.joint["preheat_min"] is not MISSING:
        return
    for row in engineering().table("preheat_start"):
        fits = {metal.key for metal in pair} <= set(row["metals"]) and processes <= set(row["processes"])
        if fits and (row["up_to"] is None or max(stated) <= row["up_to"]):
            yield DraftAdvice(
                "preheat_min",
                show(row["preheat"], "temperature", system),
                "The lowest preheat of a structural code for this steel, thickness and process.",
                ("Restraint, hydrogen and a rich composition ask for more; see the page of the steel.",),
                row.origin,
            )
            return


def _heat_row(metal: Metal) -> EngineeringRow | None:
    """The row that says most of the metal: one for much magnesium before that of its series."""
    fitting = [
        row
        for row in engineering().table("heat_start")
        if metal.series in row["series"]
        and (
            row["magnesium_above"] is None
            or (metal.magnesium is not None and metal.magnesium > row["magnesium_above"])
        )
    ]
    return max(fitting, key=lambda row: row["magnesium_above"] is not None, default=None)


def _temperature(value: Decimal, system: str) -> str:
    """Rounded down to a whole degree, since it is a highest one."""
    dimension = DIMENSIONS["temperature"]
    unit = dimension.unit_for(system)
    return show_number(from_canonical(value, unit, dimension).to_integral_value("ROUND_FLOOR"), unit)
