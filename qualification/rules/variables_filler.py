"""Variables of one process line: filler metal, flux and deposit."""

from __future__ import annotations

from decimal import Decimal as D

from .variables import Choice, Kind, Use, Variable
from .variables_common import (
    FED,
    FILLER,
    GTAW,
    SAW,
    line,
)
from .variables_joint import NOT_WELDER, SPEC, SPEC_OR_PART, YES_NO, _choices
from .variables_paper import OF_FILLER
from .variables_terms import FILLER_VARIABLES

F_NUMBERS = tuple(Choice(k, f"F-{k}") for k in (
    "1", "2", "3", "4", "5", "6", "21", "22", "23", "24", "25", "26", "31", "32", "33", "34", "35", "36", "37",
    "41", "42", "43", "44", "45", "46", "51", "52", "53", "54", "55", "56", "61", "71", "72",
)) + (Choice("unassigned", "No F-Number"),)
A_NUMBERS = tuple(Choice(str(n), f"A-{n}") for n in range(1, 13)) + (Choice("unassigned", "No A-Number"),)
FILLER_OF_LINE: tuple[Variable, ...] = (
    line("filler_used", "Filler metal added", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW),
    line("filler_specification", "Filler specification", FILLER, Kind.TEXT, help="For example SFA-5.10."),
    line("filler_classification", "Filler classification", FILLER, Kind.FILLER, many=SPEC, help="For example ER5356 or E7018."),
    line("filler_trade_name", "Trade name", FILLER, Kind.TEXT, uses=NOT_WELDER),
    line("f_number", "F-Number", FILLER, Kind.CHOICE, choices=F_NUMBERS, many=SPEC, codes=frozenset({"asme", "aws"}),
          help="Follows from the classification when that is in the catalogue."),
    line("a_number", "A-Number", FILLER, Kind.CHOICE, choices=A_NUMBERS, uses=NOT_WELDER, many=SPEC, codes=frozenset({"asme"}),
          help="Ferrous weld metal only."),
    *FILLER_VARIABLES,
    line("filler_diameter", "Filler diameter", FILLER, Kind.NUMBER, dimension="length", many=SPEC, plausible=(D("0.3"), D(13)),
          help="For example .035, 3/64 or 1.2 mm."),
    line("filler_form", "Filler product form", FILLER, Kind.CHOICE, processes=frozenset({"GMAW", "FCAW", "GTAW", "SAW"}), many=SPEC,
          choices=_choices(("solid", "Bare solid"), ("metal_cored", "Metal-cored"), ("flux_cored", "Flux-cored"),
                           ("flux_coated", "Flux-coated"), ("powder", "Powder"))),
    *OF_FILLER,
    line("consumable_insert", "Consumable insert", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW, many=SPEC),
    line("supplemental_filler", "Supplemental filler", FILLER, Kind.CHOICE, choices=YES_NO, processes=FED, uses=NOT_WELDER),
    line("supplemental_ratio", "Supplemental filler by volume", FILLER, Kind.NUMBER, dimension="percent", processes=FED, uses=NOT_WELDER,
          plausible=(D(1), D(100)), shown_when=("supplemental_filler", frozenset({"yes"}))),
    line("supplemental_alloying", "Alloy content depends on the supplemental filler", FILLER, Kind.CHOICE, choices=YES_NO, processes=FED,
          uses=NOT_WELDER, shown_when=("supplemental_filler", frozenset({"yes"}))),
    line("supplemental_material", "Supplemental filler material", FILLER, Kind.TEXT, processes=FED, uses=NOT_WELDER,
          shown_when=("supplemental_filler", frozenset({"yes"}))),
    line("penetration_flux", "Penetration-enhancing flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW, uses=NOT_WELDER),
    line("flux_wire_class", "Flux and wire classification", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER,
          help="For example F7A2-EM12K."),
    line("flux_trade_name", "Flux trade name", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER),
    line("flux_kind", "Flux type", FILLER, Kind.CHOICE, processes=SAW, uses=NOT_WELDER,
          choices=_choices(("neutral", "Neutral"), ("active", "Active"), ("alloy", "Alloy"))),
    line("flux_alloying", "Alloy content comes largely from the flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=SAW, uses=NOT_WELDER),
    line("recrushed_slag", "Recrushed slag as flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=SAW, uses=NOT_WELDER),
    line("flux_batch", "Batch of recrushed slag", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER,
          shown_when=("recrushed_slag", frozenset({"yes"}))),
    line("deposit_thickness", "Deposit thickness", FILLER, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.3"), D(500)),
          help="Weld metal this process and filler put into the groove, without reinforcement."),
    line("max_pass_thickness", "Thickest single pass", FILLER, Kind.NUMBER, dimension="length", uses=NOT_WELDER, plausible=(D("0.3"), D(60))),
    line("layers", "Layers", FILLER, Kind.NUMBER, dimension="count", uses=frozenset({Use.TEST, Use.WELDER_TEST}), plausible=(D(1), D(500)),
          help="Layers in the deposit of this line."),
)
