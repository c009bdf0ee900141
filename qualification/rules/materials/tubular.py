"""What a text says of a pipe or tube: a nominal size with its schedule or wall, or outside diameter and wall.

Nothing is guessed: a schedule without its nominal size asks for the rest, and so does a size that can be read
in two ways. Lengths in mm.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from ..core.quantities import SI, US, QuantityError, read_quantity
from .sizes import is_nominal, read_size, say_size, sizes

_INCH = Decimal("25.4")


@dataclass(frozen=True)
class Tubular:
    """What a text says of a pipe or tube."""

    nps: Fraction | None = None
    schedule: str = ""
    outside: Decimal | None = None
    """In mm."""
    wall: Decimal | None = None
    """In mm."""
    is_round: bool = True


_SIZE = r"\d{1,2}(?:[ -]\d{1,2}/\d{1,2}|/\d{1,2}|\.\d{1,3})?"
_SCHEDULE = (
    r"(?:SCH(?:EDULE|ED)?\.? ?(?P<number>5S?|10S?|20|30|40S?|60|80S?|100|120|140|160|STD|XS|XH|XXS|XXH)"
    r"|(?P<word>STD|XS|XH|XXS|XXH)(?: WT| WALL)?)"
)
_COUPON = re.compile(
    r"(?:PL(?:ATE)?|F(?:LAT )?B(?:AR)?|BAR|SHEET) *+(?P<thickness>[\d.][\d./-]*+(?: \d{1,2}/\d{1,2})?+"
    r"(?: ?(?:IN\b\.?|MM))?)(?: ?[X×].*)?"
)
"""A plate or flat bar by its thickness, whatever its width and length: `PL 3/8 x 6`."""
_NOMINAL = re.compile(
    rf"(?:NPS ?(?P<nps>{_SIZE})|(?P<nps2>{_SIZE}) ?(?:IN\.? ?|INCH ?)?NPS|DN ?(?P<dn>\d{{1,3}}))"
    rf"(?: PIPE)?(?:[ ,]+{_SCHEDULE})?(?: PIPE)?"
)
_SCHEDULED = re.compile(rf"(?P<nps>{_SIZE}) ?(?:IN\.?|INCH)?(?: PIPE)?[ ,]+{_SCHEDULE}(?: PIPE)?")
_SCHEDULE_ONLY = re.compile(_SCHEDULE)
_EMT_TEXT = re.compile(rf"(?:EMT ?(?P<first>{_SIZE})(?: ?IN\.?)?|(?P<last>{_SIZE}) ?(?:IN\.? )?EMT)")
_OUTSIDE_WORDS = re.compile(
    r"\bO\.?D\b\.?|\bOUTSIDE(?: DIAMETER)?\b|\bDIA(?:METER)?\b\.?|\bØ|\bEN 10220\b|\bTUB(?:E|ING)\b|\bHSS\b"
    r"|\bSHS\b|\bRHS\b|\bCHS\b|\bTS\b|\bANGLE\b|^L ?(?=\d[\d /.]*[X×])"
)
_WALL_WORDS = re.compile(r"\bWALL(?: THICKNESS)?\b|\bW\.?T\b\.?|\bW\b\.?|\bTHK?\b\.?")
_TIMES = re.compile(r" ?[X×] ?")
_SAID = (
    (re.compile(r"\b(?:DOUBLE|DBL)[ -]EXTRA[ -](?:HEAVY|STRONG)\b"), "XXS"),
    (re.compile(r"\b(?:EXTRA|X)[ -](?:HEAVY|STRONG)\b"), "XS"),
    (re.compile(r"\bSTANDARD(?: WEIGHT| WT\.?| WALL)?(?= PIPE|$)"), "STD"),
    (re.compile(r"(?<![, ])[, ]++(?:SEAMLESS|SMLS|ERW|WELDED)(?: PIPE)?$"), ""),
    (re.compile(r"\bS[/-](?=\d{2,3}S?\b)"), "SCH "),
    (re.compile(r"^(NPS ?\d[\d /.-]*?) IN\b\.?"), r"\1"),
    (re.compile(r"(?<=[\dNM])[, ]++(?:W\.?T\.?|WALL(?: THICKNESS)?|THK\.?)[ :=]+(?=[\d.])"), " X "),
    (re.compile(r" ?[X×] ?(?=SCH)"), " "),
    (re.compile(r"^(?:N\.?B\.? ?(\d{2,4})|(\d{2,4}) ?(?:MM ?)?N\.?B\b\.?)"), r"DN \1\2"),
    (re.compile(r"^(\d[\d /-]*?) ?(?:IN\.?|INCH) ?N\.?B\b\.?"), r"NPS \1"),
    (re.compile(r"^D ?[=:] ?([\d.,]*[\d.]) ?(MM)?[ ,;]++[TS] ?[=:] ?([\d.,]+) ?(MM)?$"), r"OD \1 X \3 \2"),
)
"""Other words for a schedule, and other ways to put outside diameter and wall side by side."""
_WITH_WALL = re.compile(
    r"(?P<pipe>.*\S) ?(?:[X×] ?(?P<wall>[\d.,/]+ ?(?:IN\.?|MM)?)(?: WALL)?"
    r"|\((?P<beside>[\d.,/]+ ?(?:IN\.?|MM)?)(?: WALL| ?W\.?T\.?)?\))"
)
_HALF_A_MILLIMETER = Decimal("0.5")
_ROUNDING = Decimal("0.0015")
"""Inches."""
_SAME_WALL = Decimal("0.06")
"""Walls of one pipe, in mm, rounded in inches and in millimeters."""
_OTHER_NAMES = {"XH": "XS", "XXH": "XXS"}
_LONGEST = 60


def read_tubular(text: str, system: str) -> Tubular | None:
    """What the text says of a pipe or tube, `None` when it is not written as one: `NPS 6 Sch 80`, `DN 150`,
    `2 in SCH XXH`, `Sch 40S`, `OD 168.3 x 7.11`, `2 x 1/8 wall`, `wall .280`, `1/2 EMT`, `HSS 4 x 4 x 1/4`.

    Raises QuantityError for a size or schedule that is not known.
    """
    plain = " ".join(text.upper().replace('"', " IN ").replace("″", " IN ").replace("”", " IN ").split())
    if not plain or len(plain) > _LONGEST:
        return None
    for words, said in _SAID:
        plain = words.sub(said, plain).strip()
    if match := _COUPON.fullmatch(plain):
        return Tubular(wall=_length(match["thickness"], match["thickness"], system), is_round=False)
    if match := _WITH_WALL.fullmatch(plain):
        return _with_wall(match, text, system)
    for pattern in (_NOMINAL, _SCHEDULED, _SCHEDULE_ONLY):
        match = pattern.fullmatch(plain)
        if match:
            return _pipe(match.groupdict(), system)
    match = _EMT_TEXT.fullmatch(plain)
    if match:
        trade = read_size(match["first"] or match["last"])
        if trade not in sizes().emt:
            raise QuantityError(
                f"EMT {say_size(trade)} is not a trade size known here. Write outside diameter and wall."
            )
        outside, wall = sizes().emt[trade]
        return Tubular(outside=outside * _INCH, wall=wall * _INCH)
    return _dimensions(plain, text, system)


def _with_wall(match: re.Match[str], text: str, system: str) -> Tubular | None:
    """A pipe by its nominal size with its wall behind, which has to be that of a schedule named as well."""
    named = next((m for p in (_NOMINAL, _SCHEDULED) if (m := p.fullmatch(match["pipe"]))), None)
    written = match["wall"] or match["beside"]
    wall = _length(written, written, SI if match["pipe"].startswith("DN") and "IN" not in written else system)
    if named is None or wall is None:
        return _dimensions(match[0], text, system)
    pipe = _pipe(named.groupdict(), system)
    if pipe.wall is not None and abs(pipe.wall - wall) > _SAME_WALL:
        raise QuantityError(f"“{text.strip()}” states two walls. Which is right? Write that one.")
    return replace(pipe, wall=wall)


def _pipe(found: Mapping[str, str | None], system: str) -> Tubular:
    schedule = found.get("number") or found.get("word") or ""
    schedule = _OTHER_NAMES.get(schedule, schedule)
    written, dn = found.get("nps") or found.get("nps2"), found.get("dn")
    if not written and not dn:
        return Tubular(schedule=schedule)
    known = sizes().pipes
    pipe = (
        known.get(read_size(written))
        if written
        else next((each for each in known.values() if each.dn == int(dn or 0)), None)
    )
    if pipe is None:
        name = f"NPS {written}" if written else f"DN {dn}"
        raise QuantityError(
            f"{name} is not a pipe size known here. Write outside diameter and wall, like OD 6.625 x .280."
        )
    wall = pipe.wall(schedule, system) if schedule else None
    return Tubular(pipe.nps, schedule, pipe.outside.of(system), wall)


def _dimensions(plain: str, text: str, system: str) -> Tubular | None:
    says_outside, says_wall = bool(_OUTSIDE_WORDS.search(plain)), bool(_WALL_WORDS.search(plain))
    bare = " ".join(_WALL_WORDS.sub(" ", _OUTSIDE_WORDS.sub(" ", plain)).replace(":", " ").split()).strip(
        " ,"
    )
    parts = _TIMES.split(bare)
    if len(parts) > 3 or not (says_outside or says_wall or len(parts) > 1):
        return None
    if len(parts) == 1:
        if says_outside == says_wall:
            return None
        value = _length(parts[0], "", system)
        if value is None:
            return None
        return Tubular(outside=value) if says_outside else Tubular(wall=value)
    lengths = [length for part in parts if (length := _length(part, parts[-1], system)) is not None]
    whole = len(lengths) == len(parts)
    if whole and len(parts) == 3 and not says_outside and _is_plate(lengths):
        return Tubular(wall=lengths[0], is_round=False)
    if not any(_UNIT.search(part) for part in parts):
        _ask_for_unit(parts, text.strip(), system)
    if not whole:
        return None
    if 2 * lengths[-1] >= min(lengths[:-1]):
        raise QuantityError(
            f"“{text.strip()}” names no wall that leaves a bore. Write the thickness by itself."
        )
    if len(parts) == 3:
        return Tubular(wall=lengths[2], is_round=False)
    if not says_outside:
        _ask_for_nominal(lengths[0] / _INCH, lengths[1] / _INCH, text.strip())
    return Tubular(outside=lengths[0], wall=lengths[1])


def _is_plate(lengths: list[Decimal]) -> bool:
    """True where the first of three is the thickness of a plate and the last no wall: 10 x 150 x 300."""
    return 2 * lengths[0] < min(lengths[1:]) and 2 * lengths[2] >= min(lengths[:2])


def _ask_for_nominal(outside: Decimal, wall: Decimal, text: str) -> None:
    """Raises QuantityError for `8 x .500`, a nominal size with the wall of one of its schedules, which is a
    pipe of 8.625 in outside or a tube of 8."""
    pipe = sizes().pipes.get(Fraction(outside))
    if (
        pipe is None
        or not is_nominal(outside)
        or all(abs(each - wall) > _ROUNDING for each in pipe.walls.values())
    ):
        return
    size = say_size(Fraction(outside))
    raise QuantityError(
        f"“{text}”: is {size} in the nominal size? Write NPS {size} x {wall.normalize():f} in, or"
        f" {size} in OD."
    )


def _ask_for_unit(parts: list[str], text: str, system: str) -> None:
    """A tube without a unit whose numbers are no tube in the record's own: 60 x 60 x 3 is none in inches, nor
    4 x 4 x 1/4 in millimeters. Raises QuantityError with the question."""
    numbers = [length for part in parts if (length := _length(f"{part} in", "in", US)) is not None]
    if len(numbers) < len(parts):
        return
    *outside, wall = (number / _INCH for number in numbers)
    asks = sizes().asks
    odd = (
        wall * _INCH >= asks["tube_wall_from"]
        or (max(outside) * _INCH > asks["tube_outside_above"] and len(parts) == 3)
        if system == US
        else wall < asks["tube_wall_below"] or any("/" in part for part in parts)
    )
    if odd:
        known = "mm" if system == US else "in"
        raise QuantityError(f"“{text}” has no unit, and reads like {known}. Write mm or in behind it.")


_NOMINAL_RANGE = re.compile(rf"NPS ?(?P<low>{_SIZE}) ?(?:TO|-|–) ?(?:NPS ?)?(?P<high>{_SIZE})")


def nominal_ends(text: str, system: str) -> tuple[Decimal, Decimal] | None:
    """Outside diameters, in mm, of the ends of a range of nominal sizes: `NPS 2 to 6`."""
    match = _NOMINAL_RANGE.fullmatch(" ".join(text.upper().split()))
    if not match:
        return None
    ends = [_pipe({"nps": match[end]}, system).outside for end in ("low", "high")]
    if ends[0] is None or ends[1] is None or ends[0] > ends[1]:
        raise QuantityError(f"“{text.strip()}” runs downwards; write the smaller size first.")
    return ends[0], ends[1]


def outside_beside(head: str, inner: str, system: str) -> Decimal | None:
    """Outside diameter, in mm, of `4" (114.3 mm)`: a nominal size with its outside behind; `None` for two
    writings of anything else."""
    inches, outside = _length(head.upper().replace('"', " IN"), "IN", US), _length(inner.upper(), "MM", SI)
    if inches is None or outside is None or not is_nominal(inches / _INCH):
        return None
    pipe = sizes().pipes[Fraction(inches / _INCH)]
    return pipe.outside.of(system) if abs(pipe.outside.si - outside) <= _HALF_A_MILLIMETER else None


def without_outside_words(text: str) -> str:
    """`2 - 6 in OD` without the words that say which diameter it is."""
    plain = " ".join(text.upper().split())
    return " ".join(_OUTSIDE_WORDS.sub(" ", plain).split()).lower() if _OUTSIDE_WORDS.search(plain) else text


def says_outside(text: str) -> bool:
    """True where the words tell that the outside is meant, and not the nominal size."""
    return bool(_OUTSIDE_WORDS.search(text.upper()))


_UNIT = re.compile(r"(?:IN\.?|INCH(?:ES)?|MM|CM)$")


def _length(text: str, last: str, system: str) -> Decimal | None:
    """In mm; a part without a unit takes the one at the end of the last part."""
    unit = _UNIT.search(last)
    whole = text if _UNIT.search(text) or unit is None else f"{text} {unit[0]}"
    try:
        return read_quantity(whole.lower(), "length", system, many=False).interval.low
    except QuantityError:
        return None
