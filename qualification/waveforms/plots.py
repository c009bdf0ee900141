"""Plots of voltage and current logs as SVG, for pages and documents, with a sentence that says the same.

The letters are drawn as outlines of the bundled font, so that a plot looks the same wherever it is shown
and needs nothing beside it; whoever cannot see it reads `plot_sentence`, which is also the picture's own
description.
"""

from __future__ import annotations

import io
import re
from functools import lru_cache
from html import escape
from typing import TYPE_CHECKING

import numpy as np
from django.contrib.staticfiles import finders

from qualification.rules.waveform.analysis import Analysis
from qualification.rules.waveform.envelope import Envelope

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties

INK, QUIET, VOLTS, AMPS = "#1c2126", "#d5d3ca", "#8a4b08", "#2b3fa0"
WIDTH, HEIGHT = 7.2, 4.0
"""Inches; the drawing scales with the width it is given."""
FONT = "fonts/plex-sans-regular.ttf"


def waveform_svg(part: Envelope, title: str, description: str) -> str:
    """Voltage above, current below, over one time axis. Each band reaches from the least to the greatest
    reading of its piece; where pieces hold single readings it is a line. `title` and `description` are read
    aloud."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH, HEIGHT), layout="constrained")
    upper, lower = figure.subplots(2, 1, sharex=True)
    _band(upper, part, part.volts_low, part.volts_high, "Voltage, V", VOLTS)
    _band(lower, part, part.amps_low, part.amps_high, "Current, A", AMPS)
    lower.set_xlabel("Time, s", fontproperties=bundled_font(), color=INK)
    return drawn(figure, title, description)


def drawn(figure: Figure, title: str, description: str) -> str:
    """A figure as SVG, its letters as outlines, with name and description for whoever cannot see it."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    out = io.StringIO()
    # The salt makes names inside the drawing, and so its bytes, the same each time.
    with rc_context({"svg.fonttype": "path", "svg.hashsalt": "plot", "path.simplify": False}):
        FigureCanvasSVG(figure).print_svg(
            out, metadata={"Date": None, "Creator": None, "Format": None, "Type": None}
        )
    return _described(_lighter(out.getvalue()), title, description)


def _band(
    axes: Axes,
    part: Envelope,
    low: np.ndarray,
    high: np.ndarray,
    label: str,
    colour: str,
) -> None:
    axes.fill_between(part.seconds, low, high, color=colour, linewidth=0.7)
    axes.set_ylabel(label, fontproperties=bundled_font(), color=INK)
    axes.set_xlim(float(part.seconds[0]), float(part.seconds[-1]) + (1e-9 if len(part.seconds) == 1 else 0.0))
    plain_axes(axes)


def plain_axes(axes: Axes) -> None:
    """A light grid behind, no frame on top and right, and numbers in the bundled font."""
    axes.grid(color=QUIET, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for tick in (*axes.get_xticklabels(), *axes.get_yticklabels()):
        tick.set_fontproperties(bundled_font())
        tick.set_color(INK)


@lru_cache(maxsize=1)
def bundled_font() -> FontProperties:
    """The text font of pages and documents, which is on every machine. Raises FileNotFoundError."""
    from matplotlib.font_manager import FontProperties

    path = finders.find(FONT)
    if not isinstance(path, str):
        raise FileNotFoundError(f"the bundled font {FONT} is not among the static files")
    return FontProperties(fname=path, size=9)


def _lighter(svg: str) -> str:
    """Coordinates to a hundredth of a point, which is finer than any printer: a third of the size."""
    return re.sub(r"(?<=[ ML\n\"])-?\d+\.\d{3,}", lambda m: f"{float(m[0]):.2f}", svg)


def _described(svg: str, title: str, description: str) -> str:
    """Without the prologue, which a page does not take, and with name and description for whoever cannot
    see it."""
    body = svg[svg.index("<svg") :]
    head, rest = body.split(">", 1)
    return (
        f'{head} role="img" aria-label="{escape(title, quote=True)}">'
        f"<title>{escape(title)}</title><desc>{escape(description)}</desc>{rest}"
    )


def plot_sentence(part: Envelope, result: Analysis | None = None) -> str:
    """What the plot shows: time, extremes, and the rhythm where one was found."""
    first, last = float(part.seconds[0]), float(part.seconds[-1])
    sentence = (
        f"From {first:.4g} s to {last:.4g} s: voltage between {float(part.volts_low.min()):.1f} V and "
        f"{float(part.volts_high.max()):.1f} V, current between {float(part.amps_low.min()):.0f} A and "
        f"{float(part.amps_high.max()):.0f} A."
    )
    return f"{sentence} {_rhythm(result)}".strip() if result is not None else sentence


def _rhythm(result: Analysis) -> str:
    parts = []
    if result.pulses is not None:
        parts.append(
            f"{result.pulses.frequency:.4g} pulses a second between {result.pulses.background_amps:.0f} A "
            "and "
            f"{result.pulses.peak_amps:.0f} A"
        )
    if result.slow is not None:
        parts.append(
            f"they swell {result.slow.frequency:.3g} times a second, the low phase at "
            f"{result.slow.low_level_percent:.0f} % of the high one"
        )
    if result.shorts.count:
        parts.append(f"{result.shorts.rate:.1f} short circuits a second")
    words = "; ".join(parts)
    return words[:1].upper() + words[1:] + "." if words else ""
