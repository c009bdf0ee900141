"""Variables that only some codes ask for, and the terms of ISO standards that follow from other variables."""

from __future__ import annotations

from .common import (
    ARC,
    AWS,
    FED,
    FILLER,
    GAS,
    GASSED,
    ISO,
    METALS,
    PLACE,
    PROCESS,
    SPEC,
    SPEC_OR_PART,
    TEST,
    Family,
    plain,
    when,
)
from .definition import PROCESSES, Level, ValueKind

GAS_DERIVED = GAS.but(derived=True, processes=GASSED)
PROCESS_DERIVED = PROCESS.but(derived=True, codes=ISO)
FILLER_ISO = FILLER.but(many=SPEC, codes=ISO)

PIPE_SETTING = PLACE.choice(
    "pipe_setting",
    "Pipe while welding",
    {
        "rotated": "Rotated",
        "fixed_horizontal": "Fixed, axis horizontal",
        "fixed_vertical": "Fixed, axis vertical",
        "fixed_inclined": "Fixed, axis at 45°",
    },
    many=SPEC_OR_PART,
    uses=SPEC_OR_PART,
    codes=ISO,
    shown_when=when("product_form", "pipe"),
    help="The ISO position of a pipe follows from it.",
)

FILLER_VARIABLES = (
    FILLER_ISO.choice(
        "filler_group",
        "Filler group (ISO 9606)",
        plain("FM1 FM2 FM3 FM4 FM5 FM6"),
        help="Follows from the classification when that is in the catalogue.",
    ),
    FILLER_ISO.entry(
        ValueKind.DESIGNATION,
        "iso_filler",
        "Filler designation (ISO)",
        help="For example S Al 5356 (ISO 18273) or G 42 4 M21 3Si1 (ISO 14341). Left out, it follows from the"
        " classification as far as it can.",
    ),
    FILLER_ISO.choice(
        "covering_type",
        "Covering or core type (ISO)",
        {
            "A": "A, acid",
            "RA": "RA, rutile-acid",
            "RB": "RB, rutile-basic",
            "RC": "RC, rutile-cellulosic",
            "RR": "RR, thick rutile",
            "R": "R, rutile",
            "B": "B, basic",
            "C": "C, cellulosic",
            "P": "P, rutile core, fast-freezing slag",
            "V": "V, rutile or basic-fluoride core",
            "W": "W, basic-fluoride core, slow-freezing slag",
            "Y": "Y, basic-fluoride core, fast-freezing slag",
            "Z": "Z, other core",
        },
        processes=frozenset({"SMAW", "FCAW"}),
        help="Of a covered electrode (ISO 2560) or a flux-cored wire (ISO 17632).",
    ),
)

MEANS = tuple(
    ARC.number(
        f"{key}_mean",
        f"Mean {label} of the passes",
        dimension,
        low,
        high,
        uses=TEST,
        codes=AWS,
        processes=processes,
        help="Over all passes made with this filler diameter, where the readings swing.",
    )
    for key, label, dimension, processes, low, high in (
        ("amps", "current", "current", frozenset(PROCESSES), 5, 2000),
        ("volts", "voltage", "voltage", frozenset(PROCESSES), 5, 100),
        ("wire_feed", "wire feed speed", "wire_feed", FED, 200, 40000),
        ("travel_speed", "travel speed", "travel_speed", frozenset(PROCESSES), 10, 5000),
    )
)
"""Codes that let a setting move by a share of what was tested reckon from the mean of the passes."""

DERIVED_OF_JOINT = (METALS.number("magnesium_most", "Magnesium of the richer side", "percent", derived=True),)
DERIVED_OF_LINE = (
    GAS_DERIVED.choice(
        "gas_activity",
        "Kind of shielding gas",
        {
            "inert": "Inert",
            "reducing": "Reducing: with hydrogen",
            "active": "Active: with CO₂ or oxygen",
            "unreactive": "Low-reactive: with nitrogen",
            "none": "No gas",
        },
    ),
    GAS_DERIVED.number("helium_share", "Helium in the shielding gas", "percent", zero=True),
    GAS_DERIVED.number("co2_share", "CO₂ in the shielding gas", "percent", zero=True),
    GAS_DERIVED.choice("iso_gas", "Shielding gas (ISO 14175)", codes=ISO),
    GAS_DERIVED.choice("iso_backing_gas", "Backing gas (ISO 14175)", codes=ISO),
    GAS.yes_no("gas_backed", "Gas on the root side", derived=True),
    PROCESS_DERIVED.choice(
        "iso_process",
        "Process (ISO 4063)",
        {
            "111": "111, covered electrode",
            "114": "114, self-shielded cored wire",
            "121": "121, submerged arc, solid wire",
            "125": "125, submerged arc, cored wire",
            "131": "131, MIG, solid wire",
            "132": "132, MIG, flux-cored wire",
            "133": "133, MIG, metal-cored wire",
            "135": "135, MAG, solid wire",
            "136": "136, MAG, flux-cored wire",
            "138": "138, MAG, metal-cored wire",
            "141": "141, TIG, solid filler",
            "142": "142, TIG without filler",
            "143": "143, TIG, cored filler",
            "145": "145, TIG, reducing gas, solid filler",
        },
    ),
    Family(Level.LINE, PLACE.heading, PROCESS_DERIVED.shared).choice(
        "iso_position",
        "Position (ISO 6947)",
        plain("PA PB PC PD PE PF PG PH PJ H-L045 J-L045"),
    ),
    PROCESS_DERIVED.choice(
        "weld_details",
        "Side and backing (ISO 9606)",
        {
            "ss nb": "ss nb, one side without backing",
            "ss mb": "ss mb, one side on a backing",
            "ss gb": "ss gb, one side with gas backing",
            "ss fb": "ss fb, one side on flux",
            "bs": "bs, both sides",
        },
    ),
    PROCESS_DERIVED.choice(
        "layering", "Layers (ISO 9606)", {"sl": "sl, single layer", "ml": "ml, several layers"}
    ),
)
