"""What only a trial states: how the piece was prepared, how the machine was set beyond a procedure's
entries, what came of it, and the readings of one pass. All else a trial states is what a procedure test
states."""

from __future__ import annotations

from .common import FED, GASSED, TRIAL, WIRE, Family, choices_of
from .definition import Level, Variable

RESULT = "Result"
PREPARATION = Family(Level.JOINT, "Preparation", {"uses": TRIAL})
MACHINE, RESULTS, PASSES = (
    Family(Level.LINE, heading, {"uses": TRIAL}) for heading in ("Machine", RESULT, "Pass")
)
STARTING = MACHINE.but(processes=GASSED)
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


MACRO = (
    ("macro_penetration", "Penetration", 100),
    ("macro_leg", "Leg", 60),
    ("macro_other_leg", "Other leg", 60),
    ("macro_throat", "Throat", 60),
    ("macro_reinforcement", "Reinforcement", 30),
    ("macro_area", "Weld metal", 10_000),
)
"""What is measured on a section: key, label, and the most in mm or mm² that is no slip of the pen."""
STEP_CHOICES = choices_of(
    {
        "cut": "Sawn or machined",
        "thermal_cut": "Cut by plasma or laser",
        "ground": "Ground with a wheel or disc",
        "solvent": "Wiped with solvent",
        "washed": "Washed, rinsed",
        "dried": "Left to dry",
        "brushed": "Stainless brush by hand",
        "power_brushed": "Power brush",
        "scraped": "Scraped or filed",
        "etched": "Etched",
        "warmed": "Warmed to drive off moisture",
    }
)
AMOUNTS = {"none": "None", "little": "Little", "much": "Much"}

JOINT_VARIABLES: tuple[Variable, ...] = (
    *(
        PREPARATION.choice(key, f"Preparation step {number}", STEP_CHOICES)
        for number, key in enumerate(STEPS, start=1)
    ),
    PREPARATION.number(
        "since_cleaning",
        "Time since cleaning",
        "time",
        0,
        604800,
        zero=True,
        help="From the last step to the first arc; minutes unless a unit is written.",
    ),
)
LINE_VARIABLES: tuple[Variable, ...] = (
    MACHINE.number(
        "lead_length",
        "Length of the gun's lead",
        "length",
        500,
        60000,
        processes=WIRE,
        help="Write the unit, for example 15 ft or 4 m.",
    ),
    MACHINE.text(
        "contact_tip", "Contact tip", "Bore and make-up, for example 1.4 mm for aluminum.", processes=WIRE
    ),
    STARTING.text("hot_start", "Hot start", "As the machine shows it."),
    STARTING.text("crater", "Crater program", "As the machine shows it."),
    MACHINE.text("burn_back", "Burn-back", "As the machine shows it.", processes=FED),
    STARTING.number("pre_flow", "Gas pre-flow", "duration", 0, 60, zero=True),
    STARTING.number("post_flow", "Gas post-flow", "duration", 0, 120, zero=True),
    RESULTS.choice(
        "seen_penetration",
        "Penetration seen",
        {"lacking": "Lacking", "uneven": "Uneven", "sound": "Sound, to the root", "excessive": "Excessive"},
    ),
    RESULTS.choice(
        "seen_wetting",
        "Wetting at the toes",
        {"cold": "Cold, rolled over", "fair": "Fair", "good": "Smooth, tied in"},
    ),
    RESULTS.choice(
        "seen_cracks", "Cracks", {"none": "None seen", "along": "Along the weld", "across": "Across it"}
    ),
    RESULTS.choice("seen_crater", "Crater cracks", {"none": "None seen", "yes": "Yes"}),
    RESULTS.choice(
        "seen_overlap", "Overlap", {"none": "None", "some": "In places", "long": "Along the weld"}
    ),
    RESULTS.choice(
        "seen_fusion",
        "Lack of fusion",
        {
            "none": "None seen",
            "start": "At the start",
            "side": "Side wall or root",
            "layers": "Between passes",
        },
    ),
    RESULTS.choice("seen_spatter", "Spatter", AMOUNTS),
    RESULTS.choice("seen_soot", "Soot", AMOUNTS),
    RESULTS.choice(
        "seen_porosity", "Porosity", {"none": "None seen", "few": "A few pores", "many": "Many pores"}
    ),
    RESULTS.choice("seen_undercut", "Undercut", {"none": "None", "slight": "Slight", "deep": "Deep"}),
    RESULTS.choice("seen_burn_through", "Burn-through", {"no": "No", "yes": "Yes"}),
    RESULTS.choice(
        "seen_color",
        "Color of the bead",
        {"bright": "Bright", "straw": "Straw", "blue": "Blue or purple", "gray": "Gray or black"},
    ),
    RESULTS.choice("seen_appearance", "Appearance", {"poor": "Poor", "fair": "Fair", "good": "Good"}),
    RESULTS.number(
        "distortion",
        "Distortion",
        "angle",
        0,
        45,
        zero=True,
        help="Angle by which the plates were pulled out of line.",
    ),
    *(
        RESULTS.number(
            key,
            f"{label} on the section",
            "area" if key == "macro_area" else "length",
            "0.05",
            most,
            many=TRIAL,
            help="Measured on a photo of a section, or typed.",
        )
        for key, label, most in MACRO
    ),
    RESULTS.choice(
        "quick_break",
        "Break test",
        {
            "held": "Folded over, did not break",
            "sound": "Broke, face is sound",
            "pores": "Broke, pores in the face",
            "fusion": "Broke, not fused",
        },
    ),
    RESULTS.choice(
        "quick_bend",
        "Bend test",
        {"clean": "Nothing opened", "small": "Opened a little", "open": "Opened wide", "broke": "Broke"},
    ),
    RESULTS.number(
        "quick_bend_former",
        "Former of the bend",
        "length",
        2,
        500,
        help="Diameter, or twice the radius, the strip was bent around.",
    ),
    RESULTS.number(
        "quick_bend_thickness", "Thickness of the bent strip", "length", "0.5", 50, help="As it was bent."
    ),
    RESULTS.number(
        "quick_pull",
        "Highest load of the pull test",
        "force",
        100,
        5_000_000,
        help="Write the unit: lb or kN.",
    ),
    RESULTS.number(
        "quick_pull_area", "Section of the pulled strip", "area", 2, 5000, help="Width times thickness."
    ),
    RESULTS.choice(
        "quick_pull_place",
        "Broke in",
        {
            "base": "Base metal",
            "heat_affected": "Beside the weld",
            "weld": "Weld metal",
            "held": "Did not break",
        },
    ),
    RESULTS.number("tips_used", "Contact tips used up", "count", 0, 50, processes=WIRE, zero=True),
)

PASS_LENGTH = PASSES.number("pass_length", "Length", "length", 5, 20000, help="Of weld laid in this pass.")
ARC_TIME = PASSES.number(
    "arc_time", "Arc time", "duration", "0.5", 7200, help="From arc start to arc stop, in seconds."
)
