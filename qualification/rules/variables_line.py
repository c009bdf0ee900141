"""Variables of one process line: filler, deposit, gas, electricity, technique."""

from __future__ import annotations

from decimal import Decimal as D

from .variables import Choice, Kind, Level, Use, Variable
from .variables_joint import NOT_WELDER, SPEC, SPEC_OR_PART, YES_NO, _choices
from .variables_navy import NAVY_LINE
from .variables_paper import GAS_PURITY, OF_FILLER, RUN_OUT, TORCH_ANGLE
from .variables_terms import DERIVED_OF_LINE, FILLER_VARIABLES, MEANS

PROCESS, FILLER, GAS, ARC, TECHNIQUE = "Process", "Filler metal", "Gas", "Electrical", "Technique"

GMAW = frozenset({"GMAW"})
WIRE = frozenset({"GMAW", "FCAW"})
GASSED = frozenset({"GMAW", "FCAW", "GTAW"})
FED = frozenset({"GMAW", "FCAW", "SAW"})
SAW = frozenset({"SAW"})
GTAW = frozenset({"GTAW"})
READING = frozenset({Use.TEST, Use.WELDER_TEST, Use.SPEC})
"""Readings swing while a coupon is welded, so a test too may hold a range."""
PULSED = frozenset({"pulsed", "double_pulsed"})
MECHANIZED = frozenset({"machine", "automatic"})

F_NUMBERS = tuple(Choice(k, f"F-{k}") for k in (
    "1", "2", "3", "4", "5", "6", "21", "22", "23", "24", "25", "26", "31", "32", "33", "34", "35", "36", "37",
    "41", "42", "43", "44", "45", "46", "51", "52", "53", "54", "55", "56", "61", "71", "72",
)) + (Choice("unassigned", "No F-Number"),)
A_NUMBERS = tuple(Choice(str(n), f"A-{n}") for n in range(1, 13)) + (Choice("unassigned", "No A-Number"),)


def _line(key: str, label: str, group: str, kind: Kind, **more: object) -> Variable:
    return Variable(key=key, label=label, level=Level.LINE, group=group, kind=kind, **more)  # type: ignore[arg-type]


LINE_VARIABLES: tuple[Variable, ...] = (
    _line("process", "Process", PROCESS, Kind.CHOICE, choices=_choices(
        ("SMAW", "SMAW, covered electrode"), ("GMAW", "GMAW, gas-shielded wire"), ("FCAW", "FCAW, flux-cored wire"),
        ("GTAW", "GTAW, tungsten arc"), ("SAW", "SAW, submerged arc"))),
    _line("operation", "Operation", PROCESS, Kind.CHOICE, many=SPEC, choices=_choices(
        ("manual", "Manual"), ("semiautomatic", "Semiautomatic"), ("machine", "Machine"), ("automatic", "Automatic"))),
    _line("part_of_joint", "Part of the joint", PROCESS, Kind.CHOICE, many=SPEC_OR_PART, uses=NOT_WELDER, choices=_choices(
        ("root", "Root"), ("fill", "Fill and cap"), ("whole", "Whole weld"), ("back", "Back weld"))),
    _line("backing", "Backing", PROCESS, Kind.CHOICE, many=SPEC_OR_PART, choices=_choices(
        ("none", "None: open root"), ("metal", "Metal strip or ring"), ("flux", "Flux or flux-filled strip"), ("weld_metal", "Earlier weld metal"),
        ("base_metal", "Base metal (fillet or partial penetration)"), ("both_sides", "Welded from both sides")),
        help="A pass over earlier weld metal, or the second side of a weld made from both, counts as backed."),
    _line("backing_material", "Backing material", PROCESS, Kind.TEXT, shown_when=("backing", frozenset({"metal"}))),
    _line("transfer_mode", "Transfer mode", PROCESS, Kind.CHOICE, processes=WIRE, many=SPEC_OR_PART, choices=_choices(
        ("short_circuit", "Short-circuiting"), ("globular", "Globular"), ("spray", "Spray"), ("pulsed_spray", "Pulsed spray"))),
    _line("current_programme", "Current programme", PROCESS, Kind.CHOICE, processes=frozenset({"GMAW", "FCAW", "GTAW"}), many=SPEC,
          choices=_choices(("steady", "Steady"), ("pulsed", "Pulsed"), ("double_pulsed", "Double-pulsed")),
          help="Double-pulsed: the pulse train itself swells and sinks a few times a second."),
    _line("pulse_frequency", "Pulse frequency", PROCESS, Kind.NUMBER, dimension="frequency", processes=frozenset({"GMAW", "FCAW", "GTAW"}),
          many=READING, plausible=(D("0.1"), D(20000)), shown_when=("current_programme", PULSED)),
    _line("slow_frequency", "Slow frequency", PROCESS, Kind.NUMBER, dimension="frequency", processes=WIRE, many=READING,
          plausible=(D("0.1"), D(30)), shown_when=("current_programme", frozenset({"double_pulsed"}))),
    _line("low_level", "Low-level percentage", PROCESS, Kind.NUMBER, dimension="percent", processes=WIRE, many=READING,
          plausible=(D(1), D(100)), shown_when=("current_programme", frozenset({"double_pulsed"})),
          help="Level of the low phase as a share of the high phase."),
    _line("pulse_duty", "Duty", PROCESS, Kind.NUMBER, dimension="percent", processes=frozenset({"GMAW", "FCAW", "GTAW"}), many=READING,
          plausible=(D(1), D(99)), shown_when=("current_programme", PULSED), help="Share of each cycle spent at the high level."),

    _line("filler_used", "Filler metal added", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW),
    _line("filler_specification", "Filler specification", FILLER, Kind.TEXT, help="For example SFA-5.10."),
    _line("filler_classification", "Filler classification", FILLER, Kind.FILLER, many=SPEC, help="For example ER5356 or E7018."),
    _line("filler_trade_name", "Trade name", FILLER, Kind.TEXT, uses=NOT_WELDER),
    _line("f_number", "F-Number", FILLER, Kind.CHOICE, choices=F_NUMBERS, many=SPEC, codes=frozenset({"asme", "aws"}),
          help="Follows from the classification when that is in the catalogue."),
    _line("a_number", "A-Number", FILLER, Kind.CHOICE, choices=A_NUMBERS, uses=NOT_WELDER, many=SPEC, codes=frozenset({"asme"}),
          help="Ferrous weld metal only."),
    *FILLER_VARIABLES,
    _line("filler_diameter", "Filler diameter", FILLER, Kind.NUMBER, dimension="length", many=SPEC, plausible=(D("0.3"), D(13)),
          help="For example .035, 3/64 or 1.2 mm."),
    _line("filler_form", "Filler product form", FILLER, Kind.CHOICE, processes=frozenset({"GMAW", "FCAW", "GTAW", "SAW"}), many=SPEC,
          choices=_choices(("solid", "Bare solid"), ("metal_cored", "Metal-cored"), ("flux_cored", "Flux-cored"),
                           ("flux_coated", "Flux-coated"), ("powder", "Powder"))),
    *OF_FILLER,
    _line("consumable_insert", "Consumable insert", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW, many=SPEC),
    _line("supplemental_filler", "Supplemental filler", FILLER, Kind.CHOICE, choices=YES_NO, processes=FED, uses=NOT_WELDER),
    _line("supplemental_ratio", "Supplemental filler by volume", FILLER, Kind.NUMBER, dimension="percent", processes=FED, uses=NOT_WELDER,
          plausible=(D(1), D(100)), shown_when=("supplemental_filler", frozenset({"yes"}))),
    _line("supplemental_alloying", "Alloy content depends on the supplemental filler", FILLER, Kind.CHOICE, choices=YES_NO, processes=FED,
          uses=NOT_WELDER, shown_when=("supplemental_filler", frozenset({"yes"}))),
    _line("supplemental_material", "Supplemental filler material", FILLER, Kind.TEXT, processes=FED, uses=NOT_WELDER,
          shown_when=("supplemental_filler", frozenset({"yes"}))),
    _line("penetration_flux", "Penetration-enhancing flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=GTAW, uses=NOT_WELDER),
    _line("flux_wire_class", "Flux and wire classification", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER,
          help="For example F7A2-EM12K."),
    _line("flux_trade_name", "Flux trade name", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER),
    _line("flux_kind", "Flux type", FILLER, Kind.CHOICE, processes=SAW, uses=NOT_WELDER,
          choices=_choices(("neutral", "Neutral"), ("active", "Active"), ("alloy", "Alloy"))),
    _line("flux_alloying", "Alloy content comes largely from the flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=SAW, uses=NOT_WELDER),
    _line("recrushed_slag", "Recrushed slag as flux", FILLER, Kind.CHOICE, choices=YES_NO, processes=SAW, uses=NOT_WELDER),
    _line("flux_batch", "Batch of recrushed slag", FILLER, Kind.TEXT, processes=SAW, uses=NOT_WELDER,
          shown_when=("recrushed_slag", frozenset({"yes"}))),
    _line("deposit_thickness", "Deposit thickness", FILLER, Kind.NUMBER, dimension="length", many=SPEC_OR_PART, plausible=(D("0.3"), D(500)),
          help="Weld metal this process and filler put into the groove, without reinforcement."),
    _line("max_pass_thickness", "Thickest single pass", FILLER, Kind.NUMBER, dimension="length", uses=NOT_WELDER, plausible=(D("0.3"), D(60))),
    _line("layers", "Layers", FILLER, Kind.NUMBER, dimension="count", uses=frozenset({Use.TEST, Use.WELDER_TEST}), plausible=(D(1), D(500)),
          help="Layers in the deposit of this line."),

    _line("shielding_gas", "Shielding gas", GAS, Kind.GAS, processes=GASSED, many=SPEC, help="For example 100Ar, 75Ar/25CO2 or none."),
    _line("shielding_flow", "Shielding gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, plausible=(D(2), D(60))),
    _line("backing_gas", "Backing gas", GAS, Kind.GAS, processes=GASSED, many=SPEC_OR_PART),
    _line("backing_flow", "Backing gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, uses=NOT_WELDER,
          plausible=(D("0.5"), D(60))),
    _line("trailing_gas", "Trailing gas", GAS, Kind.GAS, processes=GASSED, many=SPEC, uses=NOT_WELDER),
    _line("trailing_flow", "Trailing gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, uses=NOT_WELDER,
          plausible=(D("0.5"), D(60))),
    GAS_PURITY,
    _line("cup_size", "Cup or nozzle bore", GAS, Kind.NUMBER, dimension="length", processes=GASSED, many=SPEC, uses=NOT_WELDER,
          plausible=(D(3), D(40))),

    _line("current_type", "Current and polarity", ARC, Kind.CHOICE, many=SPEC,
          choices=_choices(("DCEP", "DC, electrode positive"), ("DCEN", "DC, electrode negative"), ("AC", "AC"))),
    _line("waveform_controlled", "Waveform-controlled source", ARC, Kind.CHOICE, choices=YES_NO, uses=NOT_WELDER),
    _line("amps", "Current", ARC, Kind.NUMBER, dimension="current", many=READING, plausible=(D(5), D(2000))),
    _line("volts", "Voltage", ARC, Kind.NUMBER, dimension="voltage", many=READING, plausible=(D(5), D(100))),
    _line("voltage_trim", "Voltage trim", ARC, Kind.NUMBER, dimension="number", processes=WIRE, many=READING, uses=NOT_WELDER, zero=True,
          plausible=(D(-100), D(200)), help="As the machine shows it; a plain number."),
    _line("inductance", "Inductance", ARC, Kind.NUMBER, dimension="number", processes=WIRE, many=READING, uses=NOT_WELDER, zero=True,
          plausible=(D(-100), D(200)), help="As the machine shows it; a plain number."),
    _line("wire_feed", "Wire feed speed", ARC, Kind.NUMBER, dimension="wire_feed", processes=FED, many=READING, plausible=(D(200), D(40000))),
    _line("travel_speed", "Travel speed", ARC, Kind.NUMBER, dimension="travel_speed", many=READING, uses=NOT_WELDER, plausible=(D(10), D(5000))),
    _line("heat_input", "Heat input", ARC, Kind.NUMBER, dimension="heat_input", many=READING, uses=NOT_WELDER, plausible=(D("0.1"), D(500)),
          help="By the measure of the code; for a waveform-controlled source from measured energy or power."),
    _line("heat_input_measure", "Heat input measured as", ARC, Kind.CHOICE, uses=NOT_WELDER,
          choices=_choices(("arc", "Volts times amps by travel speed"), ("energy", "Measured energy or power"),
                           ("bead", "Volume of weld metal by length"))),
    _line("bead_length", "Bead length by length of electrode", ARC, Kind.NUMBER, dimension="number", many=READING, uses=NOT_WELDER,
          plausible=(D("0.02"), D(20)), shown_when=("heat_input_measure", frozenset({"bead"})),
          help="How much bead one unit of length of the electrode gives; a shorter bead holds more weld metal."),
    *MEANS,
    _line("tungsten_type", "Tungsten type", ARC, Kind.TEXT, processes=GTAW, uses=NOT_WELDER, help="For example EWLa-1.5."),
    _line("tungsten_diameter", "Tungsten diameter", ARC, Kind.NUMBER, dimension="length", processes=GTAW, many=SPEC, uses=NOT_WELDER,
          plausible=(D("0.2"), D(10))),

    _line("progression", "Vertical progression", TECHNIQUE, Kind.CHOICE, processes=frozenset({"SMAW", "GMAW", "FCAW", "GTAW"}),
          many=frozenset({Use.SPEC, Use.PART, Use.WELDER_TEST}), choices=_choices(("up", "Upward"), ("down", "Downward"))),
    _line("bead", "Bead", TECHNIQUE, Kind.CHOICE, many=SPEC, uses=NOT_WELDER, choices=_choices(("stringer", "Stringer"), ("weave", "Weave"))),
    _line("weave_width", "Weave width, widest", TECHNIQUE, Kind.NUMBER, dimension="length", uses=NOT_WELDER, plausible=(D(1), D(60)),
          shown_when=("bead", frozenset({"weave"}))),
    _line("oscillation", "Oscillation (machine)", TECHNIQUE, Kind.TEXT, processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), uses=NOT_WELDER,
          shown_when=("operation", MECHANIZED)),
    TORCH_ANGLE,
    RUN_OUT,
    _line("cleaning", "Cleaning before and between passes", TECHNIQUE, Kind.TEXT, uses=NOT_WELDER),
    _line("gun", "Gun", TECHNIQUE, Kind.CHOICE, processes=WIRE, many=SPEC, uses=NOT_WELDER,
          choices=_choices(("ordinary", "Ordinary gun"), ("spool", "Spool gun"), ("push_pull", "Push-pull gun"))),
    _line("liner", "Gun liner", TECHNIQUE, Kind.TEXT, processes=WIRE, uses=NOT_WELDER),
    _line("contact_tube_distance", "Contact tube to work", TECHNIQUE, Kind.NUMBER, dimension="length", processes=FED, many=READING,
          uses=NOT_WELDER, plausible=(D(3), D(80))),
    _line("passes_per_side", "Passes per side", TECHNIQUE, Kind.CHOICE, many=SPEC,
          choices=_choices(("single", "Single pass"), ("multiple", "Several passes")),
          help="On a welder's test it matters for machine welding only."),
    _line("visual_control", "Visual control", TECHNIQUE, Kind.CHOICE, shown_when=("operation", MECHANIZED),
          choices=_choices(("direct", "Direct"), ("remote", "Remote, by camera or optics"))),
    _line("arc_voltage_control", "Automatic arc voltage control", TECHNIQUE, Kind.CHOICE, choices=YES_NO, processes=GTAW,
          shown_when=("operation", MECHANIZED)),
    _line("joint_tracking", "Automatic joint tracking", TECHNIQUE, Kind.CHOICE, choices=YES_NO, shown_when=("operation", MECHANIZED)),
    _line("electrodes", "Electrodes in one pool", TECHNIQUE, Kind.CHOICE, processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), many=SPEC,
          uses=NOT_WELDER, choices=_choices(("single", "One"), ("multiple", "More than one"))),
    _line("electrode_spacing", "Electrode spacing", TECHNIQUE, Kind.NUMBER, dimension="length", many=SPEC,
          processes=frozenset({"SAW", "GMAW", "FCAW", "GTAW"}), uses=NOT_WELDER, plausible=(D(1), D(500)),
          shown_when=("electrodes", frozenset({"multiple"}))),
    _line("peening", "Peening", TECHNIQUE, Kind.CHOICE, choices=YES_NO, many=SPEC, uses=NOT_WELDER),
    _line("closed_chamber", "Welded in a closed chamber", TECHNIQUE, Kind.CHOICE, choices=YES_NO, processes=GTAW, uses=NOT_WELDER),
    _line("thermal_preparation", "Edges cut by a thermal process", TECHNIQUE, Kind.CHOICE, choices=YES_NO, uses=NOT_WELDER,
          help="Matters for quenched and tempered steels of P-11A and P-11B."),

    *NAVY_LINE,
    *DERIVED_OF_LINE,
    _line("backed", "Backed", PROCESS, Kind.CHOICE, choices=YES_NO, derived=True),
    _line("root_on_other_test", "Root deposit, joint qualified by another test", PROCESS, Kind.CHOICE, choices=YES_NO, derived=True),
    _line("inert_backing", "Inert backing gas", GAS, Kind.CHOICE, choices=YES_NO, derived=True),
    _line("inert_trailing", "Inert trailing gas", GAS, Kind.CHOICE, choices=YES_NO, derived=True),
    _line("flux_wire_strength", "Strength designator of flux and wire", FILLER, Kind.CHOICE, derived=True),
)
