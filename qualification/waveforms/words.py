"""What a waveform file says, in words and rows for a page."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from qualification.models import TrialLog
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry
from qualification.waveforms.logs import declared_now
from qualification.waveforms.pass_energy import measured_energy, why_none

LABELS = {
    "mean_volts": "Mean voltage",
    "mean_amps": "Mean current",
    "rms_volts": "RMS voltage",
    "rms_amps": "RMS current",
    "mean_power": "Average instantaneous power",
    "energy": "Energy of the arc time",
    "product_of_means": "Mean volts × mean amps",
    "product_of_rms": "RMS volts × RMS amps",
}

NOISE = 1e-9
"""Share of a figure below which an uncertainty is the noise of floating-point sums."""


@dataclass(frozen=True)
class FigureRow:
    """One figure, its uncertainty, and a remark."""

    label: str
    value: str
    uncertainty: str
    note: str = ""


@dataclass(frozen=True)
class LogWords:
    """Everything a page says of a log that was worked through."""

    sentence: str
    rows: list[FigureRow]
    rhythm: list[FigureRow]
    evidence: list[dict[str, str]]
    problems: list[str]
    declared_changed: bool
    needed: str
    """What is missing for the energy per length; empty where nothing is."""


def words_of(log: TrialLog) -> LogWords:
    """The analysis in words. Call it for a log that is worked through only."""
    found: dict[str, Any] = log.analysis or {}
    return LogWords(
        _difference(found),
        [*_figures(found), *_per_length(log)],
        _rhythm(found),
        [
            {
                **each,
                "label": registry()[each["variable"]].label,
                "declared_words": _declared(each),
                "mark": {"for": "covered", "against": "not_covered"}.get(each["stand"], "unknown"),
            }
            for each in found["evidence"]
        ],
        found["problems"],
        declared_now(log.trial)[: len(found["declared"])] != found["declared"],
        why_none(log),
    )


def _declared(each: dict[str, str]) -> str:
    variable = registry()[each["variable"]]
    return each["declared"] if variable.kind is ValueKind.NUMBER else variable.choice_label(each["declared"])


def _difference(found: dict[str, Any]) -> str:
    figures = found["figures"]
    percent, off = figures["difference_percent"]["value"], figures["difference_percent"]["uncertainty"]
    power, product = figures["mean_power"]["value"], figures["product_of_means"]["value"]
    if abs(percent) <= max(2 * off, 0.05):
        return (
            f"Measured power and mean volts × mean amps agree: {power:.0f} W and {product:.0f} W, "
            f"{percent:+.1f} ± {off:.1f} %.".replace("-", "−")
        )
    way = "more" if percent > 0 else "less"
    return (
        f"The arc put in {abs(percent):.1f} ± {off:.1f} % {way} than mean volts × mean amps says: "
        f"{power:.0f} W measured, "
        f"{product:.0f} W by the means."
    )


def _figures(found: dict[str, Any]) -> list[FigureRow]:
    rows = []
    for key, label in LABELS.items():
        figure = found["figures"][key]
        rows.append(
            FigureRow(
                label,
                say_number(figure["value"], figure["unit"]),
                f"± {say_number(worth_saying(figure), figure['unit'], 2)}",
                _NOTES.get(key, ""),
            )
        )
    return rows


def worth_saying(figure: dict[str, Any]) -> float:
    """The uncertainty, or nought where it is the arithmetic's last digits alone."""
    return 0.0 if figure["uncertainty"] < NOISE * abs(figure["value"]) else figure["uncertainty"]


_NOTES = {
    "mean_power": "What counts for a waveform-controlled source (ASME IX, QW-409.1(c)).",
    "product_of_means": "What a display would have led to.",
}


def _per_length(log: TrialLog) -> list[FigureRow]:
    energy, system = measured_energy(log), log.trial.units
    if energy is None:
        return []
    percent = (
        f"± {say_number(float(100 * energy.uncertainty / energy.value), '%', 2)}" if energy.value else ""
    )
    return [
        FigureRow(
            "Measured energy per length",
            show_both(Interval.point(energy.value), "heat_input", system),
            percent,
            f"At least: the range of an instrument was exceeded. {energy.basis}"
            if energy.at_least
            else energy.basis,
        ),
        FigureRow(
            "Energy per length by the means",
            show_both(Interval.point(energy.by_means), "heat_input", system),
            "",
        ),
    ]


def _rhythm(found: dict[str, Any]) -> list[FigureRow]:
    lost = found.get("missing") or 0.0
    rows = [
        FigureRow(
            "Arc time",
            say_number(found["seconds"], "s"),
            "",
            f"{say_number(lost, 's', 2)} of it not recorded" if lost else "",
        )
    ]
    rows += _pulses(found)
    shorts = found["shorts"]
    rows.append(
        FigureRow(
            "Short circuits",
            f"{shorts['count']}, {say_number(shorts['rate'], 'a second', 3)}",
            "",
            f"{100 * shorts['share']:.1f} % of the arc time",
        )
    )
    return rows


def _pulses(found: dict[str, Any]) -> list[FigureRow]:
    rows: list[FigureRow] = []
    if (pulses := found["pulses"]) is not None:
        rows += [
            FigureRow(
                "Pulse frequency",
                say_number(pulses["frequency"], "Hz"),
                f"± {say_number(pulses['frequency_uncertainty'], 'Hz', 2)}",
            ),
            FigureRow(
                "Peak",
                f"{say_number(pulses['peak_amps'], 'A')}, {say_number(pulses['peak_volts'], 'V')}, "
                f"{say_number(1000 * pulses['peak_time'], 'ms', 3)}",
                "",
            ),
            FigureRow(
                "Background",
                f"{say_number(pulses['background_amps'], 'A')}, "
                f"{say_number(pulses['background_volts'], 'V')}, "
                f"{say_number(1000 * pulses['background_time'], 'ms', 3)}",
                "",
            ),
        ]
    if (slow := found["slow"]) is not None:
        rows += [
            FigureRow(
                "Slow modulation",
                say_number(slow["frequency"], "Hz"),
                f"± {say_number(slow['frequency_uncertainty'], 'Hz', 2)}",
            ),
            FigureRow(
                "Low phase against high phase",
                say_number(slow["low_level_percent"], "%"),
                "",
                f"{say_number(slow['low_amps'], 'A')} and {say_number(slow['high_amps'], 'A')}",
            ),
        ]
    for key, label in (("high_pulses", "High phase"), ("low_pulses", "Low phase")):
        if (part := found.get(key)) is not None:
            rows.append(
                FigureRow(
                    label,
                    f"{say_number(part['peak_amps'], 'A', 3)} at the peak, "
                    f"{say_number(part['background_amps'], 'A', 3)} in the background",
                    "",
                    f"{say_number(100 * part['duty'], '%', 2)} of the cycle at the peak, "
                    f"{say_number(part['frequency'], 'Hz', 3)}",
                )
            )
    return rows


def say_number(value: float, unit: str, digits: int = 4) -> str:
    """A measured figure for reading: so many figures, never in powers of ten."""
    text = f"{value:.{digits}g}"
    if "e" in text:
        text = f"{Decimal(text):f}"
    return f"{text.replace('-', '−')} {unit}".replace(" %", "\u202f%") if unit else text
