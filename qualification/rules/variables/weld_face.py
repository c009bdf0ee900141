"""What a drawing shows of a joint beside its groove: the face of the weld and where it is made, a fillet
laid over a groove, the taper between unequal thicknesses, and how a branch joins its run pipe. Nothing of it
limits a test."""

from __future__ import annotations

from .common import JOINT, NOT_WELDER, SPEC, SPEC_OR_PART, when

FACE = JOINT.but(uses=NOT_WELDER)
GROOVE = when("weld_type", "groove")
OF_THE_JOINT = (
    FACE.number(
        "fillet_over_groove",
        "Leg of the fillet over the groove",
        "length",
        "0.5",
        100,
        many=SPEC_OR_PART,
        shown_when=GROOVE,
        help="In a tee or corner: the fillet laid over the groove weld.",
    ),
    FACE.number(
        "taper",
        "Taper of the thicker member",
        "number",
        1,
        20,
        many=SPEC,
        shown_when=GROOVE,
        help="Length for one of height: 4 for a taper of 4 to 1.",
    ),
    FACE.choice(
        "contour", "Contour of the weld face", {"flush": "Flush", "convex": "Convex", "concave": "Concave"}
    ),
    FACE.choice(
        "contour_finish",
        "Face finished by",
        {
            "none": "As welded",
            "grinding": "Grinding",
            "machining": "Machining",
            "chipping": "Chipping",
            "hammering": "Hammering",
            "rolling": "Rolling",
            "planishing": "Planishing",
        },
    ),
    JOINT.yes_no(
        "field_weld",
        "Welded in the field",
        uses=SPEC_OR_PART,
        help="Not in the shop: the symbol takes its flag.",
    ),
)
OF_THE_BRANCH = (
    FACE.choice(
        "branch",
        "Branch connection",
        {"none": "None", "set_on": "Set on", "set_in": "Set in"},
        many=SPEC,
        shown_when=when("product_form", "pipe"),
        help="Set on: the branch stands on the run pipe. Set in: it goes through its wall. Side A is the run"
        " pipe, side B the branch.",
    ),
    FACE.number(
        "run_diameter",
        "Outside diameter of the run pipe",
        "length",
        3,
        5000,
        many=SPEC_OR_PART,
        shown_when=when("branch", "set_on", "set_in"),
    ),
)
"""Stands after the product form, which shows it."""
SELDOM = frozenset(each.key for each in (*OF_THE_JOINT, *OF_THE_BRANCH))
"""Fields most records leave blank."""
