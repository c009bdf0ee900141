"""Entries that state two things in one text: a metal with its group, currents with their sizes of electrode,
two gases, a weave with its width, a groove with its angle.

Each goes into its own field where that one is blank.
"""

from __future__ import annotations

import re
from contextlib import suppress

from ..core.gases import GasError
from ..materials.catalogue import group_named, read_metal
from ..materials.gas_notation import read_gas_entry
from ..materials.group_names import GroupError
from ..variables.choice_words import choice_named
from ..variables.registry import registry
from . import settings_rows
from .entry_texts import Entries, Entry, pieces

GASES = ("shielding_gas", "backing_gas", "trailing_gas")
_WEAVE_AND_WIDTH = re.compile(
    r"weav(?:e|ing)(?: bead)?,? ?\(?(?P<width>(?:max\.? |≤ ?)?[\d.].{0,30}?)\)?", re.I
)
_METAL_AND_GROUP = re.compile(
    r"(?P<metal>[^()]{2,60}?) ?\((?P<group>[PMS][- .]?(?:No\.? ?)?\d[^()]{0,30})\)", re.I
)
_OF_A_SIZE = re.compile(
    r"(?P<value>[\d.][\d. –-]*(?:to [\d.]+)?(?: ?A)?) ?\((?P<size>[\d./]+ ?(?:in\.?|mm|\")?)\)", re.I
)
_GROOVE_AND_ANGLE = re.compile(
    r"(?P<groove>[A-Za-z -]{1,40}?)[ ,(]+(?P<angle>\d{2,3} ?(?:°|deg)[^()]{0,20})\)?"
)
_ANGLE_AND_GROOVE = re.compile(r"(?P<angle>\d{2,3} ?(?:°|deg\.?)) (?P<groove>[A-Za-z][A-Za-z -]{0,40})")

_BETWEEN_METALS = re.compile(r" ?[,;&/] ?| and | or | \+ ")
_GROUPS_OF_STEEL = re.compile(
    r"(?:AWS )?(?:D1\.1,? )?groups? (?:I{1,3}|IV)(?: ?(?:,|&|and|or) ?(?:group )?(?:I{1,3}|IV)){0,3}"
    r"(?: steels?)?",
    re.I,
)
_STRIP = re.compile(
    r"(?!.*\b(?:no|without|w/o|ceramic|flux|glass|tape|tile)\b).{0,40}"
    r"\b(?:strip|strap|bar|ring|plate)\b.{0,20}",
    re.I,
)
_AUTOGENOUS = frozenset(
    {"autogenous", "no filler", "none (autogenous)", "without filler", "none, autogenous"}
)


def taken_apart(entries: Entries) -> dict[str, Entry]:
    """The entries that take the place of those in which two things stand; nothing for all others."""
    found: dict[str, Entry] = {}
    for key in ("base_metal_a", "base_metal_b"):
        found |= _group_beside(key, entries)
        found |= _metals_listed(key, {**entries, **found})
    found |= _by_size(entries) | _strip(entries) | _no_filler(entries)
    found |= {key: several for key in GASES if (several := _either_gas(entries.get(key, "")))}
    return found


def _metals_listed(key: str, entries: Entries) -> dict[str, Entry]:
    """`A36, A572-50` and `6061 or 6063` as the metals they name, `Groups I and II` as its groups; nothing
    unless each part is one."""
    texts = pieces(entries.get(key, ""))
    text = texts[0] if len(texts) == 1 else ""
    if match := _GROUPS_OF_STEEL.fullmatch(text):
        return {
            key: [f"Group {number.upper()}" for number in re.findall(r"\bI{1,3}\b|\bIV\b", match[0], re.I)]
        }
    parts = [part.strip() for part in _BETWEEN_METALS.split(text) if part.strip()]
    if len(parts) < 2 or len(text) > 120 or read_metal(text) is not None:
        return {}
    return {key: parts} if all(read_metal(part) for part in parts) else {}


def _strip(entries: Entries) -> dict[str, Entry]:
    """`1/4 x 2 alum strip` under the backing as a strip and what it is of."""
    text = "; ".join(pieces(entries.get("backing", "")))
    if choice_named(registry()["backing"], text) or not (_STRIP.fullmatch(text) or read_metal(text)):
        return {}
    stated = pieces(entries.get("backing_material", ""))
    strip: dict[str, Entry] = {"backing": "metal"}
    return strip if stated else strip | {"backing_material": text}


def _no_filler(entries: Entries) -> dict[str, Entry]:
    """A weld without filler states none: `autogenous`."""
    text = "; ".join(pieces(entries.get("filler_classification", "")))
    if text.lower() not in _AUTOGENOUS or pieces(entries.get("filler_used", "")) not in ([], ["no"]):
        return {}
    return {"filler_classification": "n/a", "filler_used": "no"}


def two_in_one(entries: Entries, came_from: dict[str, str]) -> dict[str, Entry]:
    """A weave and its width, a groove and its angle; `came_from` learns where the second stands."""
    found: dict[str, Entry] = {}
    weave = _WEAVE_AND_WIDTH.fullmatch(" ".join(pieces(entries.get("bead", ""))))
    if weave and not pieces(entries.get("weave_width", "")):
        came_from["weave_width"] = str(entries["bead"])
        found |= {"bead": "weave", "weave_width": weave["width"]}
    typed = " ".join(pieces(entries.get("groove_type", "")))
    groove = _GROOVE_AND_ANGLE.fullmatch(typed) or _ANGLE_AND_GROOVE.fullmatch(typed)
    if groove and not pieces(entries.get("groove_angle", "")):
        came_from["groove_angle"] = str(entries["groove_type"])
        found |= {"groove_type": groove["groove"], "groove_angle": groove["angle"]}
    return found


def _group_beside(key: str, entries: Entries) -> dict[str, Entry]:
    """`SA-516 Gr 70 (P-1 Gr 2)` as the metal and its group; a group in its own field goes before it."""
    match = _METAL_AND_GROUP.fullmatch("; ".join(pieces(entries.get(key, ""))))
    if not match or read_metal(match["metal"]) is None:
        return {}
    with suppress(GroupError):
        if (group := group_named(match["group"])) is not None:
            side = key[-1]
            said = {group.system.side(side): group.number} | (
                {group.system.sub_side(side): group.sub} if group.sub else {}
            )
            stated = any(pieces(entries.get(name, "")) for name in said)
            return {key: match["metal"]} | ({} if stated else said)
    return {}


def _by_size(entries: Entries) -> dict[str, Entry]:
    """`130-180 (5/32); 180-240 (3/16)` under the current as a row of settings for each size."""
    text = "; ".join(pieces(entries.get("amps", "")))
    parts = [part.strip() for part in re.split(r"[;,](?=\s)", text) if part.strip()]
    found = [_OF_A_SIZE.fullmatch(part) for part in parts]
    if len(parts) < 2 or not all(found) or pieces(entries.get(settings_rows.KEY, "")):
        return {}
    rows = [f"{match['size']}: {match['value'].rstrip(' A')} A" for match in found if match]
    return {"amps": "", settings_rows.KEY: "; ".join(rows)}


def _either_gas(entry: Entry) -> list[str]:
    """`Argon or none` as both; none for a text that names one gas."""
    parts = [part.strip() for part in " ".join(pieces(entry)).split(" or ") if part.strip()]
    with suppress(GasError):
        if len(parts) > 1 and all(read_gas_entry(part) for part in parts):
            return parts
    return []
