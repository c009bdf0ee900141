"""The weld type, and welds that are neither groove nor fillet: what their records state besides.

A code has rules of its own for them or none at all, so a butt or fillet coupon never speaks for one. Which of
them an edition has rules for follows from its tables (`ranges/special_rules.py`).
"""

from __future__ import annotations

from .common import JOINT, SPEC_OR_PART, choices_of, when
from .definition import Variable

SPECIAL_CHOICES = choices_of(
    {
        "plug": "Plug",
        "slot": "Slot",
        "tack": "Tack",
        "overlay": "Corrosion-resistant overlay",
        "hard_facing": "Hard-facing overlay",
        "tube_to_tubesheet": "Tube to tubesheet",
        "stud": "Stud",
    }
)
SPECIAL = frozenset(choice.key for choice in SPECIAL_CHOICES)
"""Weld types that no rule written for groove and fillet welds speaks of."""
OVERLAYS = frozenset({"overlay", "hard_facing"})

WELD_TYPE = JOINT.choice(
    "weld_type",
    "Weld type",
    (*choices_of({"groove": "Groove", "fillet": "Fillet"}), *SPECIAL_CHOICES),
    many=SPEC_OR_PART,
    may_be_na=False,
    help="Groove and fillet welds have rules in every edition, the others only in some.",
)

OF_SPECIAL_WELDS: tuple[Variable, ...] = (
    JOINT.number(
        "hole_size",
        "Hole diameter or slot width",
        "length",
        3,
        150,
        many=SPEC_OR_PART,
        shown_when=when("weld_type", "plug", "slot"),
        help="Of the hole or slot that is filled.",
    ),
    JOINT.number(
        "overlay_thickness",
        "Finished overlay thickness",
        "length",
        "0.5",
        100,
        many=SPEC_OR_PART,
        shown_when=("weld_type", OVERLAYS),
        help="From the surface before welding to the finished surface. On a test: to where its analysis,"
        " hardness or penetrant examination was made.",
    ),
    JOINT.text(
        "overlay_composition",
        "Composition of the overlay",
        "On a test the analysis as reported, and where it was taken; on a WPS what is required.",
        shown_when=("weld_type", OVERLAYS),
    ),
    JOINT.text(
        "special_details",
        "Details of this weld",
        "What else its code limits: stud diameter and base, tube and tubesheet sizes with ligament and"
        " projection, length and spacing of tacks, depth filled.",
        shown_when=("weld_type", SPECIAL),
    ),
)
"""Stated on the record and printed; an edition that limits one of them has a row for it."""
