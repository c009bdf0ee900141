"""Variables that only the Navy's documents ask for: what a change of equipment is told by, and the filler
group."""

from __future__ import annotations

from decimal import Decimal as D

from .definition import Choice, Level, RecordKind, ValueKind, Variable

NAVY = frozenset({"navy"})
SPEC = frozenset({RecordKind.SPEC})
SPEC_OR_PART = frozenset({RecordKind.SPEC, RecordKind.PART})
NOT_WELDER = frozenset({RecordKind.TEST, RecordKind.SPEC, RecordKind.PART})
MECHANIZED = frozenset({"machine", "automatic"})
PROCESS, FILLER, GAS, ARC, TECHNIQUE = "Process", "Filler metal", "Gas", "Electrical", "Technique"

PIPE_SEAM = Variable(
    "pipe_seam",
    "Seam of the pipe",
    Level.JOINT,
    "Joint",
    ValueKind.CHOICE,
    many=SPEC_OR_PART,
    uses=SPEC_OR_PART,
    codes=NAVY,
    shown_when=("product_form", frozenset({"pipe"})),
    choices=(Choice("girth", "Girth"), Choice("longitudinal", "Longitudinal")),
)

NAVY_LINE = (
    Variable(
        "filler_a_group",
        "Filler group (248)",
        Level.LINE,
        FILLER,
        ValueKind.DESIGNATION,
        many=SPEC_OR_PART,
        codes=NAVY,
        help="For example A-8; from table 7-2 of the document.",
    ),
    Variable(
        "power_source",
        "Power source",
        Level.LINE,
        ARC,
        ValueKind.TEXT,
        uses=NOT_WELDER,
        codes=NAVY,
        processes=frozenset({"GMAW", "FCAW"}),
        help="Maker and model number.",
    ),
    Variable(
        "waveform_program",
        "Waveform program",
        Level.LINE,
        ARC,
        ValueKind.TEXT,
        uses=NOT_WELDER,
        codes=NAVY,
        processes=frozenset({"GMAW", "FCAW"}),
        shown_when=("waveform_controlled", frozenset({"yes"})),
        help="Name or number and version of the program the source runs.",
    ),
    Variable(
        "trailing_shield",
        "Trailing shield",
        Level.LINE,
        GAS,
        ValueKind.TEXT,
        uses=NOT_WELDER,
        codes=NAVY,
        processes=frozenset({"GMAW", "GTAW"}),
        help="What it is made of; “none” without one. Matters for titanium.",
    ),
    Variable(
        "torch_offset",
        "Torch offset",
        Level.LINE,
        TECHNIQUE,
        ValueKind.NUMBER,
        dimension="length",
        many=SPEC,
        uses=NOT_WELDER,
        codes=NAVY,
        zero=True,
        plausible=(D(0), D(300)),
        shown_when=("operation", MECHANIZED),
        help="From the top of the turning pipe, along its surface.",
    ),
    Variable(
        "equipment_controls",
        "Controls of the equipment",
        Level.LINE,
        TECHNIQUE,
        ValueKind.TEXT,
        uses=NOT_WELDER,
        codes=NAVY,
        shown_when=("operation", MECHANIZED),
        help=(
            "Controller and its software, joint tracking, sensing, location of the joint and adaptive fill,"
            " each by maker, model and version."
        ),
    ),
)
