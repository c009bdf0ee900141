"""Cells of a weld list as entries of a weld, by the readers that the forms use."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from qualification.posted import number_in
from qualification.rules.core.quantities import QuantityError
from qualification.rules.entries.drawn_positions import drawn_position
from qualification.rules.entries.notation import Manner, read_measure
from qualification.rules.entries.reading import NOT_APPLICABLE_WORDS, Entry, EntryError, read_entry
from qualification.rules.variables.definition import Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import registry
from wps.forms.job import MOST_PIECES

PLAIN = {
    "mark": 40,
    "detail": 40,
    "title": 160,
    "drawing": 80,
    "drawing_revision": 20,
    "inspection_class": 60,
    "access": 160,
    "spec_number": 40,
    "welder": 120,
    "reason": 200,
}
"""Longest text of the columns that hold plain text."""
_SIDES = re.compile(r"(?<=\s)(?:to|x|\+|/)(?=\s)", re.IGNORECASE)
_UNIT = {"us": "in", "si": "mm"}
_HAS_UNIT = re.compile(r"[A-Za-z\"″'′°%]")
_LEFT_OUT = re.compile(r"\b(?:joint|weld|welded|single)\b|[-.,;/()]")
_JOINT_WORDS = {
    "t": ("joint_form", "tee"),
    **{word: ("weld_type", word) for word in ("fillet", "groove", "plug", "slot", "tack", "overlay", "stud")},
    **dict.fromkeys(("hardfacing", "hard facing"), ("weld_type", "hard_facing")),
    "tube to tubesheet": ("weld_type", "tube_to_tubesheet"),
    **{word: ("joint_form", word) for word in ("butt", "tee", "corner", "lap", "edge")},
    "square": ("groove_type", "square"),
    **{
        f"{before}{word}": ("groove_type", f"{key}{word}")
        for before, key in (("", ""), ("double ", "double_"))
        for word in ("v", "bevel", "u", "j")
    },
    "flare v": ("groove_type", "flare_v"),
    "flare bevel": ("groove_type", "flare_bevel"),
}
SIZE_OF = {
    "groove": "deposit_thickness",
    **dict.fromkeys(("plug", "slot"), "hole_size"),
    **dict.fromkeys(("overlay", "hard_facing"), "overlay_thickness"),
}
"""What the size of a weld is, by its type; else the leg of a fillet."""
_PENETRATION = {"cjp": "complete", "pjp": "partial", "full": "complete", "fp": "complete", "pp": "partial"}


@dataclass
class CellEntries:
    """What one cell says: fields of the weld itself, entries of its joint, entries of its process."""

    head: dict[str, str | int] = field(default_factory=dict)
    joint: dict[str, Entry] = field(default_factory=dict)
    line: dict[str, Entry] = field(default_factory=dict)


def said_by(
    key: str, text: str, units: str, kept_in: str, weld_type: str = "", use: RecordKind = RecordKind.PART
) -> CellEntries:
    """What the cell of a column says. `units` is the system of the list, `kept_in` that of the weld: a number
    without a unit gets the list's own where they differ. Raises EntryError with how to write it."""
    if key in PLAIN:
        if len(text) > PLAIN[key]:
            raise EntryError(f"is {len(text)} characters long; write at most {PLAIN[key]}.")
        return CellEntries(head={key: text})
    if key == "quantity":
        return CellEntries(head={key: _quantity(text)})
    if key == "length":
        return CellEntries(head={key: _length(text, units, kept_in)})
    if key in _IN_WORDS:
        return _IN_WORDS[key](text, units, kept_in, weld_type)
    return _of(key, text, units, kept_in, use)


def _of(key: str, text: str, units: str, kept_in: str, use: RecordKind = RecordKind.PART) -> CellEntries:
    definition = registry()[key]
    entry = _entry(definition, text, units, kept_in, use)
    return (
        CellEntries(joint={key: entry}) if definition.level is Level.JOINT else CellEntries(line={key: entry})
    )


def _entry(definition: Variable, text: str, units: str, kept_in: str, use: RecordKind) -> Entry:
    """The entry as a form would store it, once it can be read. Raises EntryError."""
    if definition.kind is ValueKind.CHOICE and text.strip().lower() not in NOT_APPLICABLE_WORDS:
        known = {choice.key for choice in definition.choices}
        whole = _choice(text, definition)  # a label may hold a comma of its own
        pieces = [] if whole in known else [each.strip() for each in re.split(r"[;,/]", text) if each.strip()]
        keys = [_choice(piece, definition) for piece in pieces] or [whole]
        read_entry(keys, definition, use, units)
        return keys if use in definition.many else "".join(keys)
    if definition.kind is ValueKind.NUMBER:
        text = _with_unit(definition, text, units, kept_in)
    if not definition.key.endswith("_b") or text.strip().lower() != "same":
        read_entry(text, definition, use, kept_in)
    return [text] if definition.kind is ValueKind.GAS else text


def _choice(text: str, definition: Variable) -> str:
    """The key of the choice that is written, or begun: `horiz.`, `semiauto`."""
    wanted = text.casefold().strip().rstrip(".")
    names = [
        (choice.key, (choice.key.casefold().replace("_", " "), choice.label.casefold()))
        for choice in definition.choices
    ]
    exact = [key for key, said in names if wanted in said or wanted == key.casefold()]
    begun = [key for key, said in names if any(each.startswith(wanted) for each in said)]
    return exact[0] if exact else begun[0] if len(begun) == 1 and len(wanted) >= 3 else text


def _with_unit(definition: Variable, text: str, units: str, kept_in: str) -> str:
    if units == kept_in or definition.dimension != "length" or _HAS_UNIT.search(text):
        return text
    return f"{text} {_UNIT[units]}"


def _quantity(text: str) -> int:
    number = number_in(text.strip())
    if not number or number > MOST_PIECES:
        raise EntryError(f"“{text}” is not a whole number from 1 to {MOST_PIECES:,}.")
    return number


def _length(text: str, units: str, kept_in: str) -> str:
    if text.strip().lower() in NOT_APPLICABLE_WORDS:
        return text
    try:
        read_measure(text, "length", units, Manner())
    except QuantityError as error:
        raise EntryError(str(error)) from error
    return text if units == kept_in or _HAS_UNIT.search(text) else f"{text} {_UNIT[units]}"


def _joint(text: str, units: str, kept_in: str, weld_type: str) -> CellEntries:
    plain = " ".join(_LEFT_OUT.sub(" ", text.casefold()).split())
    found: dict[str, str] = {}
    words = plain.split()
    while words:
        taken = next((n for n in (3, 2, 1) if " ".join(words[:n]) in _JOINT_WORDS), 0)
        if not taken:
            raise EntryError(
                f"“{text}” is not a joint: “{words[0]}” is not known. Write the weld, then the joint, such as"
                " fillet tee, V butt or bevel tee."
            )
        key, choice = _JOINT_WORDS[" ".join(words[:taken])]
        if found.setdefault(key, choice) != choice:
            raise EntryError(f"“{text}” names two joints. Write one row for each.")
        words = words[taken:]
    if "groove_type" in found and found.setdefault("weld_type", "groove") != "groove":
        raise EntryError(f"“{text}” is a fillet with a groove. Write what is welded, a groove or a fillet.")
    return CellEntries(
        joint={key: [choice] if key == "weld_type" else choice for key, choice in found.items()}
    )


def _metal(text: str, units: str, kept_in: str, weld_type: str) -> CellEntries:
    sides = [side.strip() for side in _SIDES.split(text, maxsplit=1)]
    if len(sides) == 2 and all(sides):
        return CellEntries(joint={"base_metal_a": sides[0], "base_metal_b": sides[1]})
    return CellEntries(joint={"base_metal_a": text, "base_metal_b": "same"})


def _thickness(text: str, units: str, kept_in: str, weld_type: str) -> CellEntries:
    return CellEntries(joint={**_of("thickness_a", text, units, kept_in).joint, "thickness_b": "same"})


def _position(text: str, units: str, kept_in: str, weld_type: str) -> CellEntries:
    drawn = drawn_position(text)
    if drawn.weld_type and weld_type and drawn.weld_type != weld_type:
        fits = "1F to 5F" if weld_type == "fillet" else "1G to 6G"
        raise EntryError(f"“{text}” is a position of a {drawn.weld_type}, and this is a {weld_type}: {fits}.")
    said = CellEntries(joint={"position": list(drawn.positions)})
    if drawn.weld_type and not weld_type:
        said.joint["weld_type"] = [drawn.weld_type]
    if drawn.pipe_setting:
        said.joint["pipe_setting"] = [drawn.pipe_setting]
    if drawn.progression:
        said.line["progression"] = [drawn.progression]
    return said


def _size(text: str, units: str, kept_in: str, weld_type: str) -> CellEntries:
    plain = text.casefold().strip().rstrip(".")
    if plain in _PENETRATION:
        return CellEntries(joint={"penetration": _PENETRATION[plain]})
    return _of(SIZE_OF.get(weld_type, "fillet_size"), text, units, kept_in)


_IN_WORDS: dict[str, Callable[[str, str, str, str], CellEntries]] = {
    "joint": _joint,
    "metal": _metal,
    "thickness": _thickness,
    "position": _position,
    "size": _size,
}
COLUMN_OF = {
    "weld_type": "joint",
    "joint_form": "joint",
    "groove_type": "joint",
    "base_metal_a": "metal",
    "base_metal_b": "metal",
    "thickness_a": "thickness",
    "thickness_b": "thickness",
    "fillet_size": "size",
    "penetration": "size",
    "deposit_thickness": "size",
    "hole_size": "size",
    "overlay_thickness": "size",
    "pipe_setting": "position",
    "progression": "position",
}
"""The column in words that may have said an entry."""
