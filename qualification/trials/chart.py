"""The chart of two quantities of trials, as SVG: each trial a named point with bars from lowest to
highest."""

from __future__ import annotations

from collections.abc import Sequence

from qualification.trials.compare import Point, Quantity, middle
from qualification.waveforms.plots import INK, bundled_font, drawn, plain_axes

FAINT, ACCENT = "#757a7c", "#2b3fa0"
WIDTH, HEIGHT = 7.6, 4.2


def chart_svg(points: Sequence[Point], x: Quantity, y: Quantity) -> str:
    """The drawing. Raises ValueError without a point."""
    from matplotlib.figure import Figure

    if not points:
        raise ValueError("there is no point to draw")
    figure, font = Figure(figsize=(WIDTH, HEIGHT), layout="constrained"), bundled_font()
    axes = figure.add_subplot()
    xs, ys = [middle(p.x) for p in points], [middle(p.y) for p in points]
    axes.errorbar(
        xs,
        ys,
        xerr=_arms([p.x for p in points], xs),
        yerr=_arms([p.y for p in points], ys),
        fmt="none",
        ecolor=FAINT,
        elinewidth=1,
        capsize=3,
    )
    axes.plot(xs, ys, color=FAINT, linewidth=0.8, linestyle=(0, (2, 3)))
    axes.plot(xs, ys, "o", color=ACCENT, markersize=6)
    for point, left, bottom in zip(points, xs, ys, strict=True):
        axes.annotate(
            point.name,
            (left, bottom),
            xytext=(6, 6),
            textcoords="offset points",
            color=INK,
            fontproperties=font,
        )
    axes.set_xlabel(named(x), fontproperties=font, color=INK)
    axes.set_ylabel(named(y), fontproperties=font, color=INK)
    axes.margins(0.15)
    plain_axes(axes)
    return drawn(figure, f"{named(y)} against {named(x)}", say_points(points, x, y))


def named(quantity: Quantity) -> str:
    """A quantity with its unit."""
    return f"{quantity.label}, {quantity.unit}" if quantity.unit else quantity.label


def _arms(spans: Sequence[tuple[float, float]], at: Sequence[float]) -> list[list[float]]:
    return [
        [middle_ - low for (low, _), middle_ in zip(spans, at, strict=True)],
        [high - middle_ for (_, high), middle_ in zip(spans, at, strict=True)],
    ]


def say_points(points: Sequence[Point], x: Quantity, y: Quantity) -> str:
    """What the chart shows, in one sentence."""
    if not points:
        return f"No trial has both {x.label.lower()} and {y.label.lower()}."
    what = f"{y.label} against {x.label.lower()} of"
    if len(points) == 1:
        return f"{what} {points[0].name} alone."
    order = sorted(points, key=lambda p: middle(p.x))
    first, last = order[0], order[-1]
    if middle(first.x) == middle(last.x):
        return (
            f"{what} {len(points)} trials: all have the same {x.label.lower()}, {_said(middle(first.x), x)}."
        )
    return (
        f"{what} {len(points)} trials: {first.name} has the least {x.label.lower()} with "
        f"{_said(middle(first.y), y)}, {last.name} the most with {_said(middle(last.y), y)}."
    )


def _said(value: float, quantity: Quantity) -> str:
    return f"{value:.4g} {quantity.unit}".replace("-", "−").rstrip()
