"""Plots of logs: well-formed, the same each time, in the bundled font, with words for whoever cannot see
them."""

from xml.etree import ElementTree

import numpy as np
import pytest

from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.arcs import Span
from qualification.rules.waveform.envelope import envelope
from qualification.waveforms.plots import plot_sentence, waveform_svg
from tests.rules.waveform.synthetic import Wave, double_pulsed, short_circuiting, steady

SVG = "{http://www.w3.org/2000/svg}"
WAVE = double_pulsed(6, 10_000, 120, 0.3, 2, 0.6, 0.5)


def drawn(wave: Wave, part: Span | None = None) -> str:
    return waveform_svg(envelope(wave.log(), part), "Log of trial T-7 & T-8", "Voltage <and> current")


def test_the_drawing_names_and_describes_itself() -> None:
    root = ElementTree.fromstring(drawn(WAVE))
    assert (root.tag, root.get("role"), root.get("aria-label")) == (
        f"{SVG}svg",
        "img",
        "Log of trial T-7 & T-8",
    )
    assert [(child.tag, child.text) for child in root][:2] == [
        (f"{SVG}title", "Log of trial T-7 & T-8"),
        (f"{SVG}desc", "Voltage <and> current"),
    ]


def test_it_stands_alone_and_is_small_whatever_the_log() -> None:
    whole = drawn(WAVE)
    assert "<text" not in whole
    assert 'href="http' not in whole
    assert len(whole) < 250_000
    assert len(drawn(steady(60, 10_000, 24, 200))) < 250_000


def test_the_same_log_gives_the_same_bytes() -> None:
    assert drawn(WAVE) == drawn(WAVE)
    assert drawn(WAVE) != drawn(WAVE, Span(0, 2000))


def test_every_extreme_is_in_the_picture() -> None:
    """One reading of 900 A among 200,000 lifts the scale of the current."""
    amps = np.full(200_000, 180.0)
    flat = drawn(Wave(np.full(200_000, 24.0), amps, 10_000, {}))
    spiked = amps.copy()
    spiked[77_777] = 900
    assert drawn(Wave(np.full(200_000, 24.0), spiked, 10_000, {})) != flat


def test_the_sentence_says_what_the_plot_shows() -> None:
    log = WAVE.log()
    assert plot_sentence(envelope(log), analyse(log)) == (
        "From 0.00195 s to 5.998 s: voltage between 15.4 V and 26.8 V, current between 36 A and 320 A. "
        "120 pulses a second between 60 A and 320 A; they swell 2 times a second, the low phase at 60 % "
        "of the high one."
    )
    short = short_circuiting(4, 10_000, 50, np.random.default_rng(2)).log()
    assert "short circuits a second." in plot_sentence(envelope(short), analyse(short))
    assert plot_sentence(envelope(log, Span(0, 100))).endswith("A.")


@pytest.mark.parametrize("part", [Span(0, 1), Span(100, 102), Span(0, 60_000)])
def test_a_zoom_of_any_width_is_drawn(part: Span) -> None:
    assert drawn(WAVE, part).startswith("<svg")
