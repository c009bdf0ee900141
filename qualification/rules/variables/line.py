"""Variables of one process line: the process itself, what is in modules of their own, and what is derived."""

from __future__ import annotations

from decimal import Decimal as D

from .arc import ARC_OF_LINE
from .common import FILLER, GAS, PROCESS, PULSED, READING, SPEC_OR_PART, WIRE, YES_NO, choices_of, line
from .definition import ValueKind, Variable
from .filler import FILLER_OF_LINE
from .iso import DERIVED_OF_LINE
from .metal_systems import NOT_WELDER, SPEC
from .navy import NAVY_LINE
from .technique import TECHNIQUE_OF_LINE

LINE_VARIABLES: tuple[Variable, ...] = (
    line(
        "process",
        "Process",
        PROCESS,
        ValueKind.CHOICE,
        choices=choices_of(
            ("SMAW", "SMAW, covered electrode"),
            ("GMAW", "GMAW, gas-shielded wire"),
            ("FCAW", "FCAW, flux-cored wire"),
            ("GTAW", "GTAW, tungsten arc"),
            ("SAW", "SAW, submerged arc"),
        ),
        may_be_na=False,
    ),
    line(
        "operation",
        "Operation",
        PROCESS,
        ValueKind.CHOICE,
        many=SPEC,
        choices=choices_of(
            ("manual", "Manual"),
            ("semiautomatic", "Semiautomatic"),
            ("machine", "Machine"),
            ("automatic", "Automatic"),
        ),
        may_be_na=False,
    ),
    line(
        "part_of_joint",
        "Part of the joint",
        PROCESS,
        ValueKind.CHOICE,
        many=SPEC_OR_PART,
        uses=NOT_WELDER,
        choices=choices_of(
            ("root", "Root"), ("fill", "Fill and cap"), ("whole", "Whole weld"), ("back", "Back weld")
        ),
    ),
    line(
        "backing",
        "Backing",
        PROCESS,
        ValueKind.CHOICE,
        many=SPEC_OR_PART,
        choices=choices_of(
            ("none", "Without backing"),
            ("metal", "Metal strip or ring"),
            ("flux", "Flux or flux-filled strip"),
            ("weld_metal", "Earlier weld metal"),
            ("base_metal", "Base metal (fillet or partial penetration)"),
            ("both_sides", "Welded from both sides"),
        ),
        help="A pass over earlier weld metal, or the second side of a weld made from both, counts as backed.",
    ),
    line(
        "backing_material",
        "Backing material",
        PROCESS,
        ValueKind.TEXT,
        shown_when=("backing", frozenset({"metal"})),
    ),
    line(
        "transfer_mode",
        "Transfer mode",
        PROCESS,
        ValueKind.CHOICE,
        processes=WIRE,
        many=SPEC_OR_PART,
        choices=choices_of(
            ("short_circuit", "Short-circuiting"),
            ("globular", "Globular"),
            ("spray", "Spray"),
            ("pulsed_spray", "Pulsed spray"),
        ),
    ),
    line(
        "current_programme",
        "Current program",
        PROCESS,
        ValueKind.CHOICE,
        processes=frozenset({"GMAW", "FCAW", "GTAW"}),
        many=SPEC,
        choices=choices_of(("steady", "Steady"), ("pulsed", "Pulsed"), ("double_pulsed", "Double-pulsed")),
        help="Double-pulsed: the pulse train itself swells and sinks a few times a second.",
    ),
    line(
        "pulse_frequency",
        "Pulse frequency",
        PROCESS,
        ValueKind.NUMBER,
        dimension="frequency",
        processes=frozenset({"GMAW", "FCAW", "GTAW"}),
        many=READING,
        plausible=(D("0.1"), D(20000)),
        shown_when=("current_programme", PULSED),
    ),
    line(
        "slow_frequency",
        "Slow frequency",
        PROCESS,
        ValueKind.NUMBER,
        dimension="frequency",
        processes=WIRE,
        many=READING,
        plausible=(D("0.1"), D(30)),
        shown_when=("current_programme", frozenset({"double_pulsed"})),
    ),
    line(
        "low_level",
        "Low-level percentage",
        PROCESS,
        ValueKind.NUMBER,
        dimension="percent",
        processes=WIRE,
        many=READING,
        plausible=(D(1), D(100)),
        shown_when=("current_programme", frozenset({"double_pulsed"})),
        help="Level of the low phase as a share of the high phase.",
    ),
    line(
        "pulse_duty",
        "Duty",
        PROCESS,
        ValueKind.NUMBER,
        dimension="percent",
        processes=frozenset({"GMAW", "FCAW", "GTAW"}),
        many=READING,
        plausible=(D(1), D(99)),
        shown_when=("current_programme", PULSED),
        help="Share of each cycle spent at the high level.",
    ),
    *FILLER_OF_LINE,
    *ARC_OF_LINE,
    *TECHNIQUE_OF_LINE,
    *NAVY_LINE,
    *DERIVED_OF_LINE,
    line("backed", "Backed", PROCESS, ValueKind.CHOICE, choices=YES_NO, derived=True),
    line(
        "root_on_other_test",
        "Root deposit where another test qualifies the joint",
        PROCESS,
        ValueKind.CHOICE,
        choices=YES_NO,
        derived=True,
    ),
    line("inert_backing", "Inert backing gas", GAS, ValueKind.CHOICE, choices=YES_NO, derived=True),
    line("inert_trailing", "Inert trailing gas", GAS, ValueKind.CHOICE, choices=YES_NO, derived=True),
    line(
        "flux_wire_strength", "Strength designator of flux and wire", FILLER, ValueKind.CHOICE, derived=True
    ),
)
