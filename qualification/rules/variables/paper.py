"""Variables that limit nothing, and that papers state all the same: where a metal came from, how a filler is
kept, in which order runs are laid."""

from __future__ import annotations

from .common import (
    FILLER,
    GAS,
    GASSED,
    HEAT,
    ISO,
    JOINT,
    METALS,
    ON_TESTS,
    READING,
    SMAW,
    SPEC,
    TECHNIQUE,
    TEST_OR_SPEC,
    WELDER_TEST,
    when,
)
from .definition import Variable

GOUGED = when("back_gouging", "grinding", "machining", "arc")
TREATED = when("pwht", "below_lower", "above_upper", "above_then_below", "between", "within_range")
JOINT_STATED, HEAT_STATED, FILLER_STATED, GAS_STATED, TECHNIQUE_STATED = (
    family.but(uses=TEST_OR_SPEC) for family in (JOINT, HEAT, FILLER, GAS, TECHNIQUE)
)

TEST_OBJECT = JOINT.choice(
    "test_object",
    "Welded as",
    {"coupon": "Test coupon", "production": "First production weld"},
    uses=WELDER_TEST,
)
JOINT_TOLERANCE = JOINT.text(
    "joint_tolerance",
    "Tolerances of the joint",
    "Where the ranges stated do not say them, for example offset 1/16 in.",
    uses=SPEC,
)
GOUGE_DEPTH = JOINT_STATED.number(
    "gouge_depth", "Depth of back-gouging", "length", "0.3", 100, many=SPEC, shown_when=GOUGED
)
AFTER_PREPARATION = (
    JOINT_STATED.text("fit_up", "Tacking and jigs", "How the parts are held and tacked."),
    JOINT_STATED.text(
        "run_sequence", "Run sequence", "Order of the runs, for example root, fill, cap left then right."
    ),
)


def of_side(side: str) -> tuple[Variable, ...]:
    """What papers state of the metal of one side, beside its groups."""
    name = f"side {side.upper()}"
    return (
        METALS.text(
            f"material_spec_{side}",
            f"Specification and type of {name}",
            "For example SB-209, UNS A96061." if side == "a" else "",
            uses=READING,
        ),
        METALS.text(
            f"heat_number_{side}",
            f"Heat or lot of the metal of {name}",
            "As on the mill certificate." if side == "a" else "",
            uses=ON_TESTS,
        ),
    )


AFTER_PREHEAT = (
    HEAT_STATED.text(
        "temperature_check",
        "How temperatures are checked",
        "For example contact thermometer, 2 in from the joint.",
    ),
    HEAT_STATED.text(
        "hydrogen_release",
        "Hydrogen release after welding",
        "Temperature and time; “none” without one.",
        codes=ISO,
    ),
)
AFTER_PWHT = (
    HEAT_STATED.text("pwht_rates", "PWHT heating and cooling rates", shown_when=TREATED),
    HEAT.number(
        "service_temperature",
        "Highest service temperature",
        "temperature",
        -270,
        1200,
        uses=SPEC,
        help="Where the welds stay hot or cold in service.",
    ),
    HEAT_STATED.text(
        "ageing",
        "Ageing after welding",
        "Natural or artificial, with temperature and time; “none” without one.",
        codes=ISO,
    ),
)
JOB_KNOWLEDGE = JOINT.choice(
    "job_knowledge",
    "Job knowledge",
    {"accepted": "Accepted", "not_tested": "Not tested"},
    uses=WELDER_TEST,
    codes=ISO,
)
OF_FILLER = (
    FILLER.text("filler_lot", "Heat or lot of the filler", uses=ON_TESTS),
    FILLER_STATED.text(
        "filler_handling", "Drying and handling of the filler", "For example kept dry in the box until used."
    ),
)
GAS_PURITY = GAS_STATED.text("gas_purity", "Gas purity", "For example 4.6, or dew point.", processes=GASSED)
TORCH_ANGLE = TECHNIQUE_STATED.text(
    "torch_angle", "Angle of torch or electrode", "For example push, 10 to 15°."
)
RUN_OUT = TECHNIQUE_STATED.number(
    "run_out_length",
    "Run-out length of one electrode",
    "length",
    10,
    2000,
    many=TEST_OR_SPEC,
    processes=SMAW,
    codes=ISO,
)

SELDOM = frozenset(
    variable.key
    for variable in (
        JOINT_TOLERANCE,
        *AFTER_PREPARATION,
        *of_side("a"),
        *of_side("b"),
        *AFTER_PREHEAT,
        *AFTER_PWHT,
        *OF_FILLER,
        GAS_PURITY,
        TORCH_ANGLE,
        RUN_OUT,
    )
)
"""Fields most records leave blank; forms fold them away."""
LONG = frozenset(
    {
        "joint_tolerance",
        "fit_up",
        "run_sequence",
        "temperature_check",
        "hydrogen_release",
        "pwht_rates",
        "ageing",
        "filler_handling",
    }
)
"""Free text that runs longer than a name."""
