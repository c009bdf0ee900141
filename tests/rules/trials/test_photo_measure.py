"""Sizes on a photo: against geometry worked by hand, and against taps scattered as a finger scatters them."""

from __future__ import annotations

import numpy as np
import pytest

from qualification.rules.trials.photo_measure import (
    LEAST_BAR,
    TAP,
    NotMeasurable,
    Size,
    area_of,
    length_of,
    scale_of,
)

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)]


def test_lengths_and_areas_by_hand() -> None:
    # 200 pixels are 20 mm: 0.1 mm each. A 3-4-5 triangle of 30 and 40 pixels: 5 mm; 100 by 50 pixels: 50 mm².
    scale = scale_of([(0, 0), (200, 0)], 20)
    assert scale.mm == pytest.approx(0.1)
    assert length_of([(0, 0), (30, 40)], scale).value == pytest.approx(5)
    assert area_of(SQUARE, scale).value == pytest.approx(50)
    assert area_of(SQUARE[::-1], scale).value == pytest.approx(50)


def test_the_uncertainty_is_that_of_scattered_taps() -> None:
    rng = np.random.default_rng(1)
    bar, leg = np.array([(0.0, 0.0), (400.0, 0.0)]), np.array([(50.0, 50.0), (50.0, 150.0)])
    outline = np.array([(0.0, 0.0), (200.0, 0.0), (260.0, 120.0), (80.0, 160.0)])

    def scattered(points: np.ndarray) -> list[tuple[float, float]]:
        return [(float(x), float(y)) for x, y in points + rng.normal(0, TAP, points.shape)]

    lengths, areas = [], []
    for _ in range(3000):
        scale = scale_of(scattered(bar), 40)
        lengths.append(length_of(scattered(leg), scale).value)
        areas.append(area_of(scattered(outline), scale).value)
    exact = scale_of([(0, 0), (400, 0)], 40)
    length = length_of([(50, 50), (50, 150)], exact)
    area = area_of([(float(x), float(y)) for x, y in outline], exact)
    assert length.uncertainty == pytest.approx(np.std(lengths), rel=0.06)
    assert area.uncertainty == pytest.approx(np.std(areas), rel=0.06)


def test_a_picture_shown_smaller_is_tapped_less_finely() -> None:
    near, far = (scale_of([(0, 0), (400, 0)], 40, zoom) for zoom in (1.0, 3.0))
    assert far.relative == pytest.approx(3 * near.relative)
    assert length_of([(0, 0), (100, 0)], far, 3).uncertainty > length_of([(0, 0), (100, 0)], near).uncertainty


@pytest.mark.parametrize(
    ("size", "entry"),
    [
        (Size(3.2468, 0.06), "3.2 ± 0.1 mm"),
        (Size(3.2468, 0.006), "3.25 ± 0.01 mm"),
        (Size(48.31, 1.4), "48 ± 3 mm"),
        (Size(3.2468, 0.5), "3 ± 1 mm"),
    ],
)
def test_an_entry_has_the_digits_its_uncertainty_allows(size: Size, entry: str) -> None:
    assert size.entry("mm") == entry


def test_what_gives_no_size_is_refused_with_what_to_do() -> None:
    scale = scale_of([(0, 0), (LEAST_BAR, 0)], 10)
    for call, words in (
        (lambda: scale_of([(0, 0)], 10), "both ends"),
        (lambda: scale_of([(0, 0), (LEAST_BAR - 1, 0)], 10), "further apart"),
        (lambda: scale_of([(0, 0), (100, 0)], 0), "above zero"),
        (lambda: length_of([(5, 5), (5, 5)], scale), "both ends"),
        (lambda: area_of(SQUARE[:2], scale), "three points"),
        (lambda: area_of([SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]], scale), "crosses itself"),
    ):
        with pytest.raises(NotMeasurable, match=words):
            call()
