"""What only a trial states: how the piece was prepared, how the machine was set beyond a procedure's
entries, what came of it, and the readings of one pass. All else a trial states is what a procedure test
states."""

from __future__ import annotations

from decimal import Decimal as D

from .definition import Choice, Level, RecordKind, ValueKind, Variable

TRIAL = frozenset({RecordKind.TRIAL})
PREPARATION, MACHINE, RESULT, PASS = "Preparation", "Machine", "Result", "Pass"
WIRE = frozenset({"GMAW", "FCAW"})
FED = frozenset({"GMAW", "FCAW", "SAW"})
STARTED = frozenset({"GMAW", "FCAW", "GTAW"})
STEPS = tuple(f"preparation_{number}" for number in range(1, 7))
"""Keys of the steps of preparation, in the order in which they were done."""
READ_ON_PASSES = frozenset(
    {
        "travel_speed",
        "amps_mean",
        "volts_mean",
        "travel_speed_mean",
        "heat_input",
        "heat_input_measure",
        "bead_length",
        "impact_tested",
    }
)
"""Entries of a test that a trial does not ask for: its passes give the readings, and no laboratory is
asked."""


def _choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(key, label) for key, label in pairs)


def _joint(key: str, label: str, kind: ValueKind, **more: object) -> Variable:
    return Variable(key, label, Level.JOINT, PREPARATION, kind, uses=TRIAL, **more)  # type: ignore[arg-type]


def _set(key: str, label: str, kind: ValueKind, **more: object) -> Variable:
    return Variable(key, label, Level.LINE, MACHINE, kind, uses=TRIAL, **more)  # type: ignore[arg-type]


def _seen(key: str, label: str, *pairs: tuple[str, str]) -> Variable:
    return Variable(key, label, Level.LINE, RESULT, ValueKind.CHOICE, uses=TRIAL, choices=_choices(*pairs))


def _found(
    key: str,
    label: str,
    dimension: str,
    plausible: tuple[D, D],
    words: str,
    many: frozenset[RecordKind] = frozenset(),
) -> Variable:
    return Variable(
        key,
        label,
        Level.LINE,
        RESULT,
        ValueKind.NUMBER,
        dimension=dimension,
        uses=TRIAL,
        many=many,
        plausible=plausible,
        help=words,
    )


MACRO = (
    ("macro_penetration", "Penetration", D(100)),
    ("macro_leg", "Leg", D(60)),
    ("macro_other_leg", "Other leg", D(60)),
    ("macro_throat", "Throat", D(60)),
    ("macro_reinforcement", "Reinforcement", D(30)),
    ("macro_area", "Weld metal", D(10_000)),
)
"""What is measured on a section: key, label, and the most in mm or mm² that is no slip of the pen."""
STEP_CHOICES = _choices(
    ("cut", "Sawn or machined"),
    ("thermal_cut", "Cut by plasma or laser"),
    ("ground", "Ground with a wheel or disc"),
    ("solvent", "Wiped with solvent"),
    ("washed", "Washed, rinsed"),
    ("dried", "Left to dry"),
    ("brushed", "Stainless brush by hand"),
    ("power_brushed", "Power brush"),
    ("scraped", "Scraped or filed"),
    ("etched", "Etched"),
    ("warmed", "Warmed to drive off moisture"),
)
AMOUNTS = (("none", "None"), ("little", "Little"), ("much", "Much"))

JOINT_VARIABLES: tuple[Variable, ...] = (
    *(
        _joint(key, f"Preparation step {number}", ValueKind.CHOICE, choices=STEP_CHOICES)
        for number, key in enumerate(STEPS, start=1)
    ),
    _joint(
        "since_cleaning",
        "Time since cleaning",
        ValueKind.NUMBER,
        dimension="time",
        zero=True,
        plausible=(D(0), D(604800)),
        help="From the last step to the first arc; minutes unless a unit is written.",
    ),
)
LINE_VARIABLES: tuple[Variable, ...] = (
    _set(
        "lead_length",
        "Length of the gun's lead",
        ValueKind.NUMBER,
        dimension="length",
        processes=WIRE,
        plausible=(D(500), D(60000)),
        help="Write the unit, for example 15 ft or 4 m.",
    ),
    _set(
        "contact_tip",
        "Contact tip",
        ValueKind.TEXT,
        processes=WIRE,
        help="Bore and make-up, for example 1.4 mm for aluminum.",
    ),
    _set("hot_start", "Hot start", ValueKind.TEXT, processes=STARTED, help="As the machine shows it."),
    _set("crater", "Crater program", ValueKind.TEXT, processes=STARTED, help="As the machine shows it."),
    _set("burn_back", "Burn-back", ValueKind.TEXT, processes=FED, help="As the machine shows it."),
    _set(
        "pre_flow",
        "Gas pre-flow",
        ValueKind.NUMBER,
        dimension="duration",
        processes=STARTED,
        zero=True,
        plausible=(D(0), D(60)),
    ),
    _set(
        "post_flow",
        "Gas post-flow",
        ValueKind.NUMBER,
        dimension="duration",
        processes=STARTED,
        zero=True,
        plausible=(D(0), D(120)),
    ),
    _seen(
        "seen_penetration",
        "Penetration seen",
        ("lacking", "Lacking"),
        ("uneven", "Uneven"),
        ("sound", "Sound, to the root"),
        ("excessive", "Excessive"),
    ),
    _seen(
        "seen_wetting",
        "Wetting at the toes",
        ("cold", "Cold, rolled over"),
        ("fair", "Fair"),
        ("good", "Smooth, tied in"),
    ),
    _seen(
        "seen_cracks", "Cracks", ("none", "None seen"), ("along", "Along the weld"), ("across", "Across it")
    ),
    _seen("seen_crater", "Crater cracks", ("none", "None seen"), ("yes", "Yes")),
    _seen("seen_overlap", "Overlap", ("none", "None"), ("some", "In places"), ("long", "Along the weld")),
    _seen(
        "seen_fusion",
        "Lack of fusion",
        ("none", "None seen"),
        ("start", "At the start"),
        ("side", "Side wall or root"),
        ("layers", "Between passes"),
    ),
    _seen("seen_spatter", "Spatter", *AMOUNTS),
    _seen("seen_soot", "Soot", *AMOUNTS),
    _seen("seen_porosity", "Porosity", ("none", "None seen"), ("few", "A few pores"), ("many", "Many pores")),
    _seen("seen_undercut", "Undercut", ("none", "None"), ("slight", "Slight"), ("deep", "Deep")),
    _seen("seen_burn_through", "Burn-through", ("no", "No"), ("yes", "Yes")),
    _seen(
        "seen_color",
        "Color of the bead",
        ("bright", "Bright"),
        ("straw", "Straw"),
        ("blue", "Blue or purple"),
        ("gray", "Gray or black"),
    ),
    _seen("seen_appearance", "Appearance", ("poor", "Poor"), ("fair", "Fair"), ("good", "Good")),
    Variable(
        "distortion",
        "Distortion",
        Level.LINE,
        RESULT,
        ValueKind.NUMBER,
        dimension="angle",
        uses=TRIAL,
        zero=True,
        plausible=(D(0), D(45)),
        help="Angle by which the plates were pulled out of line.",
    ),
    *(
        _found(
            key,
            f"{label} on the section",
            "area" if key == "macro_area" else "length",
            (D("0.05"), most),
            "Measured on a photo of a section, or typed.",
            TRIAL,
        )
        for key, label, most in MACRO
    ),
    _seen(
        "quick_break",
        "Break test",
        ("held", "Folded over, did not break"),
        ("sound", "Broke, face is sound"),
        ("pores", "Broke, pores in the face"),
        ("fusion", "Broke, not fused"),
    ),
    _seen(
        "quick_bend",
        "Bend test",
        ("clean", "Nothing opened"),
        ("small", "Opened a little"),
        ("open", "Opened wide"),
        ("broke", "Broke"),
    ),
    _found(
        "quick_bend_former",
        "Former of the bend",
        "length",
        (D(2), D(500)),
        "Diameter, or twice the radius, the strip was bent around.",
    ),
    _found(
        "quick_bend_thickness", "Thickness of the bent strip", "length", (D("0.5"), D(50)), "As it was bent."
    ),
    _found(
        "quick_pull",
        "Highest load of the pull test",
        "force",
        (D(100), D(5_000_000)),
        "Write the unit: lb or kN.",
    ),
    _found(
        "quick_pull_area", "Section of the pulled strip", "area", (D(2), D(5000)), "Width times thickness."
    ),
    _seen(
        "quick_pull_place",
        "Broke in",
        ("base", "Base metal"),
        ("heat_affected", "Beside the weld"),
        ("weld", "Weld metal"),
        ("held", "Did not break"),
    ),
    Variable(
        "tips_used",
        "Contact tips used up",
        Level.LINE,
        RESULT,
        ValueKind.NUMBER,
        dimension="count",
        uses=TRIAL,
        processes=WIRE,
        zero=True,
        plausible=(D(0), D(50)),
    ),
)

PASS_LENGTH = Variable(
    "pass_length",
    "Length",
    Level.LINE,
    PASS,
    ValueKind.NUMBER,
    dimension="length",
    uses=TRIAL,
    plausible=(D(5), D(20000)),
    help="Of weld laid in this pass.",
)
ARC_TIME = Variable(
    "arc_time",
    "Arc time",
    Level.LINE,
    PASS,
    ValueKind.NUMBER,
    dimension="duration",
    uses=TRIAL,
    plausible=(D("0.5"), D(7200)),
    help="From arc start to arc stop, in seconds.",
)
