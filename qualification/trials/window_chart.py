"""Settings against what came of them, drawn: one setting by verdict, or two as a map. Accepted welds are
filled circles, rejected ones crosses; what a test qualifies lies behind them as a band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from qualification.rules.core.facts import Facts
from qualification.rules.core.quantities import DIMENSIONS, from_canonical
from qualification.rules.core.values import Interval
from qualification.rules.trials.settings_window import SettingReading
from qualification.rules.variables.limits import Truth
from qualification.rules.variables.registry import registry
from qualification.trials.window import TrialWindow
from qualification.waveforms.plots import INK, bundled_font, drawn, plain_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

GOOD, BAD, BAND, WINDOW = "#1f6b3a", "#a3261d", "#e7e4d6", "#2b3fa0"
WIDTH, LOW_HEIGHT, HEIGHT = 7.2, 2.6, 4.4
NARROW, NARROW_LOW, NARROW_HEIGHT = 3.6, 2.2, 3.6
"""Inches for a phone, where letters keep their size."""
Span = tuple[float, float]


@dataclass(frozen=True)
class ChartMark:
    """One weld in the drawing, from lowest to highest in each direction."""

    record: str
    accepted: bool
    x: Span
    y: Span | None


@dataclass(frozen=True)
class WindowChart:
    """What is drawn, and the same in words and rows."""

    x: str
    y: str
    """Empty for one setting by verdict."""
    marks: tuple[ChartMark, ...]
    qualified: tuple[Span | None, Span | None]
    """Along x and y; `None` where no test is chosen, or it limits neither end."""
    proposed: tuple[Span | None, Span | None]
    x_label: str
    y_label: str

    @property
    def says(self) -> str:
        good = sum(mark.accepted for mark in self.marks)
        what = f"{self.x_label} and {self.y_label}" if self.y else self.x_label
        return f"{what}: {good} accepted and {len(self.marks) - good} rejected."


def choices(window: TrialWindow) -> list[tuple[str, str]]:
    """Settings that can be drawn, with their labels: those that differ between welds first."""
    keys = {r.variable for r in (*window.readings, *window.bad_readings)}
    spans: dict[str, set[tuple[object, object]]] = {key: set() for key in keys}
    for reading in (*window.readings, *window.bad_readings):
        spans[reading.variable].add((reading.value.low, reading.value.high))
    order = [key for key in registry() if key in keys]
    return [
        (key, registry()[key].label + (" (set alike on all)" if len(spans[key]) < 2 else ""))
        for key in sorted(order, key=lambda key: len(spans[key]) < 2)
    ]


def chart_of(window: TrialWindow, x: str, y: str = "") -> WindowChart | None:
    """The chart of one setting, or of two; `None` where no weld has them."""
    system = window.trial.units
    marks = []
    for accepted, readings in ((True, window.readings), (False, window.bad_readings)):
        across, upwards = _by_record(readings, x, system), _by_record(readings, y, system)
        for record, span in across.items():
            if not y or record in upwards:
                marks.append(ChartMark(record, accepted, span, upwards.get(record) if y else None))
    if not marks:
        return None
    windows = {each.variable: each.proposed for each in window.windows}
    return WindowChart(
        x,
        y,
        tuple(marks),
        (_qualified(window, x), _qualified(window, y) if y else None),
        (_shown(windows.get(x), x, system), _shown(windows.get(y), y, system) if y else None),
        _label(x, system),
        _label(y, system) if y else "",
    )


def _by_record(readings: Sequence[SettingReading], key: str, system: str) -> dict[str, Span]:
    found: dict[str, Span] = {}
    for reading in readings:
        if reading.variable == key and (span := _shown(reading.value, key, system)) is not None:
            low, high = found.get(reading.record, span)
            found[reading.record] = min(low, span[0]), max(high, span[1])
    return found


def _shown(value: Interval | None, key: str, system: str) -> Span | None:
    """In the unit of the chart; `None` without both ends."""
    if value is None or value.low is None or value.high is None:
        return None
    dimension = DIMENSIONS[str(registry()[key].dimension)]
    unit = dimension.unit_for(system)
    return float(from_canonical(value.low, unit, dimension)), float(
        from_canonical(value.high, unit, dimension)
    )


def _qualified(window: TrialWindow, key: str) -> Span | None:
    span: Interval | None = None
    for limit in window.limits:
        if limit.variable == key and isinstance(limit.allowed, Interval):
            if limit.speaks(Facts())[0] is Truth.NO:
                continue
            span = limit.allowed if span is None else span.intersect(limit.allowed)
            if span is None:
                return None
    return _shown(span, key, window.trial.units)


def _label(key: str, system: str) -> str:
    unit = DIMENSIONS[str(registry()[key].dimension)].unit_for(system).symbol
    return f"{registry()[key].label}, {unit}"


def window_svg(chart: WindowChart, narrow: bool = False) -> str:
    """The drawing; `narrow` for a phone."""
    from matplotlib.figure import Figure

    width, low, tall = (NARROW, NARROW_LOW, NARROW_HEIGHT) if narrow else (WIDTH, LOW_HEIGHT, HEIGHT)
    figure = Figure(figsize=(width, tall if chart.y else low), layout="constrained")
    axes = figure.add_subplot()
    _bands(axes, chart)
    for mark in chart.marks:
        left, up = _middle(mark.x), _middle(mark.y) if mark.y else float(mark.accepted)
        colour = GOOD if mark.accepted else BAD
        axes.plot([*mark.x], [up, up], color=colour, linewidth=1)
        if mark.y:
            axes.plot([left, left], [*mark.y], color=colour, linewidth=1)
        shape = {"marker": "o"} if mark.accepted else {"marker": "x", "markeredgewidth": 2.2}
        axes.plot([left], [up], color=colour, markersize=8, linestyle="none", **shape)
    axes.set_xlabel(chart.x_label, fontproperties=bundled_font(), color=INK)
    if chart.y:
        axes.set_ylabel(chart.y_label, fontproperties=bundled_font(), color=INK)
    else:
        axes.set_yticks([0, 1], ["Rejected", "Accepted"])
        axes.set_ylim(-0.6, 1.6)
    axes.margins(x=0.1, y=0.12)
    if narrow:
        axes.locator_params(axis="x", nbins=5)
    plain_axes(axes)
    name = f"{chart.y_label} against {chart.x_label}" if chart.y else f"{chart.x_label} by verdict"
    return drawn(figure, name, chart.says)


def _bands(axes: Axes, chart: WindowChart) -> None:
    fills: tuple[Callable[..., object], ...] = (axes.axvspan, axes.axhspan)
    for band, fill in zip(chart.qualified, fills, strict=True):
        if band is not None:
            fill(*band, color=BAND, zorder=0, alpha=0.7, linewidth=0)
    for ends, line in zip(chart.proposed, (axes.axvline, axes.axhline), strict=True):
        for end in ends or ():
            line(end, color=WINDOW, linewidth=1, linestyle=(0, (4, 3)), zorder=1)


def _middle(span: Span) -> float:
    return (span[0] + span[1]) / 2


def row_of(mark: ChartMark) -> tuple[str, str, str, str]:
    """Trial, verdict, and both numbers for the table below the chart."""
    return (
        mark.record,
        "Accepted" if mark.accepted else "Rejected",
        _said(mark.x),
        _said(mark.y) if mark.y else "",
    )


def _said(span: Span) -> str:
    low, high = (f"{end:.4g}" for end in span)
    return low if low == high else f"{low} to {high}"


def key_words(chart: WindowChart) -> str:
    """What the parts of the drawing mean."""
    parts = ["Filled circle: accepted. Cross: rejected. Dashed: proposed range"]
    if any(chart.qualified):
        parts.append("shaded: what the test qualifies")
    return "; ".join(parts) + "."


def caption(chart: WindowChart) -> str:
    """The sentence below the drawing."""
    return f"{chart.says} {key_words(chart)}"
