"""The designation string of a welder's test by ISO 9606-1 (steel) and ISO 9606-2 (aluminium), read and
written.

`ISO 9606-2 131 P FW 22 S t10 PB ml`: standard, process (ISO 4063), product, kind of weld, group of the filler
(steel) or of the metal (aluminium), filler type, thickness in mm (`s` of the deposit, `t` of the metal),
outside diameter of a pipe in mm, position (ISO 6947), details. The order is that of clause 11 of part 1 and
clause 10 of part 2.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

STEEL, ALUMINIUM = "ISO 9606-1", "ISO 9606-2"
STANDARDS = (STEEL, ALUMINIUM)
PROCESSES = {
    STEEL: ("111", "114", "121", "125", "131", "132", "133", "135", "136", "138", "141", "143", "145"),
    ALUMINIUM: ("131", "141", "142"),
}
"""Processes of strings; for steel without 142, of which the notes do not say what stands for the filler
group."""
FILLER_GROUPS = ("FM1", "FM2", "FM3", "FM4", "FM5", "FM6")
METAL_GROUPS = ("21", "22", "23", "24", "25", "26")
COVERINGS = ("A", "RA", "RB", "RC", "RR", "R", "B", "C")
CORES = ("R", "P", "B", "V", "W", "Y", "Z")
BUTT_DETAILS = ("ss nb", "ss mb", "ss gb", "ss fb", "bs")
LAYERS = ("sl", "ml")
WITHOUT_BACKING_GAS = ("111", "121", "125")
"""Processes on whose records nobody states a gas on the root side."""
CORED = ("114", "132", "136")
TRANSFERS = {"D": "short_circuit", "G": "globular", "S": "spray", "P": "pulsed_spray"}
"""Letters of ISO 4063 for the transfer mode, as some certificates write them behind the process (135-D)."""
WITH_TRANSFER = ("131", "132", "133", "135", "136", "138")
FILLER_TYPES: dict[str, tuple[str, ...]] = {
    "111": COVERINGS,
    **dict.fromkeys(CORED, CORES),
    **dict.fromkeys(("125", "133", "138", "143"), ("M",)),
    "142": ("nm",),
}
"""Filler types by process; a process that is not named takes a solid wire or rod (S). `nm` is no filler."""
POSITIONS = {
    ("BW", "P"): ("PA", "PC", "PE", "PF", "PG"),
    ("FW", "P"): ("PA", "PB", "PD", "PF", "PG"),
    ("BW", "T"): ("PA", "PC", "PH", "PJ", "H-L045", "J-L045"),
    ("FW", "T"): ("PA", "PB", "PD", "PH", "PJ"),
}
"""Positions of a coupon that a record here can hold, by kind of weld and product."""
OLD_PIPE_NAMES = {"PF": "PH", "PG": "PJ"}
"""What ISO 6947 called a fixed pipe before 2011, and ISO 9606-2:2004 with it."""


class DesignationError(ValueError):
    """A designation cannot be read; the message says what is wrong and what to write."""


@dataclass(frozen=True)
class Designation:
    """One test piece of one process, as its string says it."""

    standard: str
    process: str
    product: str
    """`P` plate, `T` pipe."""
    weld: str
    """`BW` butt weld, `FW` fillet weld."""
    group: str
    """Filler group (`FM1`) for steel; main group of the metal, or two of them (`22/23`), for aluminium."""
    filler: str
    thickness_of: str
    """`s` of the deposit, `t` of the metal."""
    thickness: Decimal
    """In mm."""
    diameter: Decimal | None
    """In mm; of a pipe only."""
    position: str
    """By ISO 6947 as it stands now, also where the standard's own name is older."""
    details: str
    transfer: str = ""
    """`D`, `G`, `S` or `P` where the string says it. It is no part of the designation; some certificates
    write it."""

    @property
    def text(self) -> str:
        """The string, with decimal points."""
        process = f"{self.process}-{self.transfer}" if self.transfer else self.process
        diameter = "" if self.diameter is None else f"D{plain(self.diameter)}"
        parts = (
            self.standard,
            process,
            self.product,
            self.weld,
            self.group,
            self.filler,
            f"{self.thickness_of}{plain(self.thickness)}",
            diameter,
            self._position_name,
            self.details,
        )
        return " ".join(part for part in parts if part)

    @property
    def _position_name(self) -> str:
        if self.standard != ALUMINIUM:
            return self.position
        return {now: old for old, now in OLD_PIPE_NAMES.items()}.get(self.position, self.position)


def plain(number: Decimal) -> str:
    """`10`, `1.5`: without needless zeros and without an exponent."""
    return f"{number:f}".rstrip("0").rstrip(".") if number % 1 else f"{number:.0f}"


def read_designation(text: str) -> Designation:
    """Read a string, with decimal point or comma. Raises DesignationError saying what to write instead."""
    standard, words = _standard(" ".join(text.replace("\u2011", "-").split()))
    reader = _Words(words, text)
    taken = reader.take(
        "the process", lambda word: _process(word)[0] in PROCESSES[standard], ", ".join(PROCESSES[standard])
    )
    process, transfer = _process(taken)
    product = reader.take("the product", ("P", "T").__contains__, "P for plate or T for pipe")
    weld = reader.take("the kind of weld", ("BW", "FW").__contains__, "BW or FW")
    is_group, groups = (
        (FILLER_GROUPS.__contains__, "FM1 to FM6") if standard == STEEL else (_is_metal_group, "21 to 26")
    )
    group = reader.take("the group", is_group, groups)
    fillers = FILLER_TYPES.get(process, ("S",))
    filler = reader.take(f"the filler type of {process}", fillers.__contains__, " or ".join(fillers))
    letters = "st" if weld == "BW" else "t"
    thickness_of, thickness = reader.number(
        "the thickness", letters, f"{' or '.join(letters)} and millimetres, such as t10"
    )
    diameter = (
        reader.number("the diameter of the pipe", "D", "D and millimetres, such as D60")[1]
        if product == "T"
        else None
    )
    found = reader.take(
        "the position",
        lambda word: _position(word, product) in POSITIONS[weld, product],
        ", ".join(POSITIONS[weld, product]),
    )
    details = reader.rest("the details", details_of(weld, process))
    return Designation(
        standard,
        process,
        product,
        weld,
        group,
        filler,
        thickness_of,
        thickness,
        diameter,
        _position(found, product),
        details,
        transfer,
    )


def details_of(weld: str, process: str) -> tuple[str, ...]:
    """The details a string of that kind of weld and process may end with."""
    without = ("ss gb",) if process in WITHOUT_BACKING_GAS else ()
    return tuple(each for each in BUTT_DETAILS if each not in without) if weld == "BW" else LAYERS


def _process(word: str) -> tuple[str, str]:
    """Process number and transfer letter of `135-D`; the word as it is where there is no such letter."""
    process, dash, letter = word.partition("-")
    return (process, letter) if dash and letter in TRANSFERS and process in WITH_TRANSFER else (word, "")


def _position(word: str, product: str) -> str:
    return OLD_PIPE_NAMES.get(word, word) if product == "T" else word


def _is_metal_group(word: str) -> bool:
    groups = word.split("/")
    return (
        len(groups) <= 2 and all(group in METAL_GROUPS for group in groups) and groups == sorted(set(groups))
    )


_STANDARD = re.compile(r"(?:[A-Z]+[ -])*ISO 9606-(?P<part>\d)(?::\d{4})?(?: |$)")
_OLDER = re.compile(r"(?:[A-Z]+[ -])*EN 287-(?P<part>\d)")


def _standard(text: str) -> tuple[str, list[str]]:
    older = _OLDER.match(text)
    if older:
        raise DesignationError(
            f"“{text}” is a designation by EN 287-{older['part']}, a withdrawn standard with other groups and"
            " ranges. Enter the test under ISO 9606 from what was welded; the string alone does not carry"
            " over."
        )
    match = _STANDARD.match(text)
    if not match or f"ISO 9606-{match['part']}" not in STANDARDS:
        raise DesignationError(
            f"“{text}” does not begin with a standard read here. Begin with {' or '.join(STANDARDS)}."
        )
    return f"ISO 9606-{match['part']}", text[match.end() :].split()


class _Words:
    """The words behind the standard, taken one after another."""

    def __init__(self, words: list[str], text: str) -> None:
        self.words, self.text = words, " ".join(text.split())

    def take(self, what: str, fits: Callable[[str], bool], wanted: str) -> str:
        if not self.words:
            raise DesignationError(f"“{self.text}” ends before {what}. Add {wanted}.")
        word = self.words.pop(0)
        if not fits(word):
            raise DesignationError(
                f"“{word}” is not {what}, or not one that can be recorded here. Write {wanted}."
            )
        return word

    def number(self, what: str, letters: str, wanted: str) -> tuple[str, Decimal]:
        word = self.take(what, lambda word: word[:1] in letters and _number(word[1:]) is not None, wanted)
        value = _number(word[1:])
        assert value is not None
        return word[0], value

    def rest(self, what: str, allowed: tuple[str, ...]) -> str:
        said, self.words = " ".join(self.words), []
        if not said:
            raise DesignationError(f"“{self.text}” ends before {what}. Add {', '.join(allowed)}.")
        if said not in allowed:
            raise DesignationError(f"“{said}” is not {what}. Write {', '.join(allowed)}.")
        return said


def _number(text: str) -> Decimal | None:
    if not re.fullmatch(r"\d+(?:[.,]\d+)?", text):
        return None
    try:
        value = Decimal(text.replace(",", "."))
    except InvalidOperation:
        return None
    return value if value > 0 else None
