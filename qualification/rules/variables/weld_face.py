"""What a drawing shows of a joint beside its groove: the face of the weld and where it is made, a fillet
laid over a groove, the taper between unequal thicknesses, and how a branch joins its run pipe. Nothing of it
limits a test."""

from __future__ import annotations

from decimal import Decimal as D

from .common import SPEC_OR_PART, YES_NO, choices_of, joint
from .definition import RecordKind, ValueKind
from .metal_systems import NOT_WELDER, SPEC

JOINT = "Joint"
GROOVE = ("weld_type", frozenset({"groove"}))
TEST_OR_SPEC = frozenset({RecordKind.TEST, RecordKind.SPEC})
ON_PIPE = ("product_form", frozenset({"pipe"}))
OF_THE_JOINT = (
    joint(
        "fillet_over_groove",
        "Leg of the fillet over the groove",
        JOINT,
        ValueKind.NUMBER,
        dimension="length",
        many=SPEC_OR_PART,
        uses=NOT_WELDER,
        plausible=(D("0.5"), D(100)),
        shown_when=GROOVE,
        help="In a tee or corner: the fillet laid over the groove weld.",
    ),
    joint(
        "taper",
        "Taper of the thicker member",
        JOINT,
        ValueKind.NUMBER,
        dimension="number",
        many=SPEC,
        uses=NOT_WELDER,
        plausible=(D(1), D(20)),
        shown_when=GROOVE,
        help="Length for one of height: 4 for a taper of 4 to 1.",
    ),
    joint(
        "contour",
        "Contour of the weld face",
        JOINT,
        ValueKind.CHOICE,
        uses=NOT_WELDER,
        choices=choices_of(("flush", "Flush"), ("convex", "Convex"), ("concave", "Concave")),
    ),
    joint(
        "contour_finish",
        "Face finished by",
        JOINT,
        ValueKind.CHOICE,
        uses=NOT_WELDER,
        choices=choices_of(
            ("none", "As welded"),
            ("grinding", "Grinding"),
            ("machining", "Machining"),
            ("chipping", "Chipping"),
            ("hammering", "Hammering"),
            ("rolling", "Rolling"),
            ("planishing", "Planishing"),
        ),
    ),
    joint(
        "field_weld",
        "Welded in the field",
        JOINT,
        ValueKind.CHOICE,
        choices=YES_NO,
        uses=SPEC_OR_PART,
        help="Not in the shop: the symbol takes its flag.",
    ),
)
OF_THE_BRANCH = (
    joint(
        "branch",
        "Branch connection",
        JOINT,
        ValueKind.CHOICE,
        many=SPEC,
        uses=NOT_WELDER,
        choices=choices_of(("none", "None"), ("set_on", "Set on"), ("set_in", "Set in")),
        shown_when=ON_PIPE,
        help="Set on: the branch stands on the run pipe. Set in: it goes through its wall. Side A is the run"
        " pipe, side B the branch.",
    ),
    joint(
        "run_diameter",
        "Outside diameter of the run pipe",
        JOINT,
        ValueKind.NUMBER,
        dimension="length",
        many=SPEC_OR_PART,
        uses=NOT_WELDER,
        plausible=(D(3), D(5000)),
        shown_when=("branch", frozenset({"set_on", "set_in"})),
    ),
)
"""Stands after the product form, which shows it."""
SELDOM = frozenset(each.key for each in (*OF_THE_JOINT, *OF_THE_BRANCH))
"""Fields most records leave blank."""
