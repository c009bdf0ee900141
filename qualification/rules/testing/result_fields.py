"""What is stated for each kind of test result: every field once, for form, reader and documents alike."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal as D
from enum import StrEnum

from ..variables.common import TEST_POSITIONS
from ..variables.definition import Choice
from .results import (
    BENDS,
    SURFACE,
    VOLUMETRIC,
    Broke,
    Cladding,
    Notch,
    ResultKind,
    SpecimenForm,
)


class Shape(StrEnum):
    NUMBER = "number"
    NUMBERS = "numbers"
    """Several numbers in a row; `none` says there is nothing to measure."""
    CHOICE = "choice"
    YES_NO = "yes_no"
    TEXT = "text"
    OPENINGS = "openings"
    INDICATIONS = "indications"


@dataclass(frozen=True)
class ResultField:
    key: str
    label: str
    shape: Shape
    help: str = ""
    dimension: str = ""
    choices: tuple[Choice, ...] = ()
    plausible: tuple[D, D] | None = None
    """Ends, in canonical units, beyond which a number is a slip of the pen (common practice)."""
    zero: bool = False
    """True where zero is a real reading."""
    rare: bool = False
    """True for what most coupons do not need; forms fold it away."""
    sound: str = ""
    """What stands here for a specimen that shows no flaw; empty where somebody has to measure."""


REMARKS = ResultField("remarks", "Remarks", Shape.TEXT, "In the laboratory's words.", rare=True)
YES_NO = (Choice("yes", "Yes"), Choice("no", "No"))

SPECIMEN = ResultField("specimen", "Specimen", Shape.TEXT, "Its name on the laboratory's report.")
POSITION = ResultField(
    "position",
    "Welded in position",
    Shape.CHOICE,
    "Where the coupon was welded in several positions.",
    choices=TEST_POSITIONS,
    rare=True,
)


def _length(
    key: str, label: str, low: str, high: str, help_text: str = "", *, zero: bool = False, rare: bool = False
) -> ResultField:
    return ResultField(
        key, label, Shape.NUMBER, help_text, "length", plausible=(D(low), D(high)), zero=zero, rare=rare
    )


def _yes_no(key: str, label: str, help_text: str = "", *, rare: bool = False, sound: str = "") -> ResultField:
    return ResultField(key, label, Shape.YES_NO, help_text, choices=YES_NO, rare=rare, sound=sound)


TENSION = (
    SPECIMEN,
    _length("width", "Width", "1", "150", "Of the reduced section, before the test."),
    _length("thickness", "Thickness", "0.3", "200", "Of the reduced section, before the test."),
    ResultField(
        "load",
        "Highest load",
        Shape.NUMBER,
        "At which it broke. The strength is worked out.",
        "force",
        plausible=(D(10), D(10_000_000)),
    ),
    ResultField(
        "stated_strength",
        "Strength by the report",
        Shape.NUMBER,
        "Where the report has no load or no dimensions.",
        "stress",
        plausible=(D(10), D(3000)),
    ),
    ResultField(
        "broke",
        "Broke",
        Shape.CHOICE,
        choices=(
            Choice(Broke.BASE_METAL, "In the base metal"),
            Choice(Broke.WELD, "In the weld"),
            Choice(Broke.FUSION_LINE, "At the fusion line"),
            Choice(Broke.HEAT_AFFECTED_ZONE, "In the heat-affected zone"),
        ),
    ),
    ResultField(
        "yield_strength",
        "Yield by the report",
        Shape.NUMBER,
        "Nothing is judged by it.",
        "stress",
        plausible=(D(5), D(3000)),
        rare=True,
    ),
    ResultField(
        "elongation",
        "Elongation by the report",
        Shape.NUMBER,
        "Nothing is judged by it.",
        "percent",
        plausible=(D(0), D(90)),
        rare=True,
    ),
    ResultField(
        "failure",
        "Type of failure",
        Shape.TEXT,
        "As the report has it, such as ductile or brittle.",
        rare=True,
    ),
    ResultField(
        "form",
        "Specimen shape",
        Shape.CHOICE,
        "Flat reduced section unless stated.",
        rare=True,
        choices=(
            Choice(SpecimenForm.REDUCED, "Flat reduced section"),
            Choice(SpecimenForm.TURNED, "Turned, round"),
            Choice(SpecimenForm.FULL_SECTION, "Full section of a tube"),
        ),
    ),
    _length("diameter", "Diameter", "2", "300", "Of a turned specimen, or outside of a tube.", rare=True),
    _length("bore", "Bore", "1", "300", "Inside diameter of a tube.", rare=True),
    ResultField(
        "strip_of",
        "Strip of",
        Shape.TEXT,
        "One name for all strips that make up one test of a thick coupon.",
        rare=True,
    ),
    ResultField(
        "cladding",
        "Cladding",
        Shape.CHOICE,
        "Clad metals only.",
        rare=True,
        choices=(
            Choice(Cladding.NONE, "The metal is not clad"),
            Choice(Cladding.INCLUDED, "Left on"),
            Choice(Cladding.REMOVED, "Machined off"),
        ),
    ),
    POSITION,
    REMARKS,
)
BEND = (
    SPECIMEN,
    _length("thickness", "Specimen thickness", "0.3", "60"),
    _length("former", "Former diameter", "1", "400", "Of the plunger or roller it was bent over."),
    _yes_no(
        "weld_in_bend",
        "Weld wholly in the bend",
        "Weld and heat-affected zone lie within the bent part.",
        sound="yes",
    ),
    _yes_no("broken", "Broke before it was bent through", sound="no"),
    ResultField(
        "openings",
        "Openings",
        Shape.OPENINGS,
        "“none”, or the length of each: 1/16; 1/8 corner; 3/32 corner slag.",
        "length",
        plausible=(D("0.01"), D(200)),
        sound="none",
    ),
    ResultField(
        "strip_of",
        "Strip of",
        Shape.TEXT,
        "Side bends of thick coupons: one name for all strips of one specimen.",
        rare=True,
    ),
    POSITION,
    REMARKS,
)
MACRO = (
    SPECIMEN,
    _yes_no("cracks", "Cracks", sound="no"),
    _yes_no("complete_fusion", "Complete fusion", sound="yes"),
    _length("leg_a", "Leg A", "0.5", "150"),
    _length("leg_b", "Leg B", "0.5", "150"),
    _length("root_flaw", "Longest flaw at the root", "0", "100", "0 when there is none.", zero=True),
    _length("concavity", "Concavity", "0", "50", zero=True),
    _length("convexity", "Convexity", "0", "50", zero=True),
    POSITION,
)
FRACTURE = (
    SPECIMEN,
    _yes_no("bent_flat", "Bent flat without breaking"),
    _yes_no("cracks", "Cracks"),
    _yes_no("incomplete_root_fusion", "Incomplete fusion at the root"),
    ResultField(
        "flaws",
        "Inclusions and pores",
        Shape.NUMBERS,
        "“none”, or the length of each: 1/16; 1/32.",
        "length",
        plausible=(D("0.01"), D(200)),
    ),
    _length("section_length", "Length of the quarter section", "5", "2000", "Pipe only.", rare=True),
    POSITION,
)
VISUAL = (
    SPECIMEN,
    _yes_no("cracks", "Cracks", sound="no"),
    _yes_no("complete_fusion", "Complete fusion", sound="yes"),
    _yes_no("complete_penetration", "Complete joint penetration", "Leave empty for a fillet.", sound="yes"),
    _yes_no("craters_filled", "Craters filled", rare=True, sound="yes"),
    _length("undercut", "Deepest undercut", "0", "20", "0 when there is none.", zero=True, rare=True),
    _length("reinforcement", "Highest reinforcement", "0", "30", zero=True, rare=True),
    POSITION,
)
VOLUMETRIC_FIELDS = (
    SPECIMEN,
    _yes_no("accepted", "Accepted", "What the report says of the whole weld."),
    ResultField("report", "Report", Shape.TEXT),
    _length("examined_length", "Examined length", "5", "20000"),
    ResultField(
        "indications",
        "Indications",
        Shape.INDICATIONS,
        "“none”, or each with its length: rounded 1/32; linear 1/8 at 3 in. “at” is measured from one end.",
        "length",
        plausible=(D("0.01"), D(2000)),
    ),
    _yes_no("whole_circumference", "Whole circumference", "Pipe only."),
    ResultField(
        "coupons",
        "Coupons in a row",
        Shape.NUMBER,
        "Small pipe only.",
        "count",
        plausible=(D(1), D(20)),
        rare=True,
    ),
    POSITION,
)
IMPACT = (
    SPECIMEN,
    ResultField(
        "notch",
        "Notch",
        Shape.CHOICE,
        choices=(
            Choice(Notch.WELD, "In the weld"),
            Choice(Notch.HEAT_AFFECTED_ZONE, "In the heat-affected zone"),
            Choice(Notch.BASE_METAL, "In the base metal"),
        ),
    ),
    ResultField(
        "temperature",
        "Test temperature",
        Shape.NUMBER,
        "",
        "temperature",
        plausible=(D(-460), D(600)),
        zero=True,
    ),
    ResultField(
        "energies",
        "Energies",
        Shape.NUMBERS,
        "One per specimen: 27; 31; 29.",
        "impact_energy",
        plausible=(D("0.1"), D(700)),
    ),
    ResultField(
        "minimum_average",
        "Smallest average asked",
        Shape.NUMBER,
        "By the referencing code or the customer.",
        "impact_energy",
        plausible=(D("0.1"), D(700)),
    ),
    ResultField(
        "minimum_single",
        "Smallest single value asked",
        Shape.NUMBER,
        "",
        "impact_energy",
        plausible=(D("0.1"), D(700)),
    ),
    ResultField(
        "lateral_expansions",
        "Lateral expansions",
        Shape.NUMBERS,
        "",
        "length",
        plausible=(D("0.001"), D(10)),
        rare=True,
    ),
    POSITION,
)
SURFACE_FIELDS = (
    SPECIMEN,
    _yes_no("accepted", "Accepted", "What the report says of the whole weld."),
    ResultField("report", "Report", Shape.TEXT),
    POSITION,
)
HARDNESS = (
    SPECIMEN,
    ResultField(
        "highest",
        "Hardest indent (HV10)",
        Shape.NUMBER,
        "Of all rows, weld, heat-affected zone and base metal.",
        "number",
        plausible=(D(20), D(1500)),
    ),
    POSITION,
)

FIELDS: dict[ResultKind, tuple[ResultField, ...]] = {
    ResultKind.TENSION: TENSION,
    ResultKind.MACRO: MACRO,
    ResultKind.FRACTURE: FRACTURE,
    ResultKind.VISUAL: VISUAL,
    ResultKind.IMPACT: IMPACT,
    ResultKind.HARDNESS: HARDNESS,
    **dict.fromkeys(sorted(BENDS), BEND),
    **dict.fromkeys(sorted(VOLUMETRIC), VOLUMETRIC_FIELDS),
    **dict.fromkeys(sorted(SURFACE), SURFACE_FIELDS),
}

NAME_STEMS = {
    ResultKind.TENSION: "T",
    ResultKind.FACE_BEND: "FB",
    ResultKind.ROOT_BEND: "RB",
    ResultKind.SIDE_BEND: "SB",
    ResultKind.LONGITUDINAL_FACE_BEND: "LFB",
    ResultKind.LONGITUDINAL_ROOT_BEND: "LRB",
    ResultKind.MACRO: "M",
    ResultKind.FRACTURE: "F",
    ResultKind.VISUAL: "VT",
    ResultKind.RADIOGRAPH: "RT",
    ResultKind.ULTRASONIC: "UT",
    ResultKind.IMPACT: "I",
    ResultKind.PENETRANT: "PT",
    ResultKind.MAGNETIC: "MT",
    ResultKind.HARDNESS: "H",
}
"""How a specimen is named until somebody gives it another name."""


def field(kind: ResultKind, key: str) -> ResultField:
    """The field of that key. Raises KeyError naming both."""
    found = next((f for f in FIELDS[kind] if f.key == key), None)
    if found is None:
        raise KeyError(f"{kind} states no {key}")
    return found
