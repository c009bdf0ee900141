"""Variables that only some codes ask for, and the terms of ISO standards that follow from other variables."""

from __future__ import annotations

from decimal import Decimal as D

from .definition import Choice, Level, RecordKind, ValueKind, Variable

ISO = frozenset({"iso"})
AWS = frozenset({"aws"})
SPEC = frozenset({RecordKind.SPEC})
TEST = frozenset({RecordKind.TEST})
SPEC_OR_PART = frozenset({RecordKind.SPEC, RecordKind.PART})
GASSED = frozenset({"GMAW", "FCAW", "GTAW"})
FED = frozenset({"GMAW", "FCAW", "SAW"})


def _choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, label) for key, label in pairs)


def _plain(*keys: str) -> tuple[Choice, ...]:
    return tuple(Choice(key, key) for key in keys)


PIPE_SETTING = Variable(
    "pipe_setting",
    "Pipe while welding",
    Level.JOINT,
    "Position",
    ValueKind.CHOICE,
    many=SPEC_OR_PART,
    uses=SPEC_OR_PART,
    codes=ISO,
    shown_when=("product_form", frozenset({"pipe"})),
    choices=_choices(
        ("rotated", "Rotated"),
        ("fixed_horizontal", "Fixed, axis horizontal"),
        ("fixed_vertical", "Fixed, axis vertical"),
        ("fixed_inclined", "Fixed, axis at 45°"),
    ),
    help="The ISO position of a pipe follows from it.",
)

FILLER_VARIABLES = (
    Variable(
        "filler_group",
        "Filler group (ISO 9606)",
        Level.LINE,
        "Filler metal",
        ValueKind.CHOICE,
        many=SPEC,
        codes=ISO,
        choices=_plain("FM1", "FM2", "FM3", "FM4", "FM5", "FM6"),
        help="Follows from the classification when that is in the catalogue.",
    ),
    Variable(
        "iso_filler",
        "Filler designation (ISO)",
        Level.LINE,
        "Filler metal",
        ValueKind.DESIGNATION,
        many=SPEC,
        codes=ISO,
        help=(
            "For example S Al 5356 (ISO 18273) or G 42 4 M21 3Si1 (ISO 14341). Left out, it follows from the"
            " classification as far as it can."
        ),
    ),
    Variable(
        "covering_type",
        "Covering or core type (ISO)",
        Level.LINE,
        "Filler metal",
        ValueKind.CHOICE,
        many=SPEC,
        codes=ISO,
        processes=frozenset({"SMAW", "FCAW"}),
        choices=_choices(
            ("A", "A, acid"),
            ("RA", "RA, rutile-acid"),
            ("RB", "RB, rutile-basic"),
            ("RC", "RC, rutile-cellulosic"),
            ("RR", "RR, thick rutile"),
            ("R", "R, rutile"),
            ("B", "B, basic"),
            ("C", "C, cellulosic"),
            ("P", "P, rutile core, fast-freezing slag"),
            ("V", "V, rutile or basic-fluoride core"),
            ("W", "W, basic-fluoride core, slow-freezing slag"),
            ("Y", "Y, basic-fluoride core, fast-freezing slag"),
            ("Z", "Z, other core"),
        ),
        help="Of a covered electrode (ISO 2560) or a flux-cored wire (ISO 17632).",
    ),
)

MEANS = tuple(
    Variable(
        f"{key}_mean",
        f"Mean {label.lower()} of the passes",
        Level.LINE,
        "Electrical",
        ValueKind.NUMBER,
        dimension=dimension,
        uses=TEST,
        codes=AWS,
        processes=processes,
        plausible=plausible,
        help="Over all passes made with this filler diameter, where the readings swing.",
    )
    for key, label, dimension, processes, plausible in (
        ("amps", "Current", "current", GASSED | FED | {"SMAW"}, (D(5), D(2000))),
        ("volts", "Voltage", "voltage", GASSED | FED | {"SMAW"}, (D(5), D(100))),
        ("wire_feed", "Wire feed speed", "wire_feed", FED, (D(200), D(40000))),
        ("travel_speed", "Travel speed", "travel_speed", GASSED | FED | {"SMAW"}, (D(10), D(5000))),
    )
)
"""Codes that let a setting move by a share of what was tested reckon from the mean of the passes."""

ISO_POSITIONS = ("PA", "PB", "PC", "PD", "PE", "PF", "PG", "PH", "PJ", "H-L045", "J-L045")
ISO_PROCESSES = (
    ("111", "111, covered electrode"),
    ("114", "114, self-shielded cored wire"),
    ("121", "121, submerged arc, solid wire"),
    ("125", "125, submerged arc, cored wire"),
    ("131", "131, MIG, solid wire"),
    ("132", "132, MIG, flux-cored wire"),
    ("133", "133, MIG, metal-cored wire"),
    ("135", "135, MAG, solid wire"),
    ("136", "136, MAG, flux-cored wire"),
    ("138", "138, MAG, metal-cored wire"),
    ("141", "141, TIG, solid filler"),
    ("142", "142, TIG without filler"),
    ("143", "143, TIG, cored filler"),
    ("145", "145, TIG, reducing gas, solid filler"),
)
DERIVED_OF_JOINT = (
    Variable(
        "magnesium_most",
        "Magnesium of the richer side",
        Level.JOINT,
        "Base metals",
        ValueKind.NUMBER,
        dimension="percent",
        derived=True,
    ),
)
DERIVED_OF_LINE = (
    Variable(
        "gas_activity",
        "Kind of shielding gas",
        Level.LINE,
        "Gas",
        ValueKind.CHOICE,
        derived=True,
        processes=GASSED,
        choices=_choices(
            ("inert", "Inert"),
            ("reducing", "Reducing: with hydrogen"),
            ("active", "Active: with CO₂ or oxygen"),
            ("unreactive", "Low-reactive: with nitrogen"),
            ("none", "No gas"),
        ),
    ),
    Variable(
        "helium_share",
        "Helium in the shielding gas",
        Level.LINE,
        "Gas",
        ValueKind.NUMBER,
        dimension="percent",
        derived=True,
        zero=True,
        processes=GASSED,
    ),
    Variable(
        "co2_share",
        "CO₂ in the shielding gas",
        Level.LINE,
        "Gas",
        ValueKind.NUMBER,
        dimension="percent",
        derived=True,
        zero=True,
        processes=GASSED,
    ),
    Variable(
        "iso_gas",
        "Shielding gas (ISO 14175)",
        Level.LINE,
        "Gas",
        ValueKind.CHOICE,
        derived=True,
        processes=GASSED,
        codes=ISO,
    ),
    Variable(
        "iso_backing_gas",
        "Backing gas (ISO 14175)",
        Level.LINE,
        "Gas",
        ValueKind.CHOICE,
        derived=True,
        processes=GASSED,
        codes=ISO,
    ),
    Variable(
        "gas_backed",
        "Gas on the root side",
        Level.LINE,
        "Gas",
        ValueKind.CHOICE,
        derived=True,
        choices=_choices(("yes", "Yes"), ("no", "No")),
    ),
    Variable(
        "iso_process",
        "Process (ISO 4063)",
        Level.LINE,
        "Process",
        ValueKind.CHOICE,
        derived=True,
        codes=ISO,
        choices=_choices(*ISO_PROCESSES),
    ),
    Variable(
        "iso_position",
        "Position (ISO 6947)",
        Level.LINE,
        "Position",
        ValueKind.CHOICE,
        derived=True,
        codes=ISO,
        choices=_plain(*ISO_POSITIONS),
    ),
    Variable(
        "weld_details",
        "Side and backing (ISO 9606)",
        Level.LINE,
        "Process",
        ValueKind.CHOICE,
        derived=True,
        codes=ISO,
        choices=_choices(
            ("ss nb", "ss nb, one side without backing"),
            ("ss mb", "ss mb, one side on a backing"),
            ("ss gb", "ss gb, one side with gas backing"),
            ("ss fb", "ss fb, one side on flux"),
            ("bs", "bs, both sides"),
        ),
    ),
    Variable(
        "layering",
        "Layers (ISO 9606)",
        Level.LINE,
        "Process",
        ValueKind.CHOICE,
        derived=True,
        codes=ISO,
        choices=_choices(("sl", "sl, single layer"), ("ml", "ml, several layers")),
    ),
)
