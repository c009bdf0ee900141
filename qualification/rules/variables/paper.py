"""Variables that limit nothing, and that papers state all the same: where a metal came from, how a filler is
kept, in which order runs are laid."""

from __future__ import annotations

from decimal import Decimal as D

from .definition import Choice, Level, RecordKind, ValueKind, Variable

ISO = frozenset({"iso"})
SPEC, WELDER_TEST = frozenset({RecordKind.SPEC}), frozenset({RecordKind.WELDER_TEST})
TEST_OR_SPEC = frozenset({RecordKind.TEST, RecordKind.SPEC})
ON_TESTS = frozenset({RecordKind.TEST, RecordKind.WELDER_TEST})
ON_PAPER = TEST_OR_SPEC | WELDER_TEST
READING = frozenset({RecordKind.TEST, RecordKind.SPEC})
GASSED = frozenset({"GMAW", "FCAW", "GTAW"})
GOUGED = ("back_gouging", frozenset({"grinding", "machining", "arc"}))
TREATED = ("pwht", frozenset({"below_lower", "above_upper", "above_then_below", "between", "within_range"}))
JOINT, METALS, HEAT, FILLER, GAS, ARC, TECHNIQUE = (
    "Joint",
    "Base metals",
    "Heat",
    "Filler metal",
    "Gas",
    "Electrical",
    "Technique",
)


def _text(
    key: str,
    label: str,
    level: Level,
    group: str,
    uses: frozenset[RecordKind],
    help_text: str = "",
    **more: object,
) -> Variable:
    return Variable(key, label, level, group, ValueKind.TEXT, uses=uses, help=help_text, **more)  # type: ignore[arg-type]


TEST_OBJECT = Variable(
    "test_object",
    "Welded as",
    Level.JOINT,
    JOINT,
    ValueKind.CHOICE,
    uses=WELDER_TEST,
    choices=(Choice("coupon", "Test coupon"), Choice("production", "First production weld")),
)
JOINT_TOLERANCE = _text(
    "joint_tolerance",
    "Tolerances of the joint",
    Level.JOINT,
    JOINT,
    SPEC,
    "Where the ranges stated do not say them, for example offset 1/16 in.",
)
GOUGE_DEPTH = Variable(
    "gouge_depth",
    "Depth of back-gouging",
    Level.JOINT,
    JOINT,
    ValueKind.NUMBER,
    dimension="length",
    many=SPEC,
    uses=TEST_OR_SPEC,
    plausible=(D("0.3"), D(100)),
    shown_when=GOUGED,
)
AFTER_PREPARATION = (
    _text(
        "fit_up", "Tacking and jigs", Level.JOINT, JOINT, TEST_OR_SPEC, "How the parts are held and tacked."
    ),
    _text(
        "run_sequence",
        "Run sequence",
        Level.JOINT,
        JOINT,
        TEST_OR_SPEC,
        "Order of the runs, for example root, fill, cap left then right.",
    ),
)


def of_side(side: str) -> tuple[Variable, ...]:
    """What papers state of the metal of one side, beside its groups."""
    name = f"side {side.upper()}"
    return (
        _text(
            f"material_spec_{side}",
            f"Specification and type of {name}",
            Level.JOINT,
            METALS,
            ON_PAPER,
            "For example SB-209, UNS A96061." if side == "a" else "",
        ),
        _text(
            f"heat_number_{side}",
            f"Heat or lot of the metal of {name}",
            Level.JOINT,
            METALS,
            ON_TESTS,
            "As on the mill certificate." if side == "a" else "",
        ),
    )


AFTER_PREHEAT = (
    _text(
        "temperature_check",
        "How temperatures are checked",
        Level.JOINT,
        HEAT,
        TEST_OR_SPEC,
        "For example contact thermometer, 2 in from the joint.",
    ),
    _text(
        "hydrogen_release",
        "Hydrogen release after welding",
        Level.JOINT,
        HEAT,
        TEST_OR_SPEC,
        "Temperature and time; “none” without one.",
        codes=ISO,
    ),
)
AFTER_PWHT = (
    _text(
        "pwht_rates", "PWHT heating and cooling rates", Level.JOINT, HEAT, TEST_OR_SPEC, shown_when=TREATED
    ),
    Variable(
        "service_temperature",
        "Highest service temperature",
        Level.JOINT,
        HEAT,
        ValueKind.NUMBER,
        dimension="temperature",
        uses=SPEC,
        plausible=(D(-270), D(1200)),
        help="Where the welds stay hot or cold in service.",
    ),
    _text(
        "ageing",
        "Ageing after welding",
        Level.JOINT,
        HEAT,
        TEST_OR_SPEC,
        "Natural or artificial, with temperature and time; “none” without one.",
        codes=ISO,
    ),
)
JOB_KNOWLEDGE = Variable(
    "job_knowledge",
    "Job knowledge",
    Level.JOINT,
    JOINT,
    ValueKind.CHOICE,
    uses=WELDER_TEST,
    codes=ISO,
    choices=(Choice("accepted", "Accepted"), Choice("not_tested", "Not tested")),
)
OF_FILLER = (
    _text("filler_lot", "Heat or lot of the filler", Level.LINE, FILLER, ON_TESTS),
    _text(
        "filler_handling",
        "Drying and handling of the filler",
        Level.LINE,
        FILLER,
        TEST_OR_SPEC,
        "For example kept dry in the box until used.",
    ),
)
GAS_PURITY = _text(
    "gas_purity",
    "Gas purity",
    Level.LINE,
    GAS,
    TEST_OR_SPEC,
    "For example 4.6, or dew point.",
    processes=GASSED,
)
TORCH_ANGLE = _text(
    "torch_angle",
    "Angle of torch or electrode",
    Level.LINE,
    TECHNIQUE,
    TEST_OR_SPEC,
    "For example push, 10 to 15°.",
)
RUN_OUT = Variable(
    "run_out_length",
    "Run-out length of one electrode",
    Level.LINE,
    TECHNIQUE,
    ValueKind.NUMBER,
    dimension="length",
    many=READING,
    uses=TEST_OR_SPEC,
    processes=frozenset({"SMAW"}),
    codes=ISO,
    plausible=(D(10), D(2000)),
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
