"""The joints of a record drawn from its entries, for page and document alike: each joint a figure to scale,
with numbers on it, the passes as the record has them, and a text that says the same.

A dimension that is not stated gets no number; the figure then shows a shape, and says that it has no scale.
Dimensions that make no such joint are refused with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
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
from wps.documents.joint_figure import Figure
from wps.documents.joint_geometry import FLARED, ROUNDED
from wps.documents.sketch_rows import APART, figure_alone, row_of

WIDTH, WIDE, TALL, SMALL = 238.0, 468.0, 84.0, 54.0
"""Of a drawing of one joint and of several, in points: 84 and 165 mm wide in print; and how tall figures
are."""
ON_SCREEN, MANY_PASSES = 1.4, 4
"""How much taller one joint may be on a screen, and on paper where it has more passes than these."""
AT_THE_MIDDLE = "Ranges are drawn at their middle."
BELOW = 3.0
"""Space below the last words of a drawing."""


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
        is_small = not alone and not any(each.joint.branch for each in figures)
        tall = SMALL if is_small else TALL * (ON_SCREEN if _is_full(figures[0]) else 1.0)
    every = [figures[0], *(_as_further(each, figures[0]) for each in figures[1:])]
    rows = [[(0.0, figure_alone(every[0], WIDTH, tall))]] if alone else _rows(every, tall, symbols=symbols)
    parts: list[str] = []
    width, y = WIDTH if alone else WIDE, 2.0
    for row in rows:
        y += APART if parts else 0.0
        parts += [figure.moved(x, y) for x, figure in row]
        y += max(figure.bottom - figure.top for _, figure in row)
    y += BELOW
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sketch" data-joints="{len(figures)}"'
        ' font-family="Plex Sans, sans-serif"'
        f' viewBox="0 0 {width:g} {y:.0f}" width="{width * 1.5:g}" height="{y * 1.5:.0f}" role="img"'
        f" aria-label={quoteattr(told(spoken))}>{''.join(parts)}</svg>"
    )


def _rows(figures: Sequence[Drawn], tall: float, *, symbols: bool) -> list[list[tuple[float, Figure]]]:
    """As few rows as hold them with their symbols, where these are wanted; without where no row does."""
    found = []
    for start in range(0, len(figures), IN_A_ROW):
        row = figures[start : start + IN_A_ROW]
        for most in (len(row), (len(row) + 1) // 2) if symbols else ():
            parts = [row[at : at + most] for at in range(0, len(row), most)]
            made = [row_of(part, WIDE, tall, symbols=True) for part in parts]
            if all(made):
                break
        else:
            made = [row_of(row, WIDE, tall, symbols=False)]
        found += [each for each in made if each]
    return found


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
