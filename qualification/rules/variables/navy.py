"""Variables that only the Navy's documents ask for: what a change of equipment is told by, and the filler
group."""

from __future__ import annotations

from .common import (
    ARC,
    FILLER,
    GAS,
    GMAW,
    GTAW,
    JOINT,
    MECHANIZED,
    NAVY,
    NOT_WELDER,
    SPEC,
    SPEC_OR_PART,
    TECHNIQUE,
    WIRE,
    when,
)
from .definition import ValueKind

NAVY_JOINT, NAVY_FILLER = JOINT.but(codes=NAVY), FILLER.but(codes=NAVY)
NAVY_ARC, NAVY_GAS, NAVY_TECHNIQUE = (
    family.but(codes=NAVY, uses=NOT_WELDER, **more)
    for family, more in (
        (ARC, {"processes": WIRE}),
        (GAS, {"processes": GMAW | GTAW}),
        (TECHNIQUE, {"shown_when": ("operation", MECHANIZED)}),
    )
)

PIPE_SEAM = NAVY_JOINT.choice(
    "pipe_seam",
    "Seam of the pipe",
    {"girth": "Girth", "longitudinal": "Longitudinal"},
    many=SPEC_OR_PART,
    uses=SPEC_OR_PART,
    shown_when=when("product_form", "pipe"),
)

NAVY_LINE = (
    NAVY_FILLER.entry(
        ValueKind.DESIGNATION,
        "filler_a_group",
        "Filler group (248)",
        many=SPEC_OR_PART,
        help="For example A-8; from table 7-2 of the document.",
    ),
    NAVY_ARC.text("power_source", "Power source", "Maker and model number."),
    NAVY_ARC.text(
        "waveform_program",
        "Waveform program",
        "Name or number and version of the program the source runs.",
        shown_when=when("waveform_controlled", "yes"),
    ),
    NAVY_GAS.text(
        "trailing_shield",
        "Trailing shield",
        "What it is made of; “none” without one. Matters for titanium.",
    ),
    NAVY_TECHNIQUE.number(
        "torch_offset",
        "Torch offset",
        "length",
        0,
        300,
        many=SPEC,
        zero=True,
        help="From the top of the turning pipe, along its surface.",
    ),
    NAVY_TECHNIQUE.text(
        "equipment_controls",
        "Controls of the equipment",
        "Controller and its software, joint tracking, sensing, location of the joint and adaptive fill, each"
        " by maker, model and version.",
    ),
)
