"""Variables of one process line: the process itself, what is in modules of their own, and what is derived."""

from __future__ import annotations

from .arc import ARC_OF_LINE
from .common import (
    FILLER,
    GAS,
    GASSED,
    NOT_WELDER,
    PROCESS,
    PULSED,
    READING,
    SPEC,
    SPEC_OR_PART,
    WIRE,
    when,
)
from .definition import Variable
from .filler import FILLER_OF_LINE
from .iso import DERIVED_OF_LINE
from .navy import NAVY_LINE
from .technique import TECHNIQUE_OF_LINE

LINE_VARIABLES: tuple[Variable, ...] = (
    PROCESS.choice(
        "process",
        "Process",
        {
            "SMAW": "SMAW, covered electrode",
            "GMAW": "GMAW, gas-shielded wire",
            "FCAW": "FCAW, flux-cored wire",
            "GTAW": "GTAW, tungsten arc",
            "SAW": "SAW, submerged arc",
        },
        may_be_na=False,
    ),
    PROCESS.choice(
        "operation",
        "Operation",
        {
            "manual": "Manual",
            "semiautomatic": "Semiautomatic",
            "machine": "Machine",
            "automatic": "Automatic",
        },
        many=SPEC,
        may_be_na=False,
    ),
    PROCESS.choice(
        "part_of_joint",
        "Part of the joint",
        {"root": "Root", "fill": "Fill and cap", "whole": "Whole weld", "back": "Back weld"},
        many=SPEC_OR_PART,
        uses=NOT_WELDER,
    ),
    PROCESS.choice(
        "backing",
        "Backing",
        {
            "none": "Without backing",
            "metal": "Metal strip or ring",
            "flux": "Flux or flux-filled strip",
            "weld_metal": "Earlier weld metal",
            "base_metal": "Base metal (fillet or partial penetration)",
            "both_sides": "Welded from both sides",
        },
        many=SPEC_OR_PART,
        help="A pass over earlier weld metal, or the second side of a weld made from both, counts as backed.",
    ),
    PROCESS.text("backing_material", "Backing material", shown_when=when("backing", "metal")),
    PROCESS.choice(
        "transfer_mode",
        "Transfer mode",
        {
            "short_circuit": "Short-circuiting",
            "globular": "Globular",
            "spray": "Spray",
            "pulsed_spray": "Pulsed spray",
        },
        processes=WIRE,
        many=SPEC_OR_PART,
    ),
    PROCESS.choice(
        "current_programme",
        "Current program",
        {"steady": "Steady", "pulsed": "Pulsed", "double_pulsed": "Double-pulsed"},
        processes=GASSED,
        many=SPEC,
        help="Double-pulsed: the pulse train itself swells and sinks a few times a second.",
    ),
    PROCESS.number(
        "pulse_frequency",
        "Pulse frequency",
        "frequency",
        "0.1",
        20000,
        processes=GASSED,
        many=READING,
        shown_when=("current_programme", PULSED),
    ),
    PROCESS.number(
        "slow_frequency",
        "Slow frequency",
        "frequency",
        "0.1",
        30,
        processes=WIRE,
        many=READING,
        shown_when=when("current_programme", "double_pulsed"),
    ),
    PROCESS.number(
        "low_level",
        "Low-level percentage",
        "percent",
        1,
        100,
        processes=WIRE,
        many=READING,
        shown_when=when("current_programme", "double_pulsed"),
        help="Level of the low phase as a share of the high phase.",
    ),
    PROCESS.number(
        "pulse_duty",
        "Duty",
        "percent",
        1,
        99,
        processes=GASSED,
        many=READING,
        shown_when=("current_programme", PULSED),
        help="Share of each cycle spent at the high level.",
    ),
    *FILLER_OF_LINE,
    *ARC_OF_LINE,
    *TECHNIQUE_OF_LINE,
    *NAVY_LINE,
    *DERIVED_OF_LINE,
    PROCESS.yes_no("backed", "Backed", derived=True),
    PROCESS.yes_no("root_on_other_test", "Root deposit where another test qualifies the joint", derived=True),
    GAS.yes_no("inert_backing", "Inert backing gas", derived=True),
    GAS.yes_no("inert_trailing", "Inert trailing gas", derived=True),
    FILLER.choice("flux_wire_strength", "Strength designator of flux and wire", derived=True),
)
