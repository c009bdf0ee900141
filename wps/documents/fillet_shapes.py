"""Fillet welds in section: tee, lap and corner joints. Drawn as shapes; sizes stand in the list below."""

from __future__ import annotations

from wps.documents.svg import Drawing

LEG, THICK = 30.0, 26.0


def fillet_drawing(joint: str, sides: str) -> Drawing:
    """The section of a fillet weld in that joint; a joint not stated is drawn as a tee with broken lines."""
    drawing = Drawing()
    {"lap": _lap, "corner": _corner}.get(joint, _tee)(drawing, joint, sides == "both")
    return drawing


def _tee(drawing: Drawing, joint: str, both: bool) -> None:
    base, left, right = 150.0, 60.0, 300.0
    middle = (left + right) / 2
    dashed = joint not in ("tee", "edge")
    drawing.plate([(left, base), (right, base), (right, base + THICK), (left, base + THICK)], dashed=dashed)
    drawing.plate(
        [
            (middle - THICK / 2, 44),
            (middle + THICK / 2, 44),
            (middle + THICK / 2, base),
            (middle - THICK / 2, base),
        ],
        dashed=dashed,
    )
    _fillet(drawing, middle + THICK / 2, base, 1)
    if both:
        _fillet(drawing, middle - THICK / 2, base, -1)
    drawing.measure_down(left - 16, base, base + THICK, "tA", before=True)
    drawing.span_label(middle, 34, THICK, "tB")
    drawing.height = base + THICK + 20


def _lap(drawing: Drawing, joint: str, both: bool) -> None:
    top, base = 70.0, 70.0 + THICK
    drawing.plate([(40, base), (230, base), (230, base + THICK), (40, base + THICK)])
    drawing.plate([(130, top), (320, top), (320, base), (130, base)])
    _fillet(drawing, 130, base, -1, THICK)
    if both:
        drawing.weld([(230, base), (230, base + THICK), (230 + THICK, base)])
    drawing.measure_down(24, base, base + THICK, "tA", before=True)
    drawing.measure_down(336, top, base, "tB", before=False)
    drawing.height = base + THICK + 24


def _corner(drawing: Drawing, joint: str, both: bool) -> None:
    base = 150.0
    drawing.plate([(90, base), (280, base), (280, base + THICK), (90, base + THICK)])
    drawing.plate([(90, 50), (90 + THICK, 50), (90 + THICK, base), (90, base)])
    _fillet(drawing, 90 + THICK, base, 1)
    drawing.measure_down(296, base, base + THICK, "tA", before=False)
    drawing.span_label(90 + THICK / 2, 40, THICK, "tB")
    drawing.height = base + THICK + 20


def _fillet(drawing: Drawing, x: float, y: float, side: int, leg: float = LEG) -> None:
    drawing.weld([(x, y), (x, y - leg), (x + side * leg, y)])
    if side > 0 or leg == THICK:
        drawing.text(x + side * (leg * 0.5 + 12), y - leg * 0.5 - 6, "z")
