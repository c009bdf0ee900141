"""Entries that are written inside another one: side B as “same”, the temper behind an alloy (`6061-T6`), the
specification before it (`SA312 TP316L`), a group of metals in place of a metal (`P-1 Gr 1`).

Sizes of pipe and sheet that hang on another entry are in `size_entries.py`. Nothing typed is changed. Each is
put into its own field where that one is blank, as text, and read there like anything typed; where both are
stated and differ, the message says so.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field

from ..core.gases import GasError
from ..core.problems import Problem
from ..core.quantities import US, QuantityError
from ..materials.catalogue import Metal, MetalName, group_named, read_metal
from ..materials.gas_notation import read_gas_entry
from ..materials.gas_writing import flow_behind
from ..materials.group_names import GroupError, GroupName
from ..materials.spelling import name_and_size
from ..variables.choice_words import choice_named, choices_named
from ..variables.definition import RecordKind
from ..variables.metal_systems import SIDES
from ..variables.registry import registry
from . import settings_rows
from .entry_texts import LONGEST, pieces
from .entry_texts import Entries as Entries
from .entry_texts import Entry as Entry
from .heat_treatment_entries import treatment_stated
from .notation import Manner, read_measure
from .position_entries import direction_of, names_in, positions
from .several_in_one import GASES, taken_apart, two_in_one
from .size_entries import SizeEntries, size_entries

SAME_WORDS = frozenset({"same", "same as a", "as side a", "same as side a", "as a", "idem", "ditto", "="})
OF_THE_SAME_METAL = ("temper", "material_spec")
"""What “same” under the metal of side B says besides, where side B does not state its own."""


@dataclass(frozen=True)
class Completed:
    """The entries of one level with what they say of one another."""

    entries: Mapping[str, Entry]
    came_from: Mapping[str, str]
    """For each entry that was filled in, the text it stands in."""
    problems: tuple[Problem, ...] = ()
    refused: Mapping[str, str] = field(default_factory=dict)
    """Entries that can be read in two ways, with the question that asks."""


def says_same(key: str, entry: Entry | None) -> bool:
    """True for “same” under an entry of side B, in any of its spellings."""
    return key.endswith("_b") and isinstance(entry, str) and entry.strip().lower() in SAME_WORDS


def side_a(key: str) -> str:
    """The key of the same entry on side A: `base_metal_a` of `base_metal_b`."""
    return key.removesuffix("_b") + "_a"


def with_same_filled_in(typed: Entries) -> dict[str, Entry]:
    """“same” on side B stands for whatever was typed on side A."""
    return {key: typed.get(side_a(key), "") if says_same(key, e) else e for key, e in typed.items()}


def family_of(joint: Entries) -> str:
    """The one family all base metals of a joint are of; empty where they are not stated or of several."""
    named = [
        _metal(text)
        for side in SIDES
        for text in pieces(with_same_filled_in(joint).get(f"base_metal_{side}", ""))
    ]
    families = {metal.family if metal else "" for metal in named}
    return families.pop() if len(families) == 1 else ""


def _two_metals(typed: Entries) -> dict[str, Entry]:
    """Both metals, where they are typed as one entry of side A and nothing stands on side B."""
    pair = _PAIR.fullmatch("; ".join(pieces(typed.get("base_metal_a", ""))))
    if pair and not pieces(typed.get("base_metal_b", "")) and all(_is_metal(pair[end]) for end in "ab"):
        return {"base_metal_a": pair["a"], "base_metal_b": pair["b"]}
    return {}


def completed(typed: Entries, system: str = US, family: str = "") -> Completed:
    """The entries with what is written inside others put into its own field; see above. `family`, of a line's
    base metals, lets two bare shares of a gas be read."""
    entries = with_same_filled_in(typed)
    pair = _two_metals(typed)
    entries |= pair
    came_from = {"base_metal_b": str(typed["base_metal_a"])} if pair else {}
    entries |= taken_apart(entries)
    if family:
        entries |= {key: _gases(entries[key], family) for key in GASES if key in entries}
    if says_same("base_metal_b", typed.get("base_metal_b")):
        for key in OF_THE_SAME_METAL:
            if pieces(typed.get(f"{key}_a", "")) and not pieces(typed.get(f"{key}_b", "")):
                entries[f"{key}_b"], came_from[f"{key}_b"] = typed[f"{key}_a"], "“same”"
    problems: list[Problem] = []
    for side in SIDES:
        key = f"base_metal_{side}"
        for name, text in _in_metal(key, side, entries, problems).items():
            if not pieces(entries.get(name, "")):
                entries[name], came_from[name] = text, " ".join(pieces(entries[key]))
    transfer = TRANSFER.get("".join(pieces(entries.get("process", ""))).upper())
    beside = {"transfer_mode": (transfer or "", "process")} | {
        key.replace("_gas", "_flow"): (flow_behind(" ".join(pieces(entries.get(key, "")))), key)
        for key in GASES
    }
    name, size = name_and_size("; ".join(pieces(entries.get("filler_classification", ""))))
    if size:
        beside["filler_diameter"] = (size, "filler_classification")
    flux = _FLUX_AND_WIRE.fullmatch(name.strip())
    if flux:
        beside["flux_wire_class"] = (name, "filler_classification")
        name = flux["wire"]
    if rows_text := "; ".join(pieces(entries.get(settings_rows.KEY, ""))):
        settings, conflicts = _settings(rows_text, entries, system)
        entries |= settings
        came_from |= dict.fromkeys(settings, "settings by electrode size")
        problems += conflicts
    for key, (said, source) in beside.items():
        if said and not pieces(entries.get(key, "")):
            entries[key], came_from[key] = said, " ".join(pieces(entries[source]))
    if size or flux:
        entries["filler_classification"] = name
    entries |= two_in_one(entries, came_from)
    treated, question = treatment_stated(entries, family or family_of(entries), system, came_from)
    entries |= treated
    entries, refused = _positions(entries)
    if question:
        refused["pwht"] = question
    if any(key in entries for key in _SIZED):
        found = _sizes(entries, system)
        entries |= found.rewritten | found.filled
        came_from |= found.filled
        problems += found.problems
        refused |= found.refused
        if says_same("thickness_b", typed.get("thickness_b")) and "thickness_a" in found.filled:
            entries["thickness_b"] = came_from["thickness_b"] = found.filled["thickness_a"]
    return Completed(entries, came_from, tuple(problems), refused)


_PAIR = re.compile(r"(?P<a>.{1,60}?) (?:welded )?to (?P<b>.{1,60})", re.IGNORECASE)


def _is_metal(text: str) -> bool:
    try:
        return group_named(text) is not None or read_metal(text) is not None
    except GroupError:
        return False


_FLUX_AND_WIRE = re.compile(r"F\d{1,2}[AP][Z\d]{1,2}-(?P<wire>E[A-Z0-9-]+)", re.IGNORECASE)
TRANSFER = {"GMAW-S": "short_circuit", "GMAW-P": "pulsed_spray"}
"""What the name of a process says of its transfer mode."""


def _gases(entry: Entry, family: str) -> Entry:
    """The entry with two bare shares written out as the gases they are in this family of metals."""
    texts = [entry] if isinstance(entry, str) else list(entry)
    found = [_gas(text, family) for text in texts if len(text) <= LONGEST]
    return entry if len(found) < len(texts) else found[0] if isinstance(entry, str) else found


def _gas(text: str, family: str) -> str:
    try:
        read_gas_entry(text)
    except GasError:
        try:
            return read_gas_entry(text, family).key
        except GasError:
            return text
    return text


def _positions(entries: dict[str, Entry]) -> tuple[dict[str, Entry], dict[str, str]]:
    """Positions written as the code's own, and what some of them leave open, by key."""
    weld_type, form = (
        choice_named(registry()[key], text) or text.lower()
        for key in ("weld_type", "product_form")
        for text in ["".join(pieces(entries.get(key, "")))]
    )
    refused: dict[str, str] = {}
    for key in ("test_position", "position"):
        texts = pieces(entries.get(key, ""))
        if not any(names_in(text) for text in texts):
            continue
        found = positions(texts, key, weld_type, form)
        open_ones = [each.refusal for each in found if each.refusal]
        if open_ones:
            refused[key] = open_ones[0]
        else:
            entries = {**entries, key: list(dict.fromkeys(one for each in found for one in each.choices))}
    return entries, refused


def directions(joint: Entries) -> frozenset[str]:
    """The directions that positions of ISO 6947 on the joint say its vertical welds are made in."""
    typed = [text for key in ("test_position", "position") for text in pieces(joint.get(key, ""))]
    return frozenset(
        direction
        for text in typed
        if (names_in(text) or choices_named(registry()["position"], text, RecordKind.SPEC))
        and (direction := direction_of(text))
    )


def with_direction(line: Entries, said: frozenset[str]) -> Entries:
    """The line with the direction of welding that the position of its joint says, where it states none."""
    if len(said) != 1 or pieces(line.get("progression", "")):
        return line
    return {**line, "progression": next(iter(said))}


def other_direction(line: Entries, said: frozenset[str], index: int) -> list[Problem]:
    """A direction of welding that is not the one the position of ISO 6947 says."""
    stated = {text.lower() for text in pieces(line.get("progression", ""))}
    own = {choice.key for choice in registry()["progression"].choices}
    if not said or not stated or not stated <= own or stated <= said:
        return []
    label = registry()["progression"].label
    words = " and ".join(sorted(registry()["progression"].choice_label(each).lower() for each in said))
    return [Problem("progression", f"{label}: the position says {words}. Correct one of them.", index)]


def groups_of_other_codes(entries: Entries, line: int | None, speaks: frozenset[str] | None) -> list[Problem]:
    """Groups written for a metal whose system the edition does not have."""
    found: list[Problem] = []
    if speaks is None:
        return found
    for key in ("base_metal_a", "base_metal_b"):
        for text in pieces(entries.get(key, "")):
            try:
                group = group_named(text)
            except GroupError:
                continue  # said where the entry is read
            if group is not None and group.system.stem not in speaks:
                found.append(
                    Problem(
                        key,
                        f"{registry()[key].label}: “{text}” is a group by {group.system.label}, which this"
                        " code does not use. Name the metal, or its group by this code.",
                        line,
                    )
                )
    return found


_SIZED = ("diameter", "thickness_a", "thickness_b")


def _sizes(entries: Entries, system: str) -> SizeEntries:
    single = {key: "; ".join(pieces(entries.get(key, ""))) for key in (*_SIZED, "product_form")}
    metals = {
        side: [_metal(text) for text in pieces(entries.get(f"base_metal_{side}", ""))] for side in SIDES
    }
    return size_entries(single, metals, system)


def _metal(text: str) -> Metal | None:
    named = read_metal(text)
    return named.metal if named else None


def _settings(text: str, entries: Entries, system: str) -> tuple[dict[str, str], list[Problem]]:
    """What rows of settings say of the line where it does not state it, and what disagrees with it."""
    try:
        rows = settings_rows.read_rows(text, system)
    except QuantityError:
        return {}, []  # said where the entry itself is read
    units = {"filler_diameter": "mm", "amps": "A", "volts": "V", "wire_feed": "mm/min"}
    found: dict[str, str] = {}
    problems: list[Problem] = []
    for key, span in settings_rows.spans(rows).items():
        stated = "; ".join(pieces(entries.get(key, "")))
        if not stated:
            ends = list(dict.fromkeys(f"{end:f}" for end in (span.low, span.high) if end is not None))
            found[key] = f"{' to '.join(ends)} {units[key]}"
            continue
        with suppress(QuantityError):
            dimension = str(registry()[key].dimension)
            value = read_measure(stated, dimension, system, Manner(thing=key)).interval
            if value is not None and not span.within(value):
                label = registry()[key].label
                problems.append(
                    Problem(settings_rows.KEY, f"Settings: a row lies outside {label.lower()} {stated}.")
                )
    return found, problems


def _in_metal(key: str, side: str, entries: Entries, problems: list[Problem]) -> dict[str, Entry]:
    """What the name of the metal says besides."""
    texts = pieces(entries.get(key, ""))
    try:
        groups = [group for text in texts if (group := group_named(text)) is not None]
    except GroupError:
        return {}  # said where the entry itself is read
    if groups:
        return _of_groups(key, side, groups, len(texts), entries, problems)
    named = [read_metal(text) for text in texts]
    names = [name for name in named if name is not None]
    return _of_names(key, side, names, entries, problems) if names and len(names) == len(named) else {}


def _of_groups(
    key: str, side: str, groups: list[GroupName], texts: int, entries: Entries, problems: list[Problem]
) -> dict[str, Entry]:
    systems = {group.system.stem: group.system for group in groups}
    if len(systems) > 1 or len(groups) < texts:
        return {}  # said where the entry itself is read
    (system,) = systems.values()
    found: dict[str, Entry] = {system.side(side): [group.number for group in groups]}
    subs = [group.sub for group in groups if group.sub]
    if subs and len(subs) == len(groups):
        found[system.sub_side(side)] = subs
    for name, numbers in found.items():
        stated = {text.upper().removeprefix(system.prefix.upper()) for text in pieces(entries.get(name, ""))}
        if stated and stated != set(numbers):
            problems.append(
                Problem(
                    key,
                    f"Base metal: {' and '.join(group.words for group in groups)} is written here and"
                    f" {', '.join(sorted(stated))} under {system.label}. Correct one of them.",
                )
            )
    return found


def _of_names(
    key: str, side: str, names: list[MetalName], entries: Entries, problems: list[Problem]
) -> dict[str, Entry]:
    found: dict[str, Entry] = {}
    for name, said in (
        (f"temper_{side}", {each.temper for each in names}),
        (f"material_spec_{side}", {each.specification for each in names}),
    ):
        if len(said) == 1 and (text := said.pop()):
            found[name] = text
    temper = str(found.get(f"temper_{side}", ""))
    stated = "".join(pieces(entries.get(f"temper_{side}", ""))).upper()
    if temper and stated and not (stated.startswith(temper) or temper.startswith(stated)):
        problems.append(
            Problem(
                key,
                f"Base metal: temper {temper} is written behind the alloy and {stated} under temper. Correct"
                " one of them.",
            )
        )
    return found
