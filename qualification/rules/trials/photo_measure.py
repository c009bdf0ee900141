"""Sizes on a photo of a section: taps in pixels, a scale set by two of them, and how far all of it may be
off.

Standard uncertainties throughout. A finger meets a point of the shown picture to a few pixels; the error of
the scale is common to everything measured by it. What the formulas leave out, and the page says: a section
that does not lie square to the camera, and the scale bar beside rather than in the plane of the section.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import hypot, sqrt

TAP = 2.0
"""Pixels of the shown picture by which a tap misses, one standard deviation each way (common practice: a
finger with a magnified picture)."""
LEAST_BAR = 20.0
"""Pixels of the picture below which two taps make no scale."""
COVERAGE = 2
"""Standard uncertainties to either side of a stored size: about 95 in 100."""

Point = tuple[float, float]


class NotMeasurable(ValueError):
    """The taps give no size; the sentence says what to do."""


@dataclass(frozen=True)
class Scale:
    """Millimeters to a pixel of the picture, as it is stored."""

    mm: float
    relative: float
    """Standard uncertainty as a share of it."""


@dataclass(frozen=True)
class Size:
    """A length in mm or an area in mm², with its standard uncertainty."""

    value: float
    uncertainty: float

    def entry(self, unit: str) -> str:
        """As an entry of a trial: `3.2 ± 0.3 mm`, to the digits the uncertainty allows, 95 in 100."""
        off = COVERAGE * self.uncertainty
        places = 0
        while places < 4 and Decimal(off).scaleb(places) < 1:
            places += 1
        return f"{self.value:.{places}f} ± {max(off, 10.0**-places):.{places}f} {unit}"


def scale_of(taps: Sequence[Point], length: float, zoom: float = 1.0) -> Scale:
    """From two taps on a bar of `length` mm; `zoom` is how many pixels of the picture one pixel of the screen
    showed. Raises NotMeasurable."""
    if len(taps) != 2:
        raise NotMeasurable("Tap both ends of the scale.")
    pixels = _apart(*taps)
    if pixels < LEAST_BAR:
        raise NotMeasurable("The two taps are too close together. Tap two ends of the scale further apart.")
    if length <= 0:
        raise NotMeasurable("Enter the length of the scale between the taps, above zero.")
    return Scale(length / pixels, sqrt(2) * TAP * zoom / pixels)


def length_of(taps: Sequence[Point], scale: Scale, zoom: float = 1.0) -> Size:
    """Between two taps, in mm. Raises NotMeasurable."""
    if len(taps) != 2 or (pixels := _apart(*taps)) == 0:
        raise NotMeasurable("Tap both ends of what you measure.")
    value = pixels * scale.mm
    return Size(value, hypot(value * scale.relative, sqrt(2) * TAP * zoom * scale.mm))


def area_of(taps: Sequence[Point], scale: Scale, zoom: float = 1.0) -> Size:
    """Within an outline of taps, in mm². Raises NotMeasurable for fewer than three, or an outline that
    crosses itself."""
    if len(taps) < 3:
        raise NotMeasurable("Tap around the outline: three points or more.")
    if _crosses(taps):
        raise NotMeasurable("The outline crosses itself. Tap its points in order, around the weld.")
    around = [*taps[1:], taps[0]]
    pixels = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(taps, around, strict=True))) / 2
    if pixels == 0:
        raise NotMeasurable("The outline has no area. Tap its points around the weld.")
    # A corner that is off moves the area by half the line between its neighbors.
    spans = [_apart(before, after) / 2 for before, after in zip([taps[-1], *taps[:-1]], around, strict=True)]
    by_taps = TAP * zoom * sqrt(sum(span * span for span in spans)) * scale.mm**2
    value = pixels * scale.mm**2
    return Size(value, hypot(2 * value * scale.relative, by_taps))


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _crosses(taps: Sequence[Point]) -> bool:
    count = len(taps)
    sides = [(taps[i], taps[(i + 1) % count]) for i in range(count)]
    return any(
        _cut(*sides[i], *sides[j])
        for i in range(count)
        for j in range(i + 2, count)
        if (i, j) != (0, count - 1)
    )


def _cut(a: Point, b: Point, c: Point, d: Point) -> bool:
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
