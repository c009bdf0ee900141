"""Variables of one process line: technique."""

from __future__ import annotations

from decimal import Decimal as D

from .variables import Kind, Use, Variable
from .variables_common import (
    FED,
    GTAW,
    MECHANIZED,
    READING,
    TECHNIQUE,
    WIRE,
    line,
)
from .variables_joint import NOT_WELDER, SPEC, YES_NO, _choices
from .variables_paper import RUN_OUT, TORCH_ANGLE

TECHNIQUE_OF_LINE: tuple[Variable, ...] = (
    line("progression", "Vertical progression", TECHNIQUE, Kind.CHOICE, processes=frozenset({"SMAW", "GMAW", "FCAW", "GTAW"}),
          many=frozenset({Use.SPEC, Use.PART, Use.WELDER_TEST}), choices=_choices(("up", "Upward"), ("down", "Downward"))),
    line("bead", "Bead", TECHNIQUE, Kind.CHOICE, many=SPEC, uses=NOT_WELDER, choices=_choices(("stringer", "Stringer"), ("weave", "Weave"))),
    line("weave_width", "Weave width, widest", TECHNIQUE, Kind.NUMBER, dimension="length", uses=NOT_WELDER, plausible=(D(1), D(60)),
          shown_when=("bead", frozenset({"weave"}))),
    line("oscillation", "Oscillation (machine)", TECHNIQUE, Kind.TEXT, processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), uses=NOT_WELDER,
          shown_when=("operation", MECHANIZED)),
    TORCH_ANGLE,
    RUN_OUT,
    line("cleaning", "Cleaning before and between passes", TECHNIQUE, Kind.TEXT, uses=NOT_WELDER),
    line("gun", "Gun", TECHNIQUE, Kind.CHOICE, processes=WIRE, many=SPEC, uses=NOT_WELDER,
          choices=_choices(("ordinary", "Ordinary gun"), ("spool", "Spool gun"), ("push_pull", "Push-pull gun"))),
    line("liner", "Gun liner", TECHNIQUE, Kind.TEXT, processes=WIRE, uses=NOT_WELDER),
    line("contact_tube_distance", "Contact tube to work", TECHNIQUE, Kind.NUMBER, dimension="length", processes=FED, many=READING,
          uses=NOT_WELDER, plausible=(D(3), D(80))),
    line("passes_per_side", "Passes per side", TECHNIQUE, Kind.CHOICE, many=SPEC,
          choices=_choices(("single", "Single pass"), ("multiple", "Several passes")),
          help="On a welder's test it matters for machine welding only."),
    line("visual_control", "Visual control", TECHNIQUE, Kind.CHOICE, shown_when=("operation", MECHANIZED),
          choices=_choices(("direct", "Direct"), ("remote", "Remote, by camera or optics"))),
    line("arc_voltage_control", "Automatic arc voltage control", TECHNIQUE, Kind.CHOICE, choices=YES_NO, processes=GTAW,
          shown_when=("operation", MECHANIZED)),
    line("joint_tracking", "Automatic joint tracking", TECHNIQUE, Kind.CHOICE, choices=YES_NO, shown_when=("operation", MECHANIZED)),
    line("electrodes", "Electrodes in one pool", TECHNIQUE, Kind.CHOICE, processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), many=SPEC,
          uses=NOT_WELDER, choices=_choices(("single", "One"), ("multiple", "More than one"))),
    line("electrode_spacing", "Electrode spacing", TECHNIQUE, Kind.NUMBER, dimension="length", many=SPEC,
          processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), uses=NOT_WELDER, plausible=(D(1), D(500)),
          shown_when=("electrodes", frozenset({"multiple"}))),
    line("peening", "Peening", TECHNIQUE, Kind.CHOICE, choices=YES_NO, many=SPEC, uses=NOT_WELDER),
    line("closed_chamber", "Welded in a closed chamber", TECHNIQUE, Kind.CHOICE, choices=YES_NO, processes=GTAW, uses=NOT_WELDER),
    line("thermal_preparation", "Edges cut by a thermal process", TECHNIQUE, Kind.CHOICE, choices=YES_NO, uses=NOT_WELDER,
          help="Matters for quenched and tempered steels of P-11A and P-11B."),
)
