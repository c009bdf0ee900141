"""The joints of a record drawn from its entries, for page and document alike: each joint a figure to scale,
with numbers on it, the passes as the record has them, and a text that says the same.

A dimension that is not stated gets no number; the figure then shows a shape, and says that it has no scale.
Dimensions that make no such joint are refused with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Any
from xml.sax.saxutils import quoteattr

from qualification.rules.core.facts import Facts
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.wording import say_value
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.tongues.told import told
from wps.documents.joint_drawn import Drawn, drawn_joints
from wps.documents.joint_entries import IN_A_ROW, MEASURED, all_of, is_span
from wps.documents.joint_figure import LETTER, TEXT, Figure, drawn, width_of_numbers
from wps.documents.joint_geometry import FLARED, ROUNDED
from wps.documents.symbol_figure import LONG, draw_symbol

WIDTH, WIDE, TALL, SMALL = 238.0, 468.0, 84.0, 54.0
"""Of a drawing of one joint and of several, in points: 84 and 165 mm wide in print; and how tall figures
are."""
ON_SCREEN, MANY_PASSES = 1.4, 4
"""How much taller one joint may be on a screen, and on paper where it has more passes than these."""
AT_THE_MIDDLE = "Ranges are drawn at their middle."
GROOVE_SHARE, APART, MOST_APART, LONG_IN_A_ROW = 1.7, 8.0, 28.0, 56.0
"""Width of a groove by that of a fillet, space between figures, at least and what may be added, and length
of a symbol's line where several stand in a row."""
SMALLER = (1.0, 0.9, 0.8, 0.7, 0.6)
"""What figures that do not fit beside one another are tried at."""
WITH_SYMBOLS = 0.8
"""The smallest of these at which they take room for their symbols."""


def sketch_of(
    joint: Mapping[str, Any],
    units: str,
    lines: Sequence[Mapping[str, Any]] = (),
    use: RecordKind = RecordKind.SPEC,
    shown: str = "",
    *,
    iso: bool = False,
    log: Sequence[Mapping[str, str]] = (),
    symbols: bool = False,
) -> str:
    """The SVG of the joints these entries describe; entries that cannot be read count as not stated. `shown`
    is the unit system of the numbers, where it is not the one the record is kept in; `iso` draws symbols by
    ISO 2553; `log` is the pass log of a test. One joint has its symbol, several have theirs with `symbols`,
    where they fit below the figures."""
    weld = read_weld(joint, lines, use, units).weld
    figures = drawn_joints(weld, shown or units, iso, log, units)
    return _composed(figures, _spoken(weld.joint, weld.lines, shown or units, figures), symbols=symbols)


def sketches_of(
    joint: Mapping[str, Any],
    units: str,
    lines: Sequence[Mapping[str, Any]] = (),
    use: RecordKind = RecordKind.SPEC,
    shown: str = "",
    *,
    iso: bool = False,
    log: Sequence[Mapping[str, str]] = (),
) -> tuple[str, ...]:
    """The same for a screen: an SVG for each joint, with its symbol, so that a narrow screen sets them below
    one another. The first says in words what all show; the others name their joint."""
    weld = read_weld(joint, lines, use, units).weld
    figures = drawn_joints(weld, shown or units, iso, log, units)
    whole = _spoken(weld.joint, weld.lines, shown or units, figures)
    said = [
        whole,
        *(f"Joint sketch. {'; '.join((each.joint.words, *each.root, *each.notes))}." for each in figures[1:]),
    ]
    return tuple(
        _composed((each,), words, TALL * ON_SCREEN) for each, words in zip(figures, said, strict=True)
    )


def joints_drawn(
    joint: Mapping[str, Any],
    units: str,
    lines: Sequence[Mapping[str, Any]] = (),
    use: RecordKind = RecordKind.SPEC,
    shown: str = "",
    *,
    iso: bool = False,
    log: Sequence[Mapping[str, str]] = (),
) -> tuple[Drawn, ...]:
    """Each joint of the record as a section with its numbers."""
    return drawn_joints(read_weld(joint, lines, use, units).weld, shown or units, iso, log, units)


def is_wide(drawing: str) -> bool:
    """Whether a drawing holds several joints, and takes the width of a sheet."""
    return f'viewBox="0 0 {WIDE:g} ' in drawing


def _composed(figures: Sequence[Drawn], spoken: str, tall: float = 0.0, *, symbols: bool = False) -> str:
    """All figures in one drawing: one with its symbol below, or several side by side."""
    alone = len(figures) == 1
    if not tall:
        is_small = len(figures) > 1 and not any(each.joint.branch for each in figures)
        tall = SMALL if is_small else TALL * (ON_SCREEN if _is_full(figures[0]) else 1.0)
    parts: list[str] = []
    width, y = (WIDE, 2.0) if len(figures) > 1 else (WIDTH, 2.0)
    every = [figures[0], *(_as_further(each, figures[0]) for each in figures[1:])]
    most = 2 if symbols and len(figures) >= IN_A_ROW else IN_A_ROW
    for start in range(0, len(figures), most):
        row = set_in_a_row(every[start : start + most], width, tall, symbols=alone or symbols, alone=alone)
        parts += [figure.moved(x, y) for x, figure in row]
        y += max(figure.bottom - figure.top for _, figure in row) + APART
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sketch" data-joints="{len(figures)}"'
        ' font-family="Plex Sans, sans-serif"'
        f' viewBox="0 0 {width:g} {y:.0f}" width="{width * 1.5:g}" height="{y * 1.5:.0f}" role="img"'
        f" aria-label={quoteattr(told(spoken))}>{''.join(parts)}</svg>"
    )


def set_in_a_row(
    row: Sequence[Drawn], width: float, tall: float, *, symbols: bool, alone: bool = False
) -> list[tuple[float, Figure]]:
    """Figures side by side with where each begins, in points: they stand on one level, and so do the words
    below them. The numbers beside a joint reach beyond it, by more than its share of the width where there
    are many: the figures are then drawn smaller. `alone` says what lies at the root too."""
    shares = [1.0 if each.joint.groove == "fillet" else GROOVE_SHARE for each in row]
    room = width - APART * (len(row) - 1)
    numbers = [width_of_numbers(each.marks) for each in row]
    unit = min((room - sum(numbers)) / sum(shares), WIDTH / max(shares))
    for smaller in SMALLER:
        widths = [own + unit * share * smaller for share, own in zip(shares, numbers, strict=True)]
        figures = [_figure(each, wide, tall * smaller) for each, wide in zip(row, widths, strict=True)]
        _on_one_level(figures)
        if symbols:
            for each, figure in zip(row, figures, strict=True):
                _add_symbol(each, figure, LONG if alone else LONG_IN_A_ROW)
        wide = [figure.right - figure.left for figure in figures]
        if sum(wide) <= room:
            break
    if symbols and not alone and smaller < WITH_SYMBOLS:
        return set_in_a_row(row, width, tall, symbols=False)
    between = APART + min(max(room - sum(wide), 0.0) / len(row), MOST_APART)
    below = max(figure.bottom - figure.top for figure in figures)
    for each, figure, least in zip(row, figures, widths, strict=True):
        _add_caption(each, figure, max(least, figure.right - figure.left), below, alone=alone)
    starts = accumulate((own + between for own in wide[:-1]), initial=0.0)
    return list(zip(starts, figures, strict=True))


def _is_full(each: Drawn) -> bool:
    """Whether the joint has passes enough to need a larger figure for their numbers."""
    return each.section is not None and len(each.section.beads) > MANY_PASSES


def _as_further(each: Drawn, first: Drawn) -> Drawn:
    """A further figure: the thickness of the members and what holds of all figures stand on the first, and
    small figures have no room."""
    kept = tuple(
        mark
        for mark in each.marks
        if mark.text != each.words.get("thickness_a") or (mark.kind == "down" and mark.side > 0)
    )
    return replace(each, marks=kept, notes=tuple(note for note in each.notes if note not in first.notes))


def _figure(each: Drawn, wide: float, tall: float) -> Figure:
    if each.section is None:
        figure = Figure()
        figure.reach(0, 0)
        return figure
    return drawn(each.section, each.marks, wide, tall, sure=each.sure)


def _on_one_level(figures: Sequence[Figure]) -> None:
    """Room above the lower ones, so that all end at the same height."""
    tallest = max(figure.bottom - figure.top for figure in figures)
    for figure in figures:
        figure.top = figure.bottom - tallest


def _add_symbol(each: Drawn, figure: Figure, long: float) -> None:
    if each.section is not None and each.symbol is not None:
        draw_symbol(each.symbol, figure, figure.left, figure.bottom + 6, long)


def _add_caption(each: Drawn, figure: Figure, wide: float, below: float, *, alone: bool) -> None:
    """Which joint it is and what is said of it, `below` points under the top of the figure."""
    caption = "; ".join((each.joint.words, *(each.root if alone else ()), *each.notes))
    left, y = figure.left, figure.top + below
    for line in _wrapped(told(caption), int(wide / (TEXT * LETTER))):
        y += TEXT + 2
        figure.text(left, y, line)


def _wrapped(words: str, most: int) -> list[str]:
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) >= most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _spoken(joint: Facts, lines: Sequence[Facts], units: str, figures: Sequence[Drawn]) -> str:
    """What the drawing shows, in words: every dimension with its unit, missing ones named as missing."""
    keys = ["joint_form"]
    kinds = all_of(joint, "weld_type")
    if "groove" in kinds or not kinds:
        shapes = set(all_of(joint, "groove_type"))
        keys = ["groove_type", *keys, "thickness_a", "thickness_b", "root_opening"]
        keys += ["groove_angle", "root_face"] if not shapes or shapes - {"square", *FLARED} else []
        keys += ["groove_radius"] if shapes & {*ROUNDED, *FLARED} else []
    else:
        keys += ["thickness_a", "thickness_b"]
    keys += ["fillet_size"] if "fillet" in kinds else []
    keys += [key for key in ("sides_welded", "back_gouging", "retainer") if joint.given(key)]
    said = [f"{registry()[key].label}: {say_value(key, joint[key], units)}." for key in keys]
    backings = dict.fromkeys(
        say_value("backing", line["backing"], units) for line in lines if line.given("backing")
    )
    if backings:
        said.append(f"{registry()['backing'].label}: {'; '.join(backings)}.")
    said += [f"{each.joint.words}: {note}." for each in figures for note in (*each.root, *each.notes)]
    said += [AT_THE_MIDDLE] if any(is_span(joint, key) for key in MEASURED) else []
    if "fillet" in kinds and is_span(joint, "thickness_a"):
        said.append("Members of a fillet are drawn near its leg.")
    return " ".join(("Joint sketch.", *said))
