"""Numbers as records of the trade write them, put into the few forms that `notation.py` reads.

`3/16 thru 3/4`, `3 ≤ t ≤ 24`, `1/8 +1/16 -0`, `2.5/3.2/4.0`, `Ø 1.2`, `24 VDC`, `10 mm nominal`, `78,400 psi`
say nothing that `3/16 to 3/4` and so on do not. No number is changed here but two bevel angles, which are
summed, and nothing is guessed: what is not recognized stays as it is and is refused where it is read.
"""

from __future__ import annotations

import re
from decimal import Decimal

from ..core.units import US

STATED_WORDS = frozenset(
    {
        "ambient", "ambient temperature", "ambient temp", "ambient temp.", "amb", "amb.", "room temperature",
        "room temp", "room temp.", "rt", "shop temperature",
        "as required", "as req'd", "as reqd", "as req.", "as needed", "as necessary", "as applicable",
        "by the drawing", "by drawing", "as drawn", "as shown", "as set", "machine set", "preset", "varies",
        "variable", "various", "by the sketch",
        "none required", "none req'd", "none reqd", "not required", "not req'd", "not reqd",
        "no requirement", "none specified", "not specified",
        "not stated", "not recorded", "not measured", "not given", "n/r", "nr", "nil", "none", "no",
        "-", "--", "---", "–", "—", "tbd",
    }
)  # fmt: skip
"""Words that state something and no number."""
REMARKS = frozenset(
    {"tight", "tight fit", "closed", "meter", "by meter", "measured", "actual", "as measured", "machine",
     "display", "set", "average", "mean", "both sides", "each side", "included", "included angle", "tapered",
     "typical", "typ.", "typ", "max. meter reading", "per side"}
)  # fmt: skip
"""Words in brackets behind a number that say how it came about."""
_BY_REFERENCE = re.compile(
    r"(?:as )?(?:per|see|acc\.? to|according to|in accordance with|iaw|refer to|ref\.?) \D.{0,80}", re.I
)
_PER_THICKNESS = re.compile(r"\D{0,12}\d[^/]{0,12}(?:/|per) ?(?:in\b|inch|25|mm).{0,60}", re.I)
"""A time that goes by the thickness: `1 h/in`."""
_BY_DIAMETER = re.compile(
    r"(?:max(?:imum|\.)? |up to |≤ ?)?\d(?:[.,]\d)? ?(?:x|×|times) ?(?:of )?(?:the )?(?:core )?"
    r"(?:(?:electrode|wire|rod|filler|core|tungsten)(?:(?: core)?(?: wire)? dia\b\.?"
    r"|(?: core)?(?: wire)? diameter| core)?|dia\b\.?|diameter|ø)"
    r"(?: ?max(?:imum|\.)?)?",
    re.I,
)
"""A width that goes by the electrode: `3 x dia max`."""
_NO_GAP = frozenset(
    {"none", "nil", "no gap", "closed", "tight", "tight fit", "tight fit-up", "metal to metal", "knife edge",
     "knife-edge", "feather edge", "feather-edge", "sharp"}
)  # fmt: skip
"""How a root opening or root face of nothing is written."""

_NUM = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_U = r"(?:\"|in\.?|inch|mm|°[FC]?|deg\.?|[AVFC%])"
_SIZE = rf"{_NUM}(?: ?{_U})?"
_NOT_LIMITED = r"(?:unlimited|no limit|∞|and up|any)"

_TYPOGRAPHY = (
    (re.compile(r"(?<=\d) ?(?:''|’’|´´|‘‘|“|„|'’)"), '"'),
    (re.compile(r"[ø⌀φ∅]"), "Ø"),
    (re.compile(r"(?<=\d)\s*˚"), " °"),
    (re.compile(r"(?<=\d) ?(?:degrees?|deg\.?) ?(?=(?:F|C|Fahrenheit|Celsius)\b)", re.I), " °"),
    (re.compile(r"(?<=[\d°]) ?(F)ahrenheit\b|(?<=[\d°]) ?(C)(?:elsius|entigrade)\b", re.I), r" °\1\2"),
    (re.compile(r"°\s*°"), "°"),
    (re.compile(r"(?<=[\d\"]) ?(?:leg|legs|leg size)$", re.I), ""),
    (re.compile(r" \((?:GTAW|SMAW|GMAW|FCAW|SAW)\)$", re.I), ""),
    (re.compile(r"\bdeg\. ?(?=[FC]\b)", re.I), "deg "),
    (re.compile(r"(?<=\d) ?deg\.(?=$|[ ,)])", re.I), " deg"),
    (re.compile(r"(?<=[A-Za-z\"]) / (?=[A-Za-z])"), "/"),
    (re.compile(r"(\d) ?\"( ?(?:-|–|to) ?[\d.]+) ?\" ?(?:per|/) ?min(?:ute|\.)?", re.I), r"\1\2 in/min"),
    (re.compile(r"(\bh|hr|hrs|hours?|minutes?)\.? min\.?$", re.I), r"\1 minimum"),
    (re.compile(r"\b(?:thru|through|until)\b", re.I), "to"),
    (re.compile(r"(?<=\d) ?\bto(?=\d)|(?<=\d)to (?=\d)", re.I), " to "),
    (re.compile(r"^between (?=\S+ and [^ ]+$)(\S+) and ", re.I), r"\1 to "),
    (re.compile(r" ?… ?"), " to "),
    (re.compile(r"^(NPS ?[\d /.-]*?\d) ?/ ?(DN ?\d+)$", re.I), r"\1 (\2)"),
    (re.compile(r" incl(?:usive|\.)?(?= to\b|$)", re.I), ""),
    (re.compile(r"^(min|max)(?:imum|\.)? ?[,:] ?", re.I), r"\1 "),
    (re.compile(r"(?<=[\w\"″%°.]) ?[÷~] ?(?=[\d.,])"), " to "),
    (re.compile(r" ?& ?(?=up\b|over\b|under\b|above\b|below\b)", re.I), " and "),
    (re.compile(r"\((±[^()]+)\)"), r"\1"),
    (re.compile(r"\band (?:greater|larger|higher|heavier)\b", re.I), "and over"),
)
_LETTER = re.compile(
    r"^(?:(?:t|s|b|c|d|a|h|i|u|r|v|α|β|dia|diameter|thk|thickness|gap|current|voltage|wfs|amps?|volts?)\.?"
    r" ?(?:[=:] ?|(?=[<>≤≥⩽⩾]))|wfs (?=\d))",
    re.I,
)
_UNIT_FIRST = re.compile(
    r"^(?P<unit>s?cfh|l/min|lpm|ipm|in/min|mm/min|amps?|volts?) ?[:=] ?(?P<rest>\d.*)$", re.I
)
"""A unit that heads the number: `CFH: 15-25`."""
_USUAL = re.compile(
    r"(?P<span>\d[^,;()]*+)(?:, ?|\()(?P<word>avg|average|mean|typ|typical|optimum|target)?\.? ?"
    r"(?P<usual>\d{1,5}(?:[.,]\d{1,3})?+ ?(?:A|V|cfh|ipm)?)"
    r" ?(?(word)|(?:avg|average|mean|typ|typical|optimum|target)\b\.?)"
    r"\)?",
    re.I,
)
"""A span and the value usual in it: `22-24 (avg 23)`, `25-50 cfh, 30 typical`."""
_TWO_LETTERS = re.compile(r"^D ?[=:].*[ts] ?[=:]", re.I)
"""Diameter and wall of a pipe side by side."""
_LENGTH_SIGN = re.compile(r"^(?:(?:thk|dia)\.? ?|[tsaz] ?)(?=[\d.])", re.I)
_ABOUT = re.compile(
    r"^(?:approx(?:imately|\.)?|about|circa|ca\.?|nominal|nom\.?|average|avg\.?|~) ?(?=[\d.,])", re.I
)
_BEHIND = re.compile(
    r"(?<![ ,])[ ,]++\(?(?:nominal|nom\.?|approx\.?|average|avg\.?|thick|thk\.?|plate|pl|sheet|dia\.?"
    r"|included(?: angle)?"
    r"|incl\.?)\)?$",
    re.I,
)  # fmt: skip
_BETWEEN = re.compile(
    rf"(?P<low>{_SIZE}) ?(?P<one><|≤|⩽|<=|=<) ?[A-Za-z] ?(?P<two><|≤|⩽|<=|=<) ?(?P<high>{_SIZE})"
)
_TURNED = re.compile(rf"(?P<low>{_SIZE}) ?(?:≤|⩽|<=|=<) ?[A-Za-z]")
_TWO_BOUNDS = (
    re.compile(
        rf"(?:≥|⩾|>=|min(?:imum|\.)?:?) ?(?P<low>{_SIZE}) ?(?:,|;|/|-|–|to|and|&)? ?"
        rf"(?:≤|⩽|<=|max(?:imum|\.)?:?) ?(?P<high>{_SIZE})",
        re.I,
    ),
    re.compile(
        rf"(?<!\d)(?P<low>{_SIZE}) ?min(?:imum|\.)? ?(?:,|;|/|-|–|to|and|&)?"
        rf" ?(?P<high>{_SIZE}) ?max(?:imum|\.)?",
        re.I,
    ),
    re.compile(rf"(?<!\d)(?P<low>{_SIZE}) ?(?:-|–|to) ?(?P<high>{_SIZE}),? ?max(?:imum|\.)?", re.I),
    re.compile(rf"(?:≥|⩾|>=) ?(?P<low>{_SIZE}) to (?P<high>{_SIZE})", re.I),
    re.compile(rf"(?<!\d)(?P<low>{_SIZE}) ?(?:-|–|to) ?(?:≤|⩽|<=) ?(?P<high>{_SIZE})", re.I),
)
_OPEN_ABOVE = re.compile(rf"(?=.*\d)(?P<low>.*?) ?(?:to|-|–|—) ?{_NOT_LIMITED}", re.I)
_ALL_OF = re.compile(r"(?:all|any) (?:thickness(?:es)?|diameters?|sizes?|dia\.?)", re.I)
_TWO_PAIRS = re.compile(
    r"(?P<a>[^()]+?) ?\((?P<x>[^()]+)\) ?(?:to|and|-|–|&|,) ?(?P<b>[^()]+?) ?\((?P<y>[^()]+)\)", re.I
)
_PAIR_BOUND = re.compile(
    r"(?P<a>[^()]+?) ?\((?P<x>[^()]+)\) ?,? ?(?P<word>min(?:imum|\.)?|max(?:imum|\.)?|and (?:over|up|under))",
    re.I,
)
_WORD_AND_NUMBER = re.compile(
    r"(?P<word>ambient(?: temp(?:erature|\.)?)?|room temp(?:erature|\.)?|rt|amb\.?)(?: ?[,:/=] ?| )"
    r"(?P<number>[^()]*\d[^()]*)",
    re.I,
)
_UNEQUAL = re.compile(
    rf"(?P<middle>{_SIZE}),? ?\(?\+ ?(?P<up>{_SIZE}) ?[,/]? ?[-−–] ?(?P<down>{_SIZE})\)?", re.I
)
_ONLY_MORE = re.compile(rf"(?P<middle>{_SIZE}) ?\+ ?(?P<up>{_SIZE})", re.I)
_TWICE = re.compile(
    rf"(?:2 ?[x×] ?(?P<one>{_NUM}) ?°?|"
    rf"(?P<four>{_NUM}) ?°? ?(?:[x×] ?2|/ ?side|per side)|"
    rf"(?P<two>{_NUM}) ?°? ?\+ ?(?P<three>{_NUM}) ?°?)"
)
_LENGTH_OF_ROD = re.compile(
    rf"(?P<size>{_NUM}) ?(?P<unit>{_U})? ?[x×] ?\d+(?:\.\d+)? ?(?P<last>\"|in\.?|mm)?", re.I
)
_DECIMALS = re.compile(r"(?:\d*[.,]\d+|\d+)(?: ?/ ?(?:\d*[.,]\d+|\d+))+(?= ?[A-Za-z\"°]*$)")
_POLARITY = re.compile(
    r"(?<![ ,(])[ ,(]++(?:DC ?EP|DC ?EN|DCRP|DCSP|DC ?[-+]?|AC)\)?$|(?<=A)(?: ?DC ?[-+]?| ?AC)$"
    r"|^(?:DC ?EP|DC ?EN|DCRP|DCSP|DC|AC)[ :,]+(?=\d)|(?<=\d) ?\([-+]\)$",
    re.I,
)
_DIRECT = re.compile(r"(?<=\d) ?V(?:olts?)? ?(?:DC|AC)\b|(?<=\d) (?:DC|AC)$", re.I)
_THOUSANDS = re.compile(r"(?<![\d.,])(\d{1,3})((?:,\d{3})+)(?![\d,])")
_WIRE_WITHOUT_POINT = re.compile(r"0(?:23|24|30|35|40|45|47|52|62|63|72|78|93|94)")
"""Wires whose point is left out: `035`, `045`."""
_THOUSANDS_APART = re.compile(r"(?<![\d.,])(\d{1,3})((?: \d{3})+)(?![\d,.])")
_US_UNIT = re.compile(r"\d ?(?:psi|lbf?|lbs|pounds|j/in|joules)", re.I)
_OF_WHAT = re.compile(r"(?<=[A-Za-z]) (?:of )?(?:argon|helium|ar|he|co2|n2)$", re.I)
_OF_PASSES = re.compile(r" ?\((?:root|hot|fill|cap|cover|hot pass|root pass|fill passes|fill & cap)\)", re.I)
_OF_A_THING = frozenset({"filler_diameter", "tungsten_diameter", "cup_size"})
_CUP = re.compile(
    r"(?P<sign>#|nr?o?\.? ?|cup ?#?)? ?(?P<low>\d{1,2})(?:(?: ?(?:-|–|to) ?)#?(?P<high>\d{1,2}))?(?: cup)?",
    re.I,
)
_TUNGSTEN = re.compile(
    r"\bEW[A-Za-z]*(?:-[\d.]+)?|\b\d(?:\.\d)? ?% ?(?:Th|La|Ce|Zr)\b\.?|\(pure\)"
    r"|\bW[A-Z][a-z]?(?: ?\d{2})?\b|\b\d(?:\.\d)? ?% ?[a-z]*ated\b|\b[a-z]+ated\b"
    r"|\btungsten\b|\((?:AWS |SFA|A5)[^()]*\)|\((?:tapered|pointed|ground|balled)\)",
    re.I,
)
_HOURS_MINUTES = re.compile(
    r"(?P<hours>\d{1,2}) ?h(?:ou)?r?s?\.? ?(?:and )?(?P<minutes>\d{1,2}) ?min(?:utes)?\.?", re.I
)
_NEVER_FRACTIONS = frozenset({"current", "voltage", "temperature", "flow"})
"""Dimensions in which nobody writes a fraction, so that a slash stands between two values."""


def says_no_number(text: str, dimension: str, may_be_zero: bool = False) -> bool:
    """True for words, or a reference to another paper, in place of a number."""
    low = text.strip().lower()
    if may_be_zero and dimension == "length" and low in _NO_GAP:
        return False
    return (
        low in STATED_WORDS
        or bool(_BY_REFERENCE.fullmatch(low))
        or (dimension in ("time", "duration") and bool(_PER_THICKNESS.fullmatch(low)))
        or (dimension == "length" and bool(_BY_DIAMETER.fullmatch(low)))
    )


def plainly_written(
    text: str, dimension: str, system: str, *, may_be_zero: bool = False, thing: str = ""
) -> str:
    """The text in the forms `notation.py` reads. `may_be_zero` for openings and root faces, `thing` for
    fields with ways of their own: the diameter of a filler or tungsten, the bore of a cup."""
    said = " ".join(text.split())
    for pattern, plain in _TYPOGRAPHY:
        said = pattern.sub(plain, said)
    if may_be_zero and dimension == "length" and said.lower() in _NO_GAP:
        return "0"
    if dimension in _NEVER_FRACTIONS or dimension in ("wire_feed", "travel_speed"):
        said = _OF_PASSES.sub("", said)
    if not _TWO_LETTERS.match(said):
        said = _LETTER.sub("", said)
    if match := _UNIT_FIRST.fullmatch(said):
        said = f"{match['rest']} {match['unit']}"
    if (match := _USUAL.fullmatch(said)) and re.search(r"\d\D*(?:-|–|to)", match["span"]):
        said = match["span"].strip()
    said = _BEHIND.sub("", _ABOUT.sub("", said)).strip()
    said = _of_dimension(said, dimension, system, thing)
    said = _bounds(said)
    return _tolerance(said, dimension, may_be_zero)


def _of_dimension(said: str, dimension: str, system: str, thing: str) -> str:
    if dimension == "length":
        said = _LENGTH_SIGN.sub("", said)
        if thing in _OF_A_THING:
            said = said.removeprefix("Ø").removesuffix("Ø").removesuffix(" wire").strip()
            if system == US and thing == "filler_diameter" and _WIRE_WITHOUT_POINT.fullmatch(said):
                said = f".{said}"
        if thing == "cup_size":
            return _cup(said)
        if thing == "tungsten_diameter":
            said = _TUNGSTEN.sub("", said).replace("()", "").strip(" ,")
        if thing == "filler_diameter" and (match := _LENGTH_OF_ROD.fullmatch(said)):
            return f"{match['size']} {match['unit'] or match['last'] or ''}".strip()
    elif dimension == "current":
        said = _POLARITY.sub("", said)
    elif dimension == "voltage":
        said = _DIRECT.sub(" V", said)
    elif dimension == "angle":
        if match := _TWICE.fullmatch(said):
            one, two, three = match["one"] or match["four"], match["two"], match["three"]
            if (one or two == three) and "/" not in (one or two):
                return f"{2 * Decimal((one or two).replace(',', '.'))}"
    elif dimension in ("stress", "force", "heat_input"):
        bare = system == US and dimension != "heat_input" and bool(re.fullmatch(r"[\d,.]+", said))
        said = _THOUSANDS_APART.sub(lambda match: match[0].replace(" ", ""), said)
        if bare or _US_UNIT.search(said):
            said = _THOUSANDS.sub(lambda match: match[0].replace(",", ""), said)
    elif dimension == "flow":
        said = _OF_WHAT.sub("", said)
    elif dimension in ("time", "duration") and (match := _HOURS_MINUTES.fullmatch(said)):
        return f"{int(match['hours']) * 60 + int(match['minutes'])} min"
    return _several(said, dimension)


def _cup(said: str) -> str:
    """Cups are numbered by their bore in sixteenths of an inch (common practice). A number alone may be that
    or a bore in millimeters, and is left to be asked about."""
    if beside := re.fullmatch(r"(#?\d{1,2}) ?(\(.+\))", said):
        return f"{_cup(beside[1])} {beside[2]}"
    match = _CUP.fullmatch(said)
    if not match or not match["sign"]:
        return said
    numbers = [match["low"], *([match["high"]] if match["high"] else [])]
    return " to ".join(f"{number}/16" for number in numbers) + " in"


def _several(said: str, dimension: str) -> str:
    """Several values between slashes or semicolons, as several between commas."""
    said = re.sub(r"(?<=[\d\"]) ?; ?(?=[\d.])", ", ", said)
    match = _DECIMALS.match(said)
    if not match:
        return said
    parts = re.split(r" ?/ ?", match[0])
    is_list = dimension in _NEVER_FRACTIONS or (
        dimension == "length"
        and all(re.search(r"[.,]", part) or part.isdecimal() for part in parts)
        and re.search(r"[.,]", parts[0])
    )
    return ", ".join(parts) + said[match.end() :] if is_list else said


def _bounds(said: str) -> str:
    if _ALL_OF.fullmatch(said):
        return "all"
    if match := _BETWEEN.fullmatch(said):
        above = "above " if match["one"] == "<" else ""
        below = "below " if match["two"] == "<" else ""
        return f"{above}{match['low']} to {below}{match['high']}"
    if match := _TURNED.fullmatch(said):
        return f"≥ {match['low']}"
    for pattern in _TWO_BOUNDS:
        if match := pattern.fullmatch(said):
            return f"{match['low']} to {match['high']}"
    if match := _OPEN_ABOVE.fullmatch(said):
        return f"≥ {match['low']}"
    if match := _TWO_PAIRS.fullmatch(said):
        return f"{match['a']} to {match['b']} ({match['x']} to {match['y']})"
    if match := _PAIR_BOUND.fullmatch(said):
        return f"{match['a']} {match['word']} ({match['x']} {match['word']})"
    if match := _WORD_AND_NUMBER.fullmatch(said):
        return f"{match['word']} ({match['number']})"
    return said


def _tolerance(said: str, dimension: str, may_be_zero: bool) -> str:
    if match := _UNEQUAL.fullmatch(said):
        return f"{match['middle']} +{match['up']}|-{match['down']}"
    if (may_be_zero or dimension == "angle") and (match := _ONLY_MORE.fullmatch(said)):
        return f"{match['middle']} +{match['up']}|-0"
    return said


_CONDITION = re.compile(
    r"(?:min(?:imum|\.)? )?(?P<temperature>\d+ ?°? ?[FC])\b(?: ?min(?:imum|\.)?)? ?,?\(? ?"
    r"(?:if|for|when|where|over|above|up to|to|below|under|≤|<|>|≥|t\b).*",
    re.I,
)


_BARE = re.compile(r"(?P<temperature>\d+ ?°? ?[FC])(?: ?min\.?)?", re.I)
_FOR_A_THICKNESS = re.compile(
    r"(?:up to|over|above|below|under|to|≤|<|>|≥|t\b|\d)[^:]{0,40}: ?(?P<temperature>\d+ ?°? ?[FC])"
    r"(?: ?min\.?)?(?: ?\(\d+ ?°? ?[FC]\))?",
    re.I,
)


def by_thickness(text: str) -> list[str]:
    """The temperatures of `50 °F up to 3/4; 150 °F over 3/4`; none for anything else."""
    parts = [part.strip() for part in re.split(r"[;,](?!\d)", text) if part.strip()]
    found = [
        _CONDITION.fullmatch(part) or _FOR_A_THICKNESS.fullmatch(part) or _BARE.fullmatch(part)
        for part in parts
    ]
    one = len(parts) == 1 and bool(_FOR_A_THICKNESS.fullmatch(parts[0]))
    if not all(found) or not (
        one or (len(parts) > 1 and any(each and each.re is not _BARE for each in found))
    ):
        return []
    return [match["temperature"] for match in found if match]
