"""The weld type, and welds that are neither groove nor fillet: what their records state besides.

A code has rules of its own for them or none at all, so a butt or fillet coupon never speaks for one. Which of
them an edition has rules for follows from its tables (`ranges/special_rules.py`).
"""

from __future__ import annotations

from decimal import Decimal as D

from .common import SPEC_OR_PART, choices_of, every_joint, joint
from .definition import RecordKind, ValueKind, Variable

SPECIAL_CHOICES = choices_of(
    ("plug", "Plug"),
    ("slot", "Slot"),
    ("tack", "Tack"),
    ("overlay", "Corrosion-resistant overlay"),
    ("hard_facing", "Hard-facing overlay"),
    ("tube_to_tubesheet", "Tube to tubesheet"),
    ("stud", "Stud"),
)
SPECIAL = frozenset(choice.key for choice in SPECIAL_CHOICES)
"""Weld types that no rule written for groove and fillet welds speaks of."""
OVERLAYS = frozenset({"overlay", "hard_facing"})
JOINT = "Joint"

WELD_TYPE = every_joint(
    "weld_type",
    "Weld type",
    JOINT,
    ValueKind.CHOICE,
    many=SPEC_OR_PART,
    choices=(*choices_of(("groove", "Groove"), ("fillet", "Fillet")), *SPECIAL_CHOICES),
    help="Groove and fillet welds have rules in every edition, the others only in some.",
)

OF_SPECIAL_WELDS: tuple[Variable, ...] = (
    joint(
        "hole_size",
        "Hole diameter or slot width",
        JOINT,
        ValueKind.NUMBER,
        dimension="length",
        many=SPEC_OR_PART,
        plausible=(D(3), D(150)),
        shown_when=("weld_type", frozenset({"plug", "slot"})),
        help="Of the hole or slot that is filled.",
    ),
    joint(
        "overlay_thickness",
        "Finished overlay thickness",
        JOINT,
        ValueKind.NUMBER,
        dimension="length",
        many=frozenset({RecordKind.SPEC, RecordKind.PART}),
        plausible=(D("0.5"), D(100)),
        shown_when=("weld_type", OVERLAYS),
        help=(
            "From the surface before welding to the finished surface. On a test: to where its analysis,"
            " hardness or penetrant examination was made."
        ),
    ),
    joint(
        "overlay_composition",
        "Composition of the overlay",
        JOINT,
        ValueKind.TEXT,
        shown_when=("weld_type", OVERLAYS),
        help="On a test the analysis as reported, and where it was taken; on a WPS what is required.",
    ),
    joint(
        "special_details",
        "Details of this weld",
        JOINT,
        ValueKind.TEXT,
        shown_when=("weld_type", SPECIAL),
        help=(
            "What else its code limits: stud diameter and base, tube and tubesheet sizes with ligament and"
            " projection, length and spacing of tacks, depth filled."
        ),
    ),
)
"""Stated on the record and printed; an edition that limits one of them has a row for it."""
