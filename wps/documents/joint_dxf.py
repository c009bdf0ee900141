"""The joints of a record as a DXF drawing in mm: members, passes, backing and inserts each on its
own layer."""

from __future__ import annotations

import io
from collections.abc import Sequence

from wps.documents.joint_drawn import Drawn

MEMBERS, WELD, CAP, BACKING, BROKEN, WORDS = "MEMBERS", "WELD", "CAP", "BACKING", "BROKEN", "WORDS"
INSERT = "INSERT"
APART = 20.0
"""Space between joints in mm."""


def dxf_of(joints: Sequence[Drawn]) -> bytes:
    """The joints side by side; one that cannot be drawn is left out, its reason stands as text."""
    import ezdxf  # a tenth of a second; only who wants a drawing pays for it

    document = ezdxf.new("R2010", units=4)
    for layer in (MEMBERS, WELD, CAP, BACKING, BROKEN, INSERT, WORDS):
        document.layers.add(layer)
    space, x = document.modelspace(), 0.0
    for joint in joints:
        title = "; ".join((joint.joint.words, *joint.root, *joint.notes))
        if joint.section is None:
            space.add_text(title, height=2.5, dxfattribs={"layer": WORDS}).set_placement((x, -10))
            x += APART + 2.0 * len(title)
            continue
        section = joint.section
        left = min(point[0] for point in section.points)
        layers = (
            *((MEMBERS, each) for each in section.members),
            *((WELD, bead.outline) for bead in section.beads),
            *((CAP, bead.outline) for bead in section.caps),
            *((BACKING, each) for each in section.backing),
            *((BROKEN, each) for each in section.loose),
            *((INSERT, each) for each in section.inserts),
        )
        for layer, outline in layers:
            placed = [(x + px - left, py) for px, py in outline]
            space.add_lwpolyline(placed, close=True, dxfattribs={"layer": layer})
        lowest = min(point[1] for point in section.points)
        told = [title, *(mark.text for mark in joint.marks)]
        for row, words in enumerate(told):
            text = space.add_text(words, height=2.5, dxfattribs={"layer": WORDS})
            text.set_placement((x, lowest - 6 - 4 * row))
        x += max(point[0] for point in section.points) - left + APART
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode(document.output_encoding)
