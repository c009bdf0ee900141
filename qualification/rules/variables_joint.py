"""Variables of the joint as a whole: metals, thickness, joint, position, heat."""

from __future__ import annotations

from decimal import Decimal as D

from .metal_systems import METALS, NOT_WELDER, SPEC, derived_variables, side_variables
from .variables import Choice, Kind, Level, Use, Variable
from .variables_navy import PIPE_SEAM
from .variables_paper import (
    AFTER_PREHEAT,
    AFTER_PREPARATION,
    AFTER_PWHT,
    GOUGE_DEPTH,
    JOB_KNOWLEDGE,
    JOINT_TOLERANCE,
    TEST_OBJECT,
    of_side,
)
from .variables_terms import DERIVED_OF_JOINT, ISO, PIPE_SETTING

SPEC_OR_PART = frozenset({Use.SPEC, Use.PART})
ON_TESTS = frozenset({Use.TEST, Use.WELDER_TEST})

TEST_POSITIONS = tuple(Choice(k, k) for k in ("1G", "2G", "3G", "4G", "5G", "6G", "1F", "2F", "2FR", "3F", "4F", "5F"))
POSITIONS = (
    Choice("flat", "Flat"), Choice("horizontal", "Horizontal"), Choice("vertical", "Vertical"),
    Choice("overhead", "Overhead"),
)
JOINT, PLACE, HEAT = "Joint", "Position", "Heat"


def _joint(key: str, label: str, group: str, kind: Kind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.JOINT, group=group, kind=kind, **more)  # type: ignore[arg-type]


def _choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, label) for key, label in pairs)


YES_NO = _choices(("yes", "Yes"), ("no", "No"))

JOINT_VARIABLES: tuple[Variable, ...] = (
    _joint("weld_type", "Weld type", JOINT, Kind.CHOICE, many=SPEC_OR_PART,
           choices=_choices(("groove", "Groove"), ("fillet", "Fillet")), help="What is deposited: a groove or a fillet weld."),
    TEST_OBJECT,
    JOB_KNOWLEDGE,
    _joint("purpose", "Purpose of the weld", JOINT, Kind.CHOICE, many=SPEC_OR_PART, uses=SPEC_OR_PART,
           choices=_choices(("new", "New joint"), ("repair", "Weld repair"), ("build_up", "Build-up")),
           help="Repairs and build-ups of thick metal have wider limits in some codes."),
    _joint("pressure_retaining", "Holds pressure", JOINT, Kind.CHOICE, choices=YES_NO, uses=SPEC_OR_PART,
           shown_when=("weld_type", frozenset({"fillet"})),
           help="Some codes do not let a fillet test alone qualify a fillet weld that holds pressure."),
    _joint("joint_form", "Joint", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER,
           choices=_choices(("butt", "Butt"), ("tee", "Tee"), ("corner", "Corner"), ("lap", "Lap"), ("edge", "Edge"))),
    _joint("groove_type", "Groove", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER, shown_when=("weld_type", frozenset({"groove"})),
           choices=_choices(("square", "Square"), ("v", "Single V"), ("double_v", "Double V"), ("bevel", "Single bevel"),
                            ("double_bevel", "Double bevel"), ("u", "Single U"), ("double_u", "Double U"), ("j", "Single J"),
                            ("double_j", "Double J"), ("flare_v", "Flare V"), ("flare_bevel", "Flare bevel"))),
    _joint("groove_angle", "Included angle", JOINT, Kind.NUMBER, dimension="angle", many=SPEC, uses=NOT_WELDER, zero=True,
           plausible=(D(0), D(180)), shown_when=("weld_type", frozenset({"groove"}))),
    _joint("root_opening", "Root opening", JOINT, Kind.NUMBER, dimension="length", many=SPEC, uses=NOT_WELDER, zero=True,
           plausible=(D(0), D(30)), shown_when=("weld_type", frozenset({"groove"}))),
    _joint("root_face", "Root face", JOINT, Kind.NUMBER, dimension="length", many=SPEC, uses=NOT_WELDER, zero=True,
           plausible=(D(0), D(50)), shown_when=("weld_type", frozenset({"groove"}))),
    _joint("groove_radius", "Groove radius", JOINT, Kind.NUMBER, dimension="length", many=SPEC, uses=NOT_WELDER,
           plausible=(D(1), D(30)), shown_when=("groove_type", frozenset({"u", "double_u", "j", "double_j"}))),
    _joint("penetration", "Penetration", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER, shown_when=("weld_type", frozenset({"groove"})),
           choices=_choices(("complete", "Complete joint penetration"), ("partial", "Partial joint penetration"))),
    _joint("sides_welded", "Welded from", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER,
           choices=_choices(("one", "One side"), ("both", "Both sides"))),
    _joint("back_gouging", "Back-gouging", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER,
           choices=_choices(("none", "None"), ("grinding", "Grinding"), ("machining", "Chipping, sawing or milling"),
                            ("arc", "Arc gouging"))),
    GOUGE_DEPTH,
    _joint("retainer", "Retainer", JOINT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER,
           choices=_choices(("none", "None"), ("used", "Non-metallic or non-fusing retainer")),
           help="A retainer holds the pool and does not become part of the weld."),
    _joint("fillet_size", "Fillet leg", JOINT, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.5"), D(100)),
           shown_when=("weld_type", frozenset({"fillet"}))),
    _joint("throat", "Throat", JOINT, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.5"), D(70)), codes=ISO,
           shown_when=("weld_type", frozenset({"fillet"})), help="Design throat of the fillet; 0.7 times the leg where both legs are equal."),
    _joint("joint_preparation", "Edge preparation", JOINT, Kind.TEXT, uses=NOT_WELDER,
           help="How the edges are cut and dressed, for example sawn and filed."),
    JOINT_TOLERANCE,
    *AFTER_PREPARATION,

    _joint("base_metal_a", "Base metal, side A", METALS, Kind.METAL, many=SPEC,
           help="An alloy or grade from the catalogue, for example 6061 or SA-36."),
    _joint("temper_a", "Temper or condition, side A", METALS, Kind.TEXT, help="For example T6, H116, normalised."),
    *of_side("a"),
    *side_variables("a"),
    _joint("base_metal_b", "Base metal, side B", METALS, Kind.METAL, many=SPEC, help="Write “same” if it is the metal of side A."),
    _joint("temper_b", "Temper or condition, side B", METALS, Kind.TEXT),
    *of_side("b"),
    *side_variables("b"),
    _joint("thickness_a", "Thickness, side A", METALS, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.3"), D(500)),
           help="At the weld. Inches unless a unit is written; 1/4, .250 and 6.35 mm are the same."),
    _joint("thickness_b", "Thickness, side B", METALS, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.3"), D(500)),
           help="Write “same” if it equals side A."),
    _joint("product_form", "Product form", METALS, Kind.CHOICE, many=SPEC_OR_PART,
           choices=_choices(("plate", "Plate, sheet or profile"), ("pipe", "Pipe or tube"))),
    _joint("diameter", "Outside diameter", METALS, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D(3), D(5000)),
           shown_when=("product_form", frozenset({"pipe"}))),

    _joint("test_position", "Test position", PLACE, Kind.CHOICE, choices=TEST_POSITIONS, many=ON_TESTS, uses=ON_TESTS,
           help="Each position in which a coupon of this test was welded."),
    _joint("position", "Position", PLACE, Kind.CHOICE, choices=POSITIONS, many=SPEC_OR_PART, uses=SPEC_OR_PART),
    PIPE_SETTING,
    PIPE_SEAM,

    _joint("toughness_required", "Toughness required", HEAT, Kind.CHOICE, choices=YES_NO, uses=SPEC_OR_PART,
           help="By the referencing code or the customer; brings the supplementary essential variables in."),
    _joint("impact_tested", "Toughness tested", HEAT, Kind.CHOICE, choices=YES_NO, uses=frozenset({Use.TEST})),
    _joint("preheat_min", "Preheat, lowest", HEAT, Kind.NUMBER, dimension="temperature", uses=NOT_WELDER, zero=True,
           plausible=(D(-40), D(1200)), help="Lowest temperature of the metal before welding starts."),
    _joint("interpass_max", "Interpass temperature, highest", HEAT, Kind.NUMBER, dimension="temperature", uses=NOT_WELDER,
           plausible=(D(32), D(1500))),
    _joint("preheat_maintenance", "Preheat kept after welding", HEAT, Kind.TEXT, uses=NOT_WELDER),
    *AFTER_PREHEAT,
    _joint("pwht", "Postweld heat treatment", HEAT, Kind.CHOICE, many=SPEC, uses=NOT_WELDER, choices=_choices(
        ("none", "None"), ("below_lower", "Below the lower transformation temperature"),
        ("above_upper", "Above the upper transformation temperature"),
        ("above_then_below", "Above the upper, then below the lower transformation temperature"),
        ("between", "Between the transformation temperatures"),
        ("within_range", "Within a stated temperature range (nonferrous and P-8)"))),
    _joint("pwht_temperature", "PWHT temperature", HEAT, Kind.NUMBER, dimension="temperature", many=frozenset({Use.TEST, Use.SPEC}),
           uses=NOT_WELDER, plausible=(D(150), D(2300)),
           shown_when=("pwht", frozenset({"below_lower", "above_upper", "above_then_below", "between", "within_range"}))),
    _joint("pwht_time", "PWHT time at temperature", HEAT, Kind.NUMBER, dimension="time", many=frozenset({Use.SPEC}), uses=NOT_WELDER,
           plausible=(D(60), D(720000)),
           shown_when=("pwht", frozenset({"below_lower", "above_upper", "above_then_below", "between", "within_range"}))),
    *AFTER_PWHT,
    _joint("solution_annealed", "Solution annealed after welding", HEAT, Kind.CHOICE, choices=YES_NO, uses=NOT_WELDER,
           help="Austenitic and duplex stainless steels only."),

    *derived_variables(),
    *DERIVED_OF_JOINT,
    _joint("metal_pair", "Base metals joined", METALS, Kind.CHOICE, derived=True),
    _joint("thickness_thinner", "Thickness, thinner side", METALS, Kind.NUMBER, dimension="length", derived=True),
    _joint("thickness_thicker", "Thickness, thicker side", METALS, Kind.NUMBER, dimension="length", derived=True),
)
