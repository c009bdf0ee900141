"""Positions as drawings and weld lists write them: `2F/3F`, `3G up`, `horiz.`.

They name the position of a test where a weld's own is asked: `2F` is a fillet made horizontal, `3G` a groove
made vertical. `5G` and `6G` are pipe that does not turn.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..core.values import MISSING
from ..variables.definition import RecordKind
from ..variables.registry import registry
from .position_entries import is_iso
from .reading import EntryError, read_entry

_PLACES = {"1": ("flat",), "2": ("horizontal",), "3": ("vertical",), "4": ("overhead",)}
_ON_PIPE = {
    "5": (("flat", "vertical", "overhead"), "fixed_horizontal"),
    "6": (("flat", "horizontal", "vertical", "overhead"), "fixed_inclined"),
}
_NAME = re.compile(r"([1-6])\s?([FG])", re.IGNORECASE)
_SPLIT = re.compile(r"[/,;&+]|\band\b", re.IGNORECASE)
_DIRECTION = re.compile(r"(?<![\s-])[\s-]*+\b(uphill|upward|up|downhill|downward|down)\b\.?", re.IGNORECASE)
_TYPES = {"F": "fillet", "G": "groove"}


@dataclass(frozen=True)
class DrawnPosition:
    """What a position on a drawing says."""

    positions: tuple[str, ...]
    weld_type: str = ""
    pipe_setting: str = ""
    progression: str = ""


def drawn_position(text: str) -> DrawnPosition:
    """The positions a weld is made in. Raises EntryError with how to write them."""
    direction = _DIRECTION.search(text)
    plain = _DIRECTION.sub("", text).strip()
    progression = "" if direction is None else "up" if direction[1].lower().startswith("up") else "down"
    places: list[str] = []
    types: set[str] = set()
    setting = ""
    for piece in (each.strip() for each in _SPLIT.split(plain) if each.strip()):
        name = _NAME.fullmatch(piece)
        if name is None:
            places += _in_words(piece, text)
            continue
        number, kind = name[1], name[2].upper()
        if kind == "F" and number == "6":
            raise EntryError(f"“{piece}” is not a position. Fillet welds have 1F to 5F.")
        types.add(_TYPES[kind])
        if number in _ON_PIPE:
            found, setting = _ON_PIPE[number]
            places += found
        else:
            places += _PLACES[number]
    if len(types) > 1:
        raise EntryError(
            f"“{text.strip()}” names positions of a groove and of a fillet. Write one row for each."
        )
    return DrawnPosition(tuple(dict.fromkeys(places)), "".join(types), setting, progression)


def _in_words(piece: str, whole: str) -> list[str]:
    """A position by its name, by the beginning of its name, or by its name in ISO 6947 as it stands."""
    if is_iso(piece):
        return [piece.strip().upper()]
    definition, start = registry()["position"], piece.casefold().rstrip(".")
    if len(start) >= 3:
        meant = [c.key for c in definition.choices if c.label.casefold().startswith(start)]
        if len(meant) == 1:
            return meant
    try:
        value = read_entry(piece, definition, RecordKind.PART, "us")
    except EntryError:
        raise EntryError(
            f"“{whole.strip()}” is not a position. Write 1G to 6G or 1F to 5F, or flat, horizontal, vertical,"
            " overhead; several with a stroke between them: 2F/3F."
        ) from None
    return [] if value is MISSING or not isinstance(value, frozenset) else sorted(value)
