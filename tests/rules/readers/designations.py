"""Designation strings of welder tests, read back: what certificates print becomes entries, which the program
has to write as the same string."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from qualification.rules.variables.registry import registry
from qualification.rules.welders.designation import (
    ALUMINIUM,
    CORED,
    FILLER_TYPES,
    OLD_PIPE_NAMES,
    POSITIONS,
    PROCESSES,
    STANDARDS,
    STEEL,
    Designation,
    plain,
)
from qualification.rules.welders.designation_records import PRODUCTS, WELDS

FILLER_GROUPS = ("FM1", "FM2", "FM3", "FM4", "FM5", "FM6")
METAL_GROUPS = ("21", "22", "23", "24", "25", "26")
BUTT_DETAILS = ("ss nb", "ss mb", "ss gb", "ss fb", "bs")
LAYERS = ("sl", "ml")
WITHOUT_BACKING_GAS = ("111", "121", "125")
"""Processes on whose records nobody states a gas on the root side."""
TRANSFERS = {"D": "short_circuit", "G": "globular", "S": "spray", "P": "pulsed_spray"}
"""Letters of ISO 4063 for the transfer mode, as some certificates write them behind the process (135-D)."""
WITH_TRANSFER = ("131", "132", "133", "135", "136", "138")
NAMES: dict[str, dict[str, str]] = {
    "111": {"process": "SMAW", "operation": "manual"},
    "114": {"process": "FCAW", "operation": "semiautomatic", "shielding_gas": "none"},
    "121": {"process": "SAW", "operation": "semiautomatic"},
    "125": {"process": "SAW", "operation": "semiautomatic"},
    **{number: {"process": "GMAW", "operation": "semiautomatic"} for number in ("131", "133", "135", "138")},
    **{number: {"process": "FCAW", "operation": "semiautomatic"} for number in ("132", "136")},
    **{number: {"process": "GTAW", "filler_used": "yes"} for number in ("141", "143", "145")},
    "142": {"process": "GTAW", "filler_used": "no"},
}
"""What a process number says by itself; the mixture of the gas it does not say."""
TESTED: dict[tuple[str, str], tuple[str, str]] = {
    ("BW", "PA"): ("1G", ""),
    ("BW", "PC"): ("2G", ""),
    ("BW", "PE"): ("4G", ""),
    ("BW", "PF"): ("3G", "up"),
    ("BW", "PG"): ("3G", "down"),
    ("BW", "PH"): ("5G", "up"),
    ("BW", "PJ"): ("5G", "down"),
    ("BW", "H-L045"): ("6G", "up"),
    ("BW", "J-L045"): ("6G", "down"),
    ("FW", "PA"): ("1F", ""),
    ("FW", "PB"): ("2F", ""),
    ("FW", "PD"): ("4F", ""),
    ("FW", "PF"): ("3F", "up"),
    ("FW", "PG"): ("3F", "down"),
    ("FW", "PH"): ("5F", "up"),
    ("FW", "PJ"): ("5F", "down"),
}
"""Test position and progression of a coupon by kind of weld and ISO position."""
BACKING = {"ss nb": "none", "ss gb": "none", "ss mb": "metal", "ss fb": "flux", "bs": "both_sides"}


class DesignationError(ValueError):
    """A designation cannot be read; the message says what is wrong and what to write."""


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


@dataclass(frozen=True)
class Started:
    """Entries to begin a welder test with, by registry keys, and what the string leaves to be stated."""

    joint: Mapping[str, str]
    line: Mapping[str, str]
    to_state: tuple[str, ...]


def entries(read: Designation) -> Started:
    """What the string says, as entries of a welder test. Nothing is added to it."""
    tested, progression = TESTED[read.weld, read.position]
    millimetres = f"{plain(read.thickness)} mm"
    joint = {"weld_type": WELDS[read.weld], "product_form": PRODUCTS[read.product], "test_position": tested}
    line = {**NAMES[read.process], **_filler(read)}
    if read.thickness_of == "t":
        joint |= {"thickness_a": millimetres, "thickness_b": "same"}
    if read.weld == "BW":
        line |= {"deposit_thickness": millimetres, "backing": BACKING[read.details]}
    if read.diameter is not None:
        joint["diameter"] = f"{plain(read.diameter)} mm"
    if progression:
        line["progression"] = progression
    gassed = line["process"] in registry()["backing_gas"].processes
    if read.details == "ss nb" and gassed:
        line["backing_gas"] = "none"
    if read.details == "sl":
        line["layers"] = "1"
    if read.transfer:
        line["transfer_mode"] = TRANSFERS[read.transfer]
    of_steel = read.standard == STEEL and line["process"] == "GMAW"
    to_state = [
        *(["shielding_gas"] if gassed and "shielding_gas" not in line else []),
        *(["backing_gas"] if read.details == "ss gb" else []),
        *(["layers"] if read.details == "ml" else []),
        *(["base_metal_a", "base_metal_b"] if read.standard == ALUMINIUM else []),
        *(["operation"] if "operation" not in line else []),
        *(["transfer_mode"] if of_steel and not read.transfer else []),
        *(["current_type"] if read.standard == ALUMINIUM and line["process"] == "GTAW" else []),
    ]
    return Started(joint, line, tuple(to_state))


def _filler(read: Designation) -> dict[str, str]:
    found = {"filler_group": read.group} if read.standard == STEEL and read.filler != "nm" else {}
    if read.process in ("111", *CORED):
        return {
            **found,
            "covering_type": read.filler,
            **({} if read.process == "111" else {"filler_form": "flux_cored"}),
        }
    form = {"S": "solid", "M": "metal_cored"}.get(read.filler)
    return {**found, "filler_form": form} if form else found


def details_of(weld: str, process: str) -> tuple[str, ...]:
    """The details a string of that kind of weld and process may end with."""
    without = ("ss gb",) if process in WITHOUT_BACKING_GAS else ()
    return tuple(each for each in BUTT_DETAILS if each not in without) if weld == "BW" else LAYERS
