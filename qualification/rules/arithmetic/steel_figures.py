"""Carbon equivalents, preheat and cooling time of one steel and one weld, each with what it was reckoned from
and what it still needs.

Guidance for a person who decides: the code and the steel's own data govern. Thickness in mm, diffusible
hydrogen in ml/100 g, heat input in kJ/mm with the thermal efficiency in it, temperatures in °C.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import partial

from ..core.quantities import SI, show_both
from ..core.values import Interval
from ..materials.catalogue import Origin
from . import carbon
from .cooling import cooling_time, shape_factor
from .engineering import engineering
from .preheat import preheat_method_b
from .reckoned import Reckoned

EQUIVALENTS: tuple[tuple[str, Callable[[carbon.Composition], Decimal | float], str], ...] = (
    ("CE (IIW)", carbon.ce_iiw, "C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15"),
    ("CE with silicon (annex of D1.1)", carbon.ce_with_silicon, "the same with Si/6"),
    ("Pcm", carbon.pcm, "C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B"),
    ("CET", carbon.cet, "C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40"),
    ("CEN", carbon.cen, "C and the others weighted by a curve over C"),
)
FAHRENHEIT = Decimal("1.8")


@dataclass(frozen=True)
class SteelWeld:
    """What is known; `None` where it is not stated."""

    steel: Mapping[str, Decimal]
    thickness: Decimal | None = None
    combined: Decimal | None = None
    """Sum of the thicknesses that lead heat away, for method A."""
    hydrogen: Decimal | None = None
    heat_input: Decimal | None = None
    start: Decimal = Decimal(20)
    """°C at which the pass begins."""
    shape: str = "bead_on_plate"


@dataclass
class SteelFigures:
    rows: list[Reckoned] = field(default_factory=list)
    needs: list[str] = field(default_factory=list)
    """What is missing for the others, each a sentence."""


def steel_figures(weld: SteelWeld, system: str) -> SteelFigures:
    """Everything that follows. Never raises for what was entered, as long as numbers are above zero."""
    found = SteelFigures()
    if weld.steel:
        for label, formula, words in EQUIVALENTS:
            _add(found, label, partial(_equivalent, formula, weld, words))
        _add(found, "Preheat by EN 1011-2, method B", lambda: _method_b(weld, system))
        _add(found, "Entry to EN 1011-2, method A", lambda: _method_a(weld, system))
        _add(found, "Susceptibility index by the annex of D1.1", lambda: _index(weld))
    else:
        found.needs.append("Enter the composition of the steel, by its mill certificate.")
    _add(found, "Cooling time from 800 to 500 °C", lambda: _cooling(weld, system))
    return found


class _Needs(LookupError):
    """What is missing, as a sentence."""


def _add(found: SteelFigures, label: str, figure: Callable[[], tuple[str, str, Iterable[Origin]]]) -> None:
    try:
        value, how, origins = figure()
    except (_Needs, carbon.NotAnalysed) as lacking:
        found.needs.append(f"{label}: {lacking.args[0]}")
    else:
        found.rows.append(Reckoned(label, value, how, tuple(origins)))


def _equivalent(
    formula: Callable[[carbon.Composition], Decimal | float], weld: SteelWeld, words: str
) -> tuple[str, str, Iterable[Origin]]:
    outside = carbon.outside_cet(weld.steel) if formula is carbon.cet else ()
    note = f" {'; '.join(outside)}." if outside else ""
    (row,) = engineering().table("cet_validity")
    return f"{float(formula(weld.steel)):.3f}\u202f%", f"{words}.{note}", (row.origin,)


def _method_b(weld: SteelWeld, system: str) -> tuple[str, str, Iterable[Origin]]:
    thickness, hydrogen, heat = _given(weld, "thickness", "hydrogen", "heat_input")
    cet = carbon.cet(weld.steel)
    found = preheat_method_b(float(cet), float(thickness), float(hydrogen), float(heat))
    (row,) = engineering().table("preheat_validity")
    how = (
        f"CET {cet:.3f}\u202f%, {show_both(Interval.point(thickness), 'length', system)}, "
        f"{hydrogen.normalize():f} ml/100 g, {heat.normalize():f} kJ/mm with the efficiency in it."
    )
    if found.outside:
        how += f" Doubtful: {' '.join(found.outside)}"
    if found.celsius <= float(weld.start):
        return "none above the temperature of the plate", how, (row.origin,)
    return _celsius(Decimal(f"{found.celsius:.0f}"), system), how, (row.origin,)


def _method_a(weld: SteelWeld, system: str) -> tuple[str, str, Iterable[Origin]]:
    combined, hydrogen = _given(weld, "combined", "hydrogen")
    row = next(each for each in engineering().table("hydrogen_scale") if hydrogen > each["above"])
    ce = carbon.ce_iiw(weld.steel)
    return (
        f"CE {ce:.2f}, combined thickness {show_both(Interval.point(combined), 'length', system)}, "
        f"hydrogen scale {row['scale']}",
        "The preheat is read from the charts of the standard, which are not in these tables.",
        (row.origin,),
    )


def _index(weld: SteelWeld) -> tuple[str, str, Iterable[Origin]]:
    (hydrogen,) = _given(weld, "hydrogen")
    pcm = carbon.pcm(weld.steel)
    row = next(
        each
        for each in engineering().table("susceptibility")
        if each["up_to"] is None or hydrogen <= each["up_to"]
    )
    (steps,) = engineering().table("pcm_step")
    letter = next((each for end, each in zip(steps["ends"], row["letters"], strict=True) if pcm <= end), None)
    how = (
        f"Pcm {pcm:.3f}\u202f% and {row['key']}, {row['words']}. With this letter, the thickness and the "
        "restraint the annex gives the preheat; that table is not in these tables."
    )
    if letter is None:
        return f"none: Pcm is above {steps['ends'][-1]}\u202f%", how, (row.origin,)
    return letter, how, (row.origin,)


def _cooling(weld: SteelWeld, system: str) -> tuple[str, str, Iterable[Origin]]:
    thickness, heat = _given(weld, "thickness", "heat_input")
    if weld.start >= 500:
        raise _Needs("enter a plate temperature below 500 °C.")
    found = cooling_time(float(heat), float(weld.start), float(thickness), weld.shape)
    least, most = f"{found.least:.1f}", f"{found.most:.1f}"
    row = next(each for each in engineering().table("shape_factor") if each["shape"] == weld.shape)
    flow = "three" if found.dimensions == 3 else "two"
    limit = show_both(Interval.point(Decimal(f"{found.transition:.1f}")), "length", system)
    return (
        f"{least} s" if least == most else f"{least} to {most} s",
        f"{shape_factor(weld.shape).label}, {heat.normalize():f} kJ/mm, from "
        f"{_celsius(weld.start, system)}; heat flows in {flow} dimensions (in three from {limit}). Unalloyed "
        "and low-alloy steel.",
        (row.origin,),
    )


def _given(weld: SteelWeld, *names: str) -> list[Decimal]:
    words = {
        "thickness": "the thickness",
        "combined": "the combined thickness",
        "hydrogen": "the diffusible hydrogen",
        "heat_input": "the heat input",
    }
    lacking = [words[name] for name in names if getattr(weld, name) is None]
    if lacking:
        raise _Needs(f"enter {' and '.join(lacking)}.")
    return [getattr(weld, name) for name in names]


def _celsius(value: Decimal, system: str) -> str:
    fahrenheit = value * FAHRENHEIT + 32
    one, other = f"{value:.0f} °C", f"{fahrenheit:.0f} °F"
    return f"{one} ({other})" if system == SI else f"{other} ({one})"
