"""Positions as records write them: several in one text (`2G & 5G`), with what is said besides (`3G uphill`,
`1G rolled`), or by ISO 6947 where a code's own are asked.

`PA` of a groove weld is 1G, of a fillet weld 1F; `PF` is 3G, welded upward; `H-L045` is 6G, welded upward.
Under the position of a weld they are flat, horizontal, vertical and overhead. A name that leaves the position
open (`PB` of a fillet on pipe, `PK`) is refused in words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..variables.choice_words import ALL_BUT_DOWN

GROOVE, FILLET = "groove", "fillet"
_TEST = {
    "PA": ("1G", "1F", ""), "PB": ("", "2F", ""), "PC": ("2G", "", ""), "PD": ("", "4F", ""),
    "PE": ("4G", "", ""), "PF": ("3G", "3F", "up"), "PG": ("3G", "3F", "down"), "PH": ("5G", "5F", "up"),
    "PJ": ("5G", "5F", "down"), "H-L045": ("6G", "", "up"), "J-L045": ("6G", "", "down"),
}  # fmt: skip
"""Test position of a groove and of a fillet, and the direction of a vertical weld."""
_WELD = {
    "PA": ("flat",), "PB": ("horizontal",), "PC": ("horizontal",), "PD": ("overhead",), "PE": ("overhead",),
    "PF": ("vertical",), "PG": ("vertical",), "PH": ("flat", "vertical", "overhead"),
    "PJ": ("flat", "vertical", "overhead"),
}  # fmt: skip
ISO_POSITIONS = (*_TEST, "PK")
"""Names of ISO 6947 that are understood, if only to say what they leave open."""
_ON_PIPE_ONLY = frozenset({"PH", "PJ", "H-L045", "J-L045"})
_NOT_ON_PIPE = frozenset({"PB", "PF", "PG"})


def iso_choices(key: str) -> list[tuple[str, str]]:
    """The positions of ISO 6947 as choices of `test_position` or `position`, each with what it is there."""
    if key == "test_position":
        return [
            (name, f"{name} ({'/'.join(part for part in found[:2] if part)})")
            for name, found in _TEST.items()
        ]
    return [(name, f"{name} ({', '.join(found)})") for name, found in _WELD.items()]


@dataclass(frozen=True)
class Position:
    """What a position of ISO 6947 is under the code's own names."""

    choices: tuple[str, ...] = ()
    progression: str = ""
    refusal: str = ""
    """What it leaves open; empty where it is told."""


_BY_TEST = {
    "1": ("flat",), "2": ("horizontal",), "3": ("vertical",), "4": ("overhead",),
    "5": ("flat", "vertical", "overhead"), "6": ("flat", "horizontal", "vertical", "overhead"),
}  # fmt: skip
"""Positions of a weld that is stated by a test position; a pipe turned around its axis is welded flat."""
_TOKEN = re.compile(r"(?<![A-Z0-9])(?:[1-6][ -]?[GF]R?|P[A-K]|[HJ] ?-? ?L ?-?[0O]?45)(?![A-Z0-9])")
_BESIDE = re.compile(
    r"-?\b(?:vertical|up|uphill|upward|upwards|down|downhill|downward|downwards|v-up|v-down|vu|vd|rolled|rotated"
    r"|rotating|fixed|flat|horizontal|overhead|position|pos|pipe|plate|groove|fillet|welding|test|progression|and"
    r"|or|with|ss|nb)\b|[\s,;/&+().:↑↓]",
    re.IGNORECASE,
)
_UP = re.compile(r"\b(?:up|uphill|upwards?|v-up|vu)\b|↑", re.IGNORECASE)
_DOWN = re.compile(r"\b(?:down|downhill|downwards?|v-down|vd)\b|↓", re.IGNORECASE)
_LONGEST = 60


def _name(text: str) -> str:
    plain = re.sub(r"[ -]", "", text.strip().upper()).replace("O45", "045")
    if plain[1:] in ("L045", "L45"):
        return f"{plain[0]}-L045"
    # The ring of 6GR and the turning of 1GR take nothing away from what 6G and 1G are here.
    return plain.removesuffix("R") if plain in ("6GR", "1GR", "1FR") else plain


def names_in(text: str) -> list[str]:
    """Names of positions in a text; none unless all of it is understood."""
    if len(text) > _LONGEST:
        return []
    upper = text.upper()
    found = [_name(match[0]) for match in _TOKEN.finditer(upper)]
    return list(dict.fromkeys(found)) if not _BESIDE.sub("", _TOKEN.sub("", upper)).strip() else []


def is_iso(text: str) -> bool:
    """True for a position by ISO 6947, such as `PA` or `H-L045`, in any spelling."""
    return _name(text) in {*_TEST, "PK"}


def test_position(text: str, weld_type: str, form: str) -> Position:
    """The test position a coupon welded in that ISO position was in."""
    name = _name(text)
    if name not in _TEST:
        return Position(
            refusal=f"“{text.strip()}” has no test position of its own here. Choose the position."
        )
    groove, fillet, progression = _TEST[name]
    found = {GROOVE: groove, FILLET: fillet}.get(weld_type, "")
    if not found:
        hint = "State whether it is a groove or a fillet weld." if not weld_type else "Correct one of them."
        return Position(refusal=f"“{text.strip()}” is no position of this weld type. {hint}")
    if form == "pipe" and name in _NOT_ON_PIPE:
        return Position(
            refusal=f"“{text.strip()}” on pipe can be more than one test position. Choose the position."
        )
    if form == "plate" and name in _ON_PIPE_ONLY:
        return Position(refusal=f"“{text.strip()}” is a position of pipe. Correct it, or the product form.")
    return Position((found,), progression)


def weld_position(text: str) -> Position:
    """The positions of a production weld."""
    name = _name(text)
    if name not in _WELD:
        return Position(refusal=f"“{text.strip()}” has no single position here. Choose the positions.")
    return Position(_WELD[name], _TEST[name][2])


def direction_of(text: str) -> str:
    """`up` or `down` where the name, or the words beside it, say it."""
    if ALL_BUT_DOWN.fullmatch(text.strip()):
        return "up"
    up, down = bool(_UP.search(text)), bool(_DOWN.search(text))
    if up != down:
        return "up" if up else "down"
    said = {_TEST.get(name, ("", "", ""))[2] for name in names_in(text)} - {""}
    return said.pop() if len(said) == 1 else ""


def positions(texts: Sequence[str], key: str, weld_type: str, form: str) -> list[Position]:
    """One for each position named; a text that names none stays as it is."""
    found: list[Position] = []
    for text in texts:
        for name in names_in(text) or [text]:
            if is_iso(name):
                made = test_position(name, weld_type, form) if key == "test_position" else weld_position(name)
            elif key == "position" and name[0] in _BY_TEST and name[1:] in ("G", "F", "FR"):
                made = Position(_BY_TEST[name[0]])
            else:
                made = Position((name,))
            found.append(made)
    return found
