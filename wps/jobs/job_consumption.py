"""What a whole job takes: filler by classification and size, gas, arc time, work and money, with every weld
that could not be reckoned and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from functools import partial

from qualification.rules.arithmetic.consumption import Allowances, Span, Taken, Wanting, girth, taken
from qualification.rules.arithmetic.reckoned import together
from qualification.rules.core.facts import Weld
from qualification.rules.core.quantities import QuantityError
from qualification.rules.core.words import within_sentence
from qualification.rules.entries import wording
from qualification.rules.entries.notation import Manner, read_measure
from qualification.rules.materials.catalogue import Origin
from qualification.rules.plan.costs import Rates
from qualification.rules.variables.registry import registry
from wps.jobs.board import Board, what_it_says
from wps.models import Part

ZERO: Span = (Decimal(0), Decimal(0))


@dataclass(frozen=True)
class OfWeld:
    """One weld of the list, all its pieces."""

    part: Part
    length: Decimal | None
    """Of one piece, in mm."""
    lines: tuple[Taken, ...] = ()
    why_not: str = ""

    @property
    def pieces(self) -> int:
        return self.part.quantity


@dataclass
class Filler:
    """All of one filler and size."""

    name: str
    form: str
    diameter: Decimal | None
    processes: tuple[str, ...]
    metal: Span = ZERO
    bought: Span = ZERO
    packs: Span = ZERO
    pieces: int = 0

    @property
    def pack(self) -> str:
        return "spool" if self.form in ("solid", "flux_cored", "metal_cored") else "pack"


@dataclass
class Gas:
    name: str
    cubic_meters: Span = ZERO
    open: int = 0
    """Pieces of which the flow or the arc time is not known."""


@dataclass(frozen=True)
class OfJob:
    """The whole job."""

    welds: tuple[OfWeld, ...]
    fillers: tuple[Filler, ...]
    gases: tuple[Gas, ...]
    arc_hours: Span
    arc_open: int
    """Pieces whose arc time does not follow from their entries."""
    hours: Span
    money: tuple[tuple[str, Span], ...]
    origins: tuple[Origin, ...]

    @property
    def pieces(self) -> int:
        return sum(each.pieces for each in self.welds)

    @property
    def reckoned(self) -> int:
        return sum(each.pieces for each in self.welds if not each.why_not)

    @property
    def left_out(self) -> dict[str, list[OfWeld]]:
        """Welds that could not be reckoned, by the reason."""
        found: dict[str, list[OfWeld]] = {}
        for each in self.welds:
            if each.why_not:
                found.setdefault(each.why_not, []).append(each)
        return found

    @property
    def total(self) -> Span:
        return _sum(span for _, span in self.money)


def job_takes(board: Board, parts: Sequence[Part], rates: Rates) -> OfJob:
    """What the welds take as they will be made: by the chosen procedure of each, else as far as drawn."""
    shop = Allowances(
        rates.run_mm, rates.flow_seconds, rates.stub_mm, rates.operating_percent, rates.kg_per_hour
    )
    views = board.bench.views({what_it_says(part): part for part in parts})
    known: dict[tuple[str, str], OfWeld] = {}
    welds = []
    for part in parts:
        key = (what_it_says(part), part.length)
        if key not in known:
            known[key] = _of_weld(part, views[key[0]].weld, shop)
        welds.append(OfWeld(part, known[key].length, known[key].lines, known[key].why_not))
    return _total(welds, rates)


def _of_weld(part: Part, weld: Weld, shop: Allowances) -> OfWeld:
    length = length_of(part)
    if length is None:
        length = girth(weld.joint)
    if length is None:
        return OfWeld(part, None, why_not="Length of weld is not stated.")
    found = taken(weld, length, shop)
    if not isinstance(found, Wanting):
        return OfWeld(part, length, found)
    if not found.needs:
        return OfWeld(part, length, why_not=found.because)
    names = "; ".join(within_sentence(registry()[key].label) for key in found.needs)
    where = "" if part.spec_number else " No WPS is chosen."
    return OfWeld(part, length, why_not=f"Not stated: {names}.{where}")


def length_of(part: Part) -> Decimal | None:
    """Length of one piece in mm; `None` where none can be read."""
    if not part.length.strip():
        return None
    try:
        read = read_measure(part.length, "length", part.units, Manner()).interval
    except QuantityError:
        return None
    return read.high if read is not None and read.is_point and read.high and read.high > 0 else None


def _total(welds: Sequence[OfWeld], rates: Rates) -> OfJob:
    fillers: dict[tuple[str, Decimal | None], Filler] = {}
    gases: dict[str, Gas] = {}
    arc, hours, arc_open = ZERO, ZERO, 0
    origins: list[Origin] = []
    for weld in welds:
        for line in weld.lines:
            times = Decimal(weld.pieces)
            filler = fillers.setdefault(
                (line.filler, line.diameter), Filler(line.filler, line.form, line.diameter, ())
            )
            filler.processes = tuple(dict.fromkeys((*filler.processes, line.process)))
            filler.metal = _more(filler.metal, line.metal, times)
            filler.bought = _more(filler.bought, line.bought, times)
            filler.pieces += weld.pieces
            if line.gas:
                gas = gases.setdefault(
                    line.gas, Gas(wording.say_value("shielding_gas", frozenset({line.gas}), "si"))
                )
                if line.liters is None:
                    gas.open += weld.pieces
                else:
                    gas.cubic_meters = _more(gas.cubic_meters, line.liters, times / 1000)
            if line.arc is None:
                arc_open += weld.pieces
            else:
                arc = _more(arc, line.arc, times / 60)
            hours = _more(hours, line.hours or ZERO, times)
            origins += [each for each in line.origins if each not in origins]
    for filler in fillers.values():
        in_one = rates.spool_kg if filler.pack == "spool" else rates.pack_kg
        filler.packs = _each(filler.bought, partial(_packs, in_one))
    bought = _sum(each.bought for each in fillers.values())
    blown = _sum(each.cubic_meters for each in gases.values())
    money = (
        ("Work", _each(hours, lambda each: each * rates.hour)),
        ("Filler", _each(bought, lambda each: each * rates.filler_kg)),
        ("Shielding gas", _each(blown, lambda each: each * rates.gas_m3)),
    )
    order = sorted(fillers.values(), key=lambda each: (each.name, each.diameter or Decimal(0)))
    return OfJob(
        tuple(welds), tuple(order), tuple(gases.values()), arc, arc_open, hours, money, together(origins)
    )


def _more(span: Span, more: Span, times: Decimal) -> Span:
    return span[0] + more[0] * times, span[1] + more[1] * times


def _sum(spans: Iterable[Span]) -> Span:
    found = ZERO
    for each in spans:
        found = _more(found, each, Decimal(1))
    return found


def _packs(in_one: Decimal, kilograms: Decimal) -> Decimal:
    return (kilograms / in_one).to_integral_value(ROUND_CEILING)


def _each(span: Span, of: Callable[[Decimal], Decimal]) -> Span:
    return of(span[0]), of(span[1])
