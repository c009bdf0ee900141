"""What is stated for each kind of test result: every field once, for form, reader and documents alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal as D
from enum import StrEnum
from typing import Any

from ..variables.common import TEST_POSITIONS, YES_NO, choices_of
from ..variables.definition import Choice
from .results import (
    BENDS,
    SURFACE,
    VOLUMETRIC,
    Bend,
    Broke,
    Cladding,
    Fracture,
    Hardness,
    Impact,
    Macro,
    Notch,
    Result,
    ResultKind,
    SpecimenForm,
    Surface,
    Tension,
    Visual,
    Volumetric,
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


def _number(
    key: str, label: str, dimension: str, low: int | str, high: int | str, help: str = "", **more: Any
) -> ResultField:
    """`low` and `high`: the ends of what is plausible, in the canonical unit of the dimension."""
    shape = more.pop("shape", Shape.NUMBER)
    return ResultField(key, label, shape, help, dimension, plausible=(D(low), D(high)), **more)


def _length(
    key: str, label: str, low: int | str, high: int | str, help: str = "", **more: Any
) -> ResultField:
    return _number(key, label, "length", low, high, help, **more)


def _choice(key: str, label: str, choices: Mapping[str, str], help: str = "", **more: Any) -> ResultField:
    return ResultField(key, label, Shape.CHOICE, help, choices=choices_of(choices), **more)


def _yes_no(key: str, label: str, help: str = "", **more: Any) -> ResultField:
    return ResultField(key, label, Shape.YES_NO, help, choices=YES_NO, **more)


def _text(key: str, label: str, help: str = "", **more: Any) -> ResultField:
    return ResultField(key, label, Shape.TEXT, help, **more)


SPECIMEN = _text("specimen", "Specimen", "Its name on the laboratory's report.")
POSITION = ResultField(
    "position",
    "Welded in position",
    Shape.CHOICE,
    "Where the coupon was welded in several positions.",
    choices=TEST_POSITIONS,
    rare=True,
)
REMARKS = _text("remarks", "Remarks", "In the laboratory's words.", rare=True)
ACCEPTED = _yes_no("accepted", "Accepted", "What the report says of the whole weld.")
REPORT = _text("report", "Report")

TENSION = (
    SPECIMEN,
    _length("width", "Width", 1, 150, "Of the reduced section, before the test."),
    _length("thickness", "Thickness", "0.3", "200", "Of the reduced section, before the test."),
    _number(
        "load", "Highest load", "force", 10, 10_000_000, "At which it broke. The strength is worked out."
    ),
    _number(
        "stated_strength",
        "Strength by the report",
        "stress",
        10,
        3000,
        "Where the report has no load or no dimensions.",
    ),
    _choice(
        "broke",
        "Broke",
        {
            Broke.BASE_METAL: "In the base metal",
            Broke.WELD: "In the weld",
            Broke.FUSION_LINE: "At the fusion line",
            Broke.HEAT_AFFECTED_ZONE: "In the heat-affected zone",
        },
    ),
    _number(
        "yield_strength", "Yield by the report", "stress", 5, 3000, "Nothing is judged by it.", rare=True
    ),
    _number(
        "elongation", "Elongation by the report", "percent", 0, 90, "Nothing is judged by it.", rare=True
    ),
    _text("failure", "Type of failure", "As the report has it, such as ductile or brittle.", rare=True),
    _choice(
        "form",
        "Specimen shape",
        {
            SpecimenForm.REDUCED: "Flat reduced section",
            SpecimenForm.TURNED: "Turned, round",
            SpecimenForm.FULL_SECTION: "Full section of a tube",
        },
        "Flat reduced section unless stated.",
        rare=True,
    ),
    _length("diameter", "Diameter", 2, 300, "Of a turned specimen, or outside of a tube.", rare=True),
    _length("bore", "Bore", 1, 300, "Inside diameter of a tube.", rare=True),
    _text(
        "strip_of", "Strip of", "One name for all strips that make up one test of a thick coupon.", rare=True
    ),
    _choice(
        "cladding",
        "Cladding",
        {
            Cladding.NONE: "The metal is not clad",
            Cladding.INCLUDED: "Left on",
            Cladding.REMOVED: "Machined off",
        },
        "Clad metals only.",
        rare=True,
    ),
    POSITION,
    REMARKS,
)
BEND = (
    SPECIMEN,
    _length("thickness", "Specimen thickness", "0.3", "60"),
    _length("former", "Former diameter", 1, 400, "Of the plunger or roller it was bent over."),
    _yes_no(
        "weld_in_bend",
        "Weld wholly in the bend",
        "Weld and heat-affected zone lie within the bent part.",
        sound="yes",
    ),
    _yes_no("broken", "Broke before it was bent through", sound="no"),
    _length(
        "openings",
        "Openings",
        "0.01",
        200,
        "“none”, or the length of each: 1/16; 1/8 corner; 3/32 corner slag.",
        sound="none",
        shape=Shape.OPENINGS,
    ),
    _text(
        "strip_of",
        "Strip of",
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
    _length("root_flaw", "Longest flaw at the root", 0, 100, "0 when there is none.", zero=True),
    _length("concavity", "Concavity", 0, 50, zero=True),
    _length("convexity", "Convexity", 0, 50, zero=True),
    POSITION,
)
FRACTURE = (
    SPECIMEN,
    _yes_no("bent_flat", "Bent flat without breaking"),
    _yes_no("cracks", "Cracks"),
    _yes_no("incomplete_root_fusion", "Incomplete fusion at the root"),
    _length(
        "flaws",
        "Inclusions and pores",
        "0.01",
        200,
        "“none”, or the length of each: 1/16; 1/32.",
        shape=Shape.NUMBERS,
    ),
    _length("section_length", "Length of the quarter section", 5, 2000, "Pipe only.", rare=True),
    POSITION,
)
VISUAL = (
    SPECIMEN,
    _yes_no("cracks", "Cracks", sound="no"),
    _yes_no("complete_fusion", "Complete fusion", sound="yes"),
    _yes_no("complete_penetration", "Complete joint penetration", "Leave empty for a fillet.", sound="yes"),
    _yes_no("craters_filled", "Craters filled", rare=True, sound="yes"),
    _length("undercut", "Deepest undercut", 0, 20, "0 when there is none.", zero=True, rare=True),
    _length("reinforcement", "Highest reinforcement", 0, 30, zero=True, rare=True),
    POSITION,
)
VOLUMETRIC_FIELDS = (
    SPECIMEN,
    ACCEPTED,
    REPORT,
    _length("examined_length", "Examined length", 5, 20000),
    _length(
        "indications",
        "Indications",
        "0.01",
        2000,
        "“none”, or each with its length: rounded 1/32; linear 1/8 at 3 in. “at” is measured from one end.",
        shape=Shape.INDICATIONS,
    ),
    _yes_no("whole_circumference", "Whole circumference", "Pipe only."),
    _number("coupons", "Coupons in a row", "count", 1, 20, "Small pipe only.", rare=True),
    POSITION,
)
IMPACT = (
    SPECIMEN,
    _choice(
        "notch",
        "Notch",
        {
            Notch.WELD: "In the weld",
            Notch.HEAT_AFFECTED_ZONE: "In the heat-affected zone",
            Notch.BASE_METAL: "In the base metal",
        },
    ),
    _number("temperature", "Test temperature", "temperature", -460, 600, zero=True),
    _number(
        "energies",
        "Energies",
        "impact_energy",
        "0.1",
        700,
        "One per specimen: 27; 31; 29.",
        shape=Shape.NUMBERS,
    ),
    _number(
        "minimum_average",
        "Smallest average asked",
        "impact_energy",
        "0.1",
        700,
        "By the referencing code or the customer.",
    ),
    _number("minimum_single", "Smallest single value asked", "impact_energy", "0.1", 700),
    _length("lateral_expansions", "Lateral expansions", "0.001", 10, rare=True, shape=Shape.NUMBERS),
    POSITION,
)
SURFACE_FIELDS = (SPECIMEN, ACCEPTED, REPORT, POSITION)
HARDNESS = (
    SPECIMEN,
    _number(
        "highest",
        "Hardest indent (HV10)",
        "number",
        20,
        1500,
        "Of all rows, weld, heat-affected zone and base metal.",
    ),
    POSITION,
)

DECLARED: tuple[tuple[Iterable[ResultKind], type[Result], tuple[ResultField, ...]], ...] = (
    ((ResultKind.TENSION,), Tension, TENSION),
    (BENDS, Bend, BEND),
    ((ResultKind.MACRO,), Macro, MACRO),
    ((ResultKind.FRACTURE,), Fracture, FRACTURE),
    ((ResultKind.VISUAL,), Visual, VISUAL),
    (VOLUMETRIC, Volumetric, VOLUMETRIC_FIELDS),
    ((ResultKind.IMPACT,), Impact, IMPACT),
    (SURFACE, Surface, SURFACE_FIELDS),
    ((ResultKind.HARDNESS,), Hardness, HARDNESS),
)
"""Kinds of result, what each becomes, and what is stated of it."""
FIELDS = {kind: fields for kinds, _, fields in DECLARED for kind in kinds}
RESULTS = {kind: result for kinds, result, _ in DECLARED for kind in kinds}


def field(kind: ResultKind, key: str) -> ResultField:
    """The field of that key. Raises KeyError naming both."""
    found = next((f for f in FIELDS[kind] if f.key == key), None)
    if found is None:
        raise KeyError(f"{kind} states no {key}")
    return found
