"""Variables of one process line: gas and electricity."""

from __future__ import annotations

from decimal import Decimal as D

from .variables import Kind, Variable
from .variables_common import (
    ARC,
    FED,
    GAS,
    GASSED,
    GTAW,
    READING,
    WIRE,
    line,
)
from .variables_joint import NOT_WELDER, SPEC, SPEC_OR_PART, YES_NO, _choices
from .variables_paper import GAS_PURITY
from .variables_terms import MEANS

ARC_OF_LINE: tuple[Variable, ...] = (
    line("shielding_gas", "Shielding gas", GAS, Kind.GAS, processes=GASSED, many=SPEC, help="For example 100Ar, 75Ar/25CO2 or none."),
    line("shielding_flow", "Shielding gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, plausible=(D(2), D(60))),
    line("backing_gas", "Backing gas", GAS, Kind.GAS, processes=GASSED, many=SPEC_OR_PART),
    line("backing_flow", "Backing gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, uses=NOT_WELDER,
          plausible=(D("0.5"), D(60))),
    line("trailing_gas", "Trailing gas", GAS, Kind.GAS, processes=GASSED, many=SPEC, uses=NOT_WELDER),
    line("trailing_flow", "Trailing gas flow", GAS, Kind.NUMBER, dimension="flow", processes=GASSED, many=READING, uses=NOT_WELDER,
          plausible=(D("0.5"), D(60))),
    GAS_PURITY,
    line("cup_size", "Cup or nozzle bore", GAS, Kind.NUMBER, dimension="length", processes=GASSED, many=SPEC, uses=NOT_WELDER,
          plausible=(D(3), D(40))),

    line("current_type", "Current and polarity", ARC, Kind.CHOICE, many=SPEC,
          choices=_choices(("DCEP", "DC, electrode positive"), ("DCEN", "DC, electrode negative"), ("AC", "AC"))),
    line("waveform_controlled", "Waveform-controlled source", ARC, Kind.CHOICE, choices=YES_NO, uses=NOT_WELDER),
    line("amps", "Current", ARC, Kind.NUMBER, dimension="current", many=READING, plausible=(D(5), D(2000))),
    line("volts", "Voltage", ARC, Kind.NUMBER, dimension="voltage", many=READING, plausible=(D(5), D(100))),
    line("voltage_trim", "Voltage trim", ARC, Kind.NUMBER, dimension="number", processes=WIRE, many=READING, uses=NOT_WELDER, zero=True,
          plausible=(D(-100), D(200)), help="As the machine shows it; a plain number."),
    line("inductance", "Inductance", ARC, Kind.NUMBER, dimension="number", processes=WIRE, many=READING, uses=NOT_WELDER, zero=True,
          plausible=(D(-100), D(200)), help="As the machine shows it; a plain number."),
    line("wire_feed", "Wire feed speed", ARC, Kind.NUMBER, dimension="wire_feed", processes=FED, many=READING, plausible=(D(200), D(40000))),
    line("travel_speed", "Travel speed", ARC, Kind.NUMBER, dimension="travel_speed", many=READING, uses=NOT_WELDER, plausible=(D(10), D(5000))),
    line("heat_input", "Heat input", ARC, Kind.NUMBER, dimension="heat_input", many=READING, uses=NOT_WELDER, plausible=(D("0.1"), D(500)),
          help="By the measure of the code; for a waveform-controlled source from measured energy or power."),
    line("heat_input_measure", "Heat input measured as", ARC, Kind.CHOICE, uses=NOT_WELDER,
          choices=_choices(("arc", "Volts times amps by travel speed"), ("energy", "Measured energy or power"),
                           ("bead", "Volume of weld metal by length"))),
    line("bead_length", "Bead length by length of electrode", ARC, Kind.NUMBER, dimension="number", many=READING, uses=NOT_WELDER,
          plausible=(D("0.02"), D(20)), shown_when=("heat_input_measure", frozenset({"bead"})),
          help="How much bead one unit of length of the electrode gives; a shorter bead holds more weld metal."),
    *MEANS,
    line("tungsten_type", "Tungsten type", ARC, Kind.TEXT, processes=GTAW, uses=NOT_WELDER, help="For example EWLa-1.5."),
    line("tungsten_diameter", "Tungsten diameter", ARC, Kind.NUMBER, dimension="length", processes=GTAW, many=SPEC, uses=NOT_WELDER,
          plausible=(D("0.2"), D(10))),
)
