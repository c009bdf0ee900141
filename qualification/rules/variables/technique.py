"""Variables of one process line: technique."""

from __future__ import annotations

from .common import (
    FED,
    GTAW,
    MECHANIZED,
    NOT_STICK,
    NOT_SUBMERGED,
    NOT_WELDER,
    READING,
    SPEC,
    SPEC_OR_PART,
    TECHNIQUE,
    WELDER_TEST,
    WIRE,
    when,
)
from .definition import Variable
from .paper import RUN_OUT, TORCH_ANGLE

METHOD = TECHNIQUE.but(uses=NOT_WELDER)
MECHANIZED_ONLY = TECHNIQUE.but(shown_when=("operation", MECHANIZED))
TECHNIQUE_OF_LINE: tuple[Variable, ...] = (
    TECHNIQUE.choice(
        "progression",
        "Vertical progression",
        {"up": "Upward", "down": "Downward"},
        processes=NOT_SUBMERGED,
        many=SPEC_OR_PART | WELDER_TEST,
        none_where=(
            when("position", "flat", "horizontal", "overhead"),
            when("test_position", "1G", "2G", "4G", "1F", "2F", "2FR", "4F"),
        ),
    ),
    METHOD.choice("bead", "Bead", {"stringer": "Stringer", "weave": "Weave"}, many=SPEC),
    METHOD.number("weave_width", "Widest weave", "length", 1, 60, shown_when=when("bead", "weave")),
    METHOD.text(
        "oscillation", "Oscillation (machine)", processes=NOT_STICK, shown_when=("operation", MECHANIZED)
    ),
    TORCH_ANGLE,
    RUN_OUT,
    METHOD.text("cleaning", "Cleaning before and between passes"),
    METHOD.choice(
        "gun",
        "Gun",
        {"ordinary": "Ordinary gun", "spool": "Spool gun", "push_pull": "Push-pull gun"},
        processes=WIRE,
        many=SPEC,
    ),
    METHOD.text("liner", "Gun liner", processes=WIRE),
    METHOD.number(
        "contact_tube_distance", "Contact tube to work", "length", 3, 80, processes=FED, many=READING
    ),
    TECHNIQUE.choice(
        "passes_per_side",
        "Passes per side",
        {"single": "Single pass", "multiple": "Several passes"},
        many=SPEC,
        help="On a welder's test it matters for machine welding only.",
    ),
    MECHANIZED_ONLY.choice(
        "visual_control", "Visual control", {"direct": "Direct", "remote": "Remote, by camera or optics"}
    ),
    MECHANIZED_ONLY.yes_no("arc_voltage_control", "Automatic arc voltage control", processes=GTAW),
    MECHANIZED_ONLY.yes_no("joint_tracking", "Automatic joint tracking"),
    TECHNIQUE.choice(
        "electrodes",
        "Electrodes in one pool",
        {"single": "One", "multiple": "More than one"},
        processes=NOT_STICK,
        many=SPEC,
        help="On a welder's test it matters for machine and automatic welding only.",
    ),
    METHOD.number(
        "electrode_spacing",
        "Electrode spacing",
        "length",
        1,
        500,
        many=SPEC,
        processes=NOT_STICK,
        shown_when=when("electrodes", "multiple"),
    ),
    METHOD.yes_no("peening", "Peening", many=SPEC),
    METHOD.yes_no("closed_chamber", "Welded in a closed chamber", processes=GTAW),
    METHOD.yes_no(
        "thermal_preparation",
        "Edges cut by a thermal process",
        help="Matters for quenched and tempered steels of P-11A and P-11B.",
    ),
)
