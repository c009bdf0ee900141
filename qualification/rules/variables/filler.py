"""Variables of one process line: filler metal, flux and deposit."""

from __future__ import annotations

from .common import (
    FED,
    FILLER,
    GTAW,
    NOT_STICK,
    NOT_WELDER,
    ON_TESTS,
    READING,
    SAW,
    SPEC,
    SPEC_OR_PART,
    plain,
    when,
)
from .definition import Choice, ValueKind, Variable
from .iso import FILLER_VARIABLES
from .paper import OF_FILLER

F_NUMBERS = (
    *plain(
        "1 2 3 4 5 6 21 22 23 24 25 26 31 32 33 34 35 36 37 41 42 43 44 45 46 51 52 53 54 55 56 61 71 72",
        prefix="F-",
    ),
    Choice("unassigned", "No F-Number"),
)
A_NUMBERS = (*plain("1 2 3 4 5 6 7 8 9 10 11 12", prefix="A-"), Choice("unassigned", "No A-Number"))
NO_FILLER = (when("filler_used", "no"),)
NONFERROUS = (when("f_number", *(c.key for c in F_NUMBERS if c.key.isdecimal() and 20 < int(c.key) < 70)),)
USED = FILLER.but(uses=NOT_WELDER)
EXTRA, FLUX = USED.but(processes=FED), USED.but(processes=SAW)
EXTRA_ADDED = EXTRA.but(shown_when=when("supplemental_filler", "yes"))
FILLER_OF_LINE: tuple[Variable, ...] = (
    FILLER.yes_no("filler_used", "Filler metal added", processes=GTAW, may_be_na=False),
    FILLER.text("filler_specification", "Filler specification", "For example SFA-5.10."),
    FILLER.entry(
        ValueKind.FILLER,
        "filler_classification",
        "Filler classification",
        many=SPEC,
        may_be_na=False,
        none_where=NO_FILLER,
        help="For example ER5356 or E7018.",
    ),
    USED.text("filler_trade_name", "Trade name"),
    FILLER.choice(
        "f_number",
        "F-Number",
        F_NUMBERS,
        many=SPEC,
        codes=frozenset({"asme", "aws"}),
        may_be_na=False,
        none_where=NO_FILLER,
        help="Follows from the classification when that is in the catalogue.",
    ),
    USED.choice(
        "a_number",
        "A-Number",
        A_NUMBERS,
        many=SPEC,
        codes=frozenset({"asme"}),
        none_where=NO_FILLER + NONFERROUS,
        help="Ferrous weld metal only.",
    ),
    *FILLER_VARIABLES,
    FILLER.number(
        "filler_diameter",
        "Filler diameter",
        "length",
        "0.3",
        13,
        many=READING,
        help="For example .035, 3/64 or 1.2 mm.",
    ),
    FILLER.choice(
        "filler_form",
        "Filler product form",
        {
            "solid": "Bare solid",
            "metal_cored": "Metal-cored",
            "flux_cored": "Flux-cored",
            "flux_coated": "Flux-coated",
            "powder": "Powder",
        },
        processes=NOT_STICK,
        many=SPEC,
    ),
    *OF_FILLER,
    FILLER.yes_no("consumable_insert", "Consumable insert", processes=GTAW, many=SPEC),
    EXTRA.yes_no("supplemental_filler", "Supplemental filler"),
    EXTRA_ADDED.number("supplemental_ratio", "Supplemental filler by volume", "percent", 1, 100),
    EXTRA_ADDED.yes_no("supplemental_alloying", "Alloy content depends on the supplemental filler"),
    EXTRA_ADDED.text("supplemental_material", "Supplemental filler material"),
    USED.yes_no("penetration_flux", "Penetration-enhancing flux", processes=GTAW),
    FLUX.text("flux_wire_class", "Flux and wire classification", "For example F7A2-EM12K."),
    FLUX.text("flux_trade_name", "Flux trade name"),
    FLUX.choice("flux_kind", "Flux type", {"neutral": "Neutral", "active": "Active", "alloy": "Alloy"}),
    FLUX.yes_no("flux_alloying", "Alloy content comes largely from the flux"),
    FLUX.yes_no("recrushed_slag", "Recrushed slag as flux"),
    FLUX.text("flux_batch", "Batch of recrushed slag", shown_when=when("recrushed_slag", "yes")),
    FILLER.number(
        "deposit_thickness",
        "Deposit thickness",
        "length",
        "0.3",
        500,
        many=SPEC_OR_PART,
        help="Weld metal this process and filler put into the groove, without reinforcement.",
    ),
    USED.number("max_pass_thickness", "Thickest single pass", "length", "0.3", 60),
    FILLER.number(
        "layers", "Layers", "count", 1, 500, uses=ON_TESTS, help="Layers in the deposit of this line."
    ),
)
