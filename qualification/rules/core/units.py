"""The units the trade writes, by dimension, and the canonical unit each dimension is held in.

The canonical unit of a dimension is the one into which every unit we accept converts to a terminating
decimal, so that a value standing exactly on a limit compares as equal whichever unit it was written in:
1 °C is 1.8 °F exactly while 1 °F is 0.555... °C, so temperatures are held in °F; 1 kJ/mm is 25.4 kJ/in
exactly, so heat input is held in kJ/in. Lengths are held in mm, speeds in mm/min, flows in L/min.
Stress has no such unit; it is held in MPa rounded to six places and only ever compared with a limit given in
the unit the test was measured in. Of flows only m³/h does not end in L/min (`endless`).
"""

from __future__ import annotations

from dataclasses import dataclass

US, SI = "us", "si"
"""The two unit systems a record can be kept in; a code gives its limits in both, rounded apart."""


@dataclass(frozen=True)
class Unit:
    symbol: str
    """As printed."""
    pint_name: str
    spellings: tuple[str, ...]
    """Ways the trade writes it, lower case."""
    endless: bool = False
    """True where its size in the canonical unit has no last digit; it is rounded far behind any that is
    written."""


@dataclass(frozen=True)
class Dimension:
    key: str
    canonical: Unit
    us: Unit
    si: Unit
    more: tuple[Unit, ...] = ()
    signed: bool = False
    places_us: int = 4
    places_si: int = 2

    @property
    def units(self) -> tuple[Unit, ...]:
        seen: dict[str, Unit] = {}
        for unit in (self.us, self.si, self.canonical, *self.more):
            seen.setdefault(unit.symbol, unit)
        return tuple(seen.values())

    def unit_for(self, system: str) -> Unit:
        return self.us if system == US else self.si


_MM = Unit("mm", "millimeter", ("mm", "millimeter", "millimeters", "millimetre", "millimetres"))
_IN = Unit("in", "inch", ("in", "in.", "inch", "inches", '"', "″", "”"))
_CM = Unit("cm", "centimeter", ("cm",))
_M = Unit("m", "meter", ("m",))
_FT = Unit("ft", "foot", ("ft", "'", "feet", "foot"))
_F = Unit("°F", "degF", ("f", "°f", "° f", "degf", "deg f"))
_C = Unit("°C", "degC", ("c", "°c", "° c", "degc", "deg c"))
_DF = Unit("°F", "delta_degF", ("f", "°f", "° f", "degf", "deg f"))
_DC = Unit("°C", "delta_degC", ("c", "°c", "° c", "degc", "deg c"))
_IPM = Unit(
    "in/min",
    "inch / minute",
    (
        "in/min",
        "ipm",
        "inch/min",
        "in./min",
        "in./min.",
        "in/min.",
        "in. /min",
        "inches/min",
        "in per min",
        "in. per min.",
        "in per minute",
        "inches per minute",
        '"/min',
        '"/min.',
        '" per min',
        "i.p.m.",
    ),
)
_MMPM = Unit("mm/min", "millimeter / minute", ("mm/min", "mm/min.", "mmpm", "mm/mn", "mm per minute"))
_MPM = Unit(
    "m/min", "meter / minute", ("m/min", "m/min.", "mpm", "m/mn", "meters per minute", "metres per minute")
)
_CMPM = Unit("cm/min", "centimeter / minute", ("cm/min", "cm/min.", "cpm", "cm/mn", "cm per minute"))
_MMPS = Unit("mm/s", "millimeter / second", ("mm/s", "mm/sec"))
_CFH = Unit(
    "cfh",
    "foot ** 3 / hour",
    (
        "cfh",
        "ft3/h",
        "ft³/h",
        "ft3/hr",
        "ft³/hr",
        "scfh",
        "ft^3/h",
        "ft^3/hr",
        "cf/h",
        "cf/hr",
        "cu ft/hr",
        "cu ft/h",
        "cu. ft./hr",
        "cu.ft/hr",
        "c.f.h.",
        "ft3 / hr",
        "ft3 per hour",
        "cubic feet per hour",
        "cubic feet/hour",
        "cu ft per hour",
        "cu. ft. per hr.",
        "cf per hour",
    ),
)
_LPM = Unit(
    "L/min",
    "liter / minute",
    (
        "l/min",
        "l/min.",
        "lpm",
        "litre/min",
        "liter/min",
        "liters/min",
        "litres/min",
        "lit/min",
        "ltr/min",
        "lt/min",
        "l/m",
        "dm3/min",
        "l/mn",
        "ltrs/min",
        "ltr./min",
        "ltrs./min",
        "l per min",
        "l per minute",
        "liters per minute",
        "litres per minute",
        "liter per minute",
        "liters/minute",
        "litres/minute",
        "l/minute",
    ),
)
_M3PH = Unit(
    "m³/h",
    "meter ** 3 / hour",
    ("m3/h", "m³/h", "m^3/h", "m3/hr", "m³/hr", "m^3/hr", "m3/hour", "m³/hour", "nm3/h", "cbm/h"),
    endless=True,
)
_A = Unit("A", "ampere", ("a", "amp", "amp.", "amps", "amps.", "ampere", "amperes"))
_V = Unit("V", "volt", ("v", "volt", "volts", "volts."))
_HZ = Unit("Hz", "hertz", ("hz", "pps"))
_PCT = Unit("%", "percent", ("%", "percent", "pct"))
_DEG = Unit("°", "degree", ("°", "deg", "deg.", "degree", "degrees"))
_S = Unit("s", "second", ("s", "sec", "second", "seconds"))
_MIN = Unit("min", "minute", ("min", "mins", "minute", "minutes"))
_H = Unit("h", "hour", ("h", "hr", "hr.", "hrs", "hrs.", "hour", "hours"))
_KJIN = Unit("kJ/in", "kilojoule / inch", ("kj/in", "kj/in.", "kj/inch", "kj per inch", "kj per in"))
_JIN = Unit("J/in", "joule / inch", ("j/in", "j/in.", "j/inch", "joules/in", "joules/in.", "joules/inch"))
_KJMM = Unit("kJ/mm", "kilojoule / millimeter", ("kj/mm", "kj / mm", "kj per mm"))
_KJCM = Unit("kJ/cm", "kilojoule / centimeter", ("kj/cm", "kj per cm"))
_JMM = Unit("J/mm", "joule / millimeter", ("j/mm",))
_LBF = Unit("lbf", "pound_force", ("lbf", "lb", "lbs", "pound", "pounds"))
_N = Unit("N", "newton", ("n", "newton", "newtons"))
_KN = Unit("kN", "kilonewton", ("kn",))
_PSI = Unit("psi", "pound_force_per_square_inch", ("psi",))
_KSI = Unit("ksi", "kilopound_force_per_square_inch", ("ksi",))
_MPA = Unit("MPa", "megapascal", ("mpa", "n/mm2", "n/mm²"))
_ONE = Unit("", "dimensionless", ("",))
_FTLB = Unit(
    "ft·lbf", "foot * pound_force", ("ft-lb", "ft·lbf", "ft-lbf", "ft·lb", "ftlb", "ft lb", "ft lbf")
)
_J = Unit("J", "joule", ("j", "joule", "joules"))
_MM2 = Unit("mm²", "millimeter ** 2", ("mm²", "mm2", "mm^2", "sq mm"))
_IN2 = Unit("in²", "inch ** 2", ("in²", "in2", "in^2", "sq in"))
DIMENSIONS: dict[str, Dimension] = {
    d.key: d
    for d in (
        Dimension("length", _MM, _IN, _MM, (_CM, _M, _FT), places_us=4, places_si=2),
        Dimension("area", _MM2, _IN2, _MM2, places_us=4, places_si=1),
        Dimension("temperature", _F, _F, _C, signed=True, places_us=0, places_si=0),
        Dimension("temperature_difference", _DF, _DF, _DC, places_us=0, places_si=0),
        Dimension("travel_speed", _MMPM, _IPM, _MMPM, (_CMPM, _MMPS, _MPM), places_us=1, places_si=0),
        Dimension("wire_feed", _MMPM, _IPM, _MPM, (_MMPM, _CMPM), places_us=0, places_si=2),
        Dimension("flow", _LPM, _CFH, _LPM, (_M3PH,), places_us=0, places_si=1),
        Dimension("current", _A, _A, _A, places_us=0, places_si=0),
        Dimension("voltage", _V, _V, _V, signed=True, places_us=1, places_si=1),
        Dimension("frequency", _HZ, _HZ, _HZ, places_us=1, places_si=1),
        Dimension("percent", _PCT, _PCT, _PCT, signed=True, places_us=1, places_si=1),
        Dimension("angle", _DEG, _DEG, _DEG, places_us=1, places_si=1),
        Dimension("time", _S, _MIN, _MIN, (_H, _S), places_us=1, places_si=1),
        Dimension("duration", _S, _S, _S, (_MIN,), places_us=1, places_si=1),
        Dimension("heat_input", _KJIN, _KJIN, _KJMM, (_JIN, _JMM, _KJCM), places_us=1, places_si=2),
        Dimension("force", _N, _LBF, _KN, (_N,), places_us=0, places_si=2),
        Dimension("stress", _MPA, _PSI, _MPA, (_KSI,), places_us=0, places_si=1),
        Dimension("impact_energy", _J, _FTLB, _J, places_us=0, places_si=0),
        Dimension("count", _ONE, _ONE, _ONE, places_us=0, places_si=0),
        Dimension("number", _ONE, _ONE, _ONE, signed=True, places_us=2, places_si=2),
    )
}
