"""Variables of one process line: gas and electricity."""

from __future__ import annotations

from .common import (
    ARC,
    FED,
    GAS,
    GASSED,
    GTAW,
    NOT_WELDER,
    READING,
    SPEC,
    SPEC_OR_PART,
    WIRE,
    when,
)
from .definition import ValueKind, Variable
from .iso import MEANS
from .paper import GAS_PURITY

GASES = GAS.but(processes=GASSED)
SETTING, POWER = ARC.but(many=READING), ARC.but(uses=NOT_WELDER)
WELD = POWER.but(many=READING)
ARC_OF_LINE: tuple[Variable, ...] = (
    GASES.entry(
        ValueKind.GAS,
        "shielding_gas",
        "Shielding gas",
        many=SPEC,
        help="For example 100Ar, 75Ar/25CO2 or none.",
    ),
    GASES.number("shielding_flow", "Shielding gas flow", "flow", 2, 60, many=READING),
    GASES.entry(ValueKind.GAS, "backing_gas", "Backing gas", many=SPEC_OR_PART),
    GASES.number("backing_flow", "Backing gas flow", "flow", "0.5", 60, many=READING, uses=NOT_WELDER),
    GASES.entry(ValueKind.GAS, "trailing_gas", "Trailing gas", many=SPEC, uses=NOT_WELDER),
    GASES.number("trailing_flow", "Trailing gas flow", "flow", "0.5", 60, many=READING, uses=NOT_WELDER),
    GAS_PURITY,
    GASES.number("cup_size", "Cup or nozzle bore", "length", 3, 40, many=SPEC, uses=NOT_WELDER),
    ARC.choice(
        "current_type",
        "Current and polarity",
        {"DCEP": "DC, electrode positive", "DCEN": "DC, electrode negative", "AC": "AC"},
        many=SPEC,
    ),
    POWER.yes_no("waveform_controlled", "Waveform-controlled source"),
    SETTING.number("amps", "Current", "current", 5, 2000),
    SETTING.number("volts", "Voltage", "voltage", 5, 100),
    ARC.text(
        "settings_by_size",
        "Settings by electrode size",
        "Where several sizes of electrode are used, a row for each, in place of the fields above.",
        uses=READING,
    ),
    WELD.number(
        "voltage_trim",
        "Voltage trim",
        "number",
        -100,
        200,
        processes=WIRE,
        zero=True,
        help="As the machine shows it; a plain number.",
    ),
    WELD.number(
        "inductance",
        "Inductance",
        "number",
        -100,
        200,
        processes=WIRE,
        zero=True,
        help="As the machine shows it; a plain number.",
    ),
    SETTING.number("wire_feed", "Wire feed speed", "wire_feed", 200, 40000, processes=FED),
    WELD.number("travel_speed", "Travel speed", "travel_speed", 10, 5000),
    WELD.number(
        "heat_input",
        "Heat input",
        "heat_input",
        "0.1",
        500,
        help="By the measure of the code; for a waveform-controlled source from measured energy or power.",
    ),
    POWER.choice(
        "heat_input_measure",
        "Heat input measured as",
        {
            "arc": "Volts times amps by travel speed",
            "energy": "Measured energy or power",
            "bead": "Volume of weld metal by length",
        },
    ),
    WELD.number(
        "bead_length",
        "Bead length by length of electrode",
        "number",
        "0.02",
        20,
        shown_when=when("heat_input_measure", "bead"),
        help="How much bead one unit of length of the electrode gives; a shorter bead holds more weld metal.",
    ),
    *MEANS,
    POWER.text("tungsten_type", "Tungsten type", "For example EWLa-1.5.", processes=GTAW),
    POWER.number("tungsten_diameter", "Tungsten diameter", "length", "0.2", 10, processes=GTAW, many=SPEC),
)
