"""Variables of one process line: the process itself, what is in modules of their own, and what is derived."""

from __future__ import annotations

from decimal import Decimal as D

from .metal_systems import NOT_WELDER, SPEC
from .variables import Kind, Variable
from .variables_arc import ARC_OF_LINE
from .variables_common import (
    FILLER,
    GAS,
    PROCESS,
    PULSED,
    READING,
    SPEC_OR_PART,
    WIRE,
    YES_NO,
    choices_of,
    line,
)
from .variables_filler import FILLER_OF_LINE
from .variables_navy import NAVY_LINE
from .variables_technique import TECHNIQUE_OF_LINE
from .variables_terms import DERIVED_OF_LINE

LINE_VARIABLES: tuple[Variable, ...] = (
    line(
        "process",
        "Process",
        PROCESS,
        Kind.CHOICE,
        choices=choices_of(
            ("SMAW", "SMAW, covered electrode"),
            ("GMAW", "GMAW, gas-shielded wire"),
            ("FCAW", "FCAW, flux-cored wire"),
            ("GTAW", "GTAW, tungsten arc"),
            ("SAW", "SAW, submerged arc"),
        ),
    ),
    line(
        "operation",
        "Operation",
        PROCESS,
        Kind.CHOICE,
        many=SPEC,
        choices=choices_of(
            ("manual", "Manual"),
            ("semiautomatic", "Semiautomatic"),
            ("machine", "Machine"),
            ("automatic", "Automatic"),
        ),
    ),
    line(
        "part_of_joint",
        "Part of the joint",
        PROCESS,
        Kind.CHOICE,
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
        Kind.CHOICE,
        many=SPEC_OR_PART,
        choices=choices_of(
            ("none", "None: open root"),
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
        Kind.TEXT,
        shown_when=("backing", frozenset({"metal"})),
    ),
    line(
        "transfer_mode",
        "Transfer mode",
        PROCESS,
        Kind.CHOICE,
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
        "Current programme",
        PROCESS,
        Kind.CHOICE,
        processes=frozenset({"GMAW", "FCAW", "GTAW"}),
        many=SPEC,
        choices=choices_of(("steady", "Steady"), ("pulsed", "Pulsed"), ("double_pulsed", "Double-pulsed")),
        help="Double-pulsed: the pulse train itself swells and sinks a few times a second.",
    ),
    line(
        "pulse_frequency",
        "Pulse frequency",
        PROCESS,
        Kind.NUMBER,
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
        Kind.NUMBER,
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
        Kind.NUMBER,
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
        Kind.NUMBER,
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
    line("backed", "Backed", PROCESS, Kind.CHOICE, choices=YES_NO, derived=True),
    line(
        "root_on_other_test",
        "Root deposit, joint qualified by another test",
        PROCESS,
        Kind.CHOICE,
        choices=YES_NO,
        derived=True,
    ),
    line("inert_backing", "Inert backing gas", GAS, Kind.CHOICE, choices=YES_NO, derived=True),
    line("inert_trailing", "Inert trailing gas", GAS, Kind.CHOICE, choices=YES_NO, derived=True),
    line("flux_wire_strength", "Strength designator of flux and wire", FILLER, Kind.CHOICE, derived=True),
)
