"""From what a person typed to facts: each entry read by the definition of its variable, or refused in words.

Entries are plain text, or a list of texts where several choices are claimed; this is also how they are
stored, so that nothing typed is ever lost. An empty entry is missing; `n/a` says it does not apply.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .catalogue import find_filler, find_metal, nearest_fillers, nearest_metals
from .facts import Facts, Weld
from .gases import GasError, read_gas
from .problems import Problem
from .quantities import SI, US, QuantityError, read_quantity, show_interval
from .values import MISSING, NOT_APPLICABLE, Interval, Stated
from .variables import Kind, Level, Use, Variable, registry

Entry = str | Sequence[str]
Entries = Mapping[str, Entry]

NOT_APPLICABLE_WORDS = frozenset({"n/a", "na", "n.a.", "not applicable"})
SAME_WORDS = frozenset({"same", "same as a", "as side a", "="})


class EntryError(ValueError):
    """One entry could not be read; the message says how to write it."""


@dataclass(frozen=True)
class ReadWeld:
    weld: Weld
    problems: tuple[Problem, ...]


def read_weld(joint: Entries, lines: Sequence[Entries], use: Use, system: str, name: str = "") -> ReadWeld:
    """Read a whole record. Entries with a problem count as missing, and the problem says so."""
    joint_facts, problems = _read_level(joint, use, system, Level.JOINT, None)
    line_facts = []
    for index, entries in enumerate(lines):
        facts, found = _read_level(entries, use, system, Level.LINE, index)
        line_facts.append(facts)
        problems += found
    return ReadWeld(Weld(joint_facts, tuple(line_facts), name), tuple(problems))


def _read_level(entries: Entries, use: Use, system: str, level: Level, line: int | None) -> tuple[Facts, list[Problem]]:
    values: dict[str, Stated] = {}
    problems: list[Problem] = []
    for key, entry in with_same_filled_in(entries).items():
        definition = registry().get(key)
        if definition is None or definition.level is not level or definition.derived:
            problems.append(Problem(key, f"“{key}” is not something a {level.value} states; remove it.", line))
            continue
        try:
            values[key] = read_entry(entry, definition, use, system)
        except EntryError as error:
            problems.append(Problem(key, f"{definition.label}: {error}", line))
    problems += _names_without_a_group(values, line)
    return Facts(values), _told_once(problems, entries)


def _told_once(problems: list[Problem], entries: Entries) -> list[Problem]:
    """What is wrong with side A is not told again of a side B that says “same”."""
    told = {problem.key for problem in problems}
    return [p for p in problems if not (_says_same(p.key, entries.get(p.key)) and _side_a(p.key) in told)]


def _says_same(key: str, entry: Entry | None) -> bool:
    return key.endswith("_b") and isinstance(entry, str) and entry.strip().lower() in SAME_WORDS


def _side_a(key: str) -> str:
    return key.removesuffix("_b") + "_a"


def with_same_filled_in(entries: Entries) -> dict[str, Entry]:
    """“same” on side B stands for whatever was typed on side A."""
    filled = dict(entries)
    for key, entry in entries.items():
        if _says_same(key, entry):
            filled[key] = entries.get(_side_a(key), "")
    return filled


def read_entry(entry: Entry, definition: Variable, use: Use, system: str) -> Stated:
    """One entry as a value. Raises EntryError with how to write it."""
    parts = [entry] if isinstance(entry, str) else list(entry)
    parts = [part.strip() for part in parts if part.strip()]
    if not parts:
        return MISSING
    if len(parts) == 1 and parts[0].lower() in NOT_APPLICABLE_WORDS:
        return NOT_APPLICABLE
    if definition.kind is Kind.NUMBER:
        return _number("; ".join(parts), definition, use, system)
    if definition.kind is Kind.TEXT:
        return " ".join(" ".join(parts).split())
    return _choices(parts, definition, use)


def _number(text: str, definition: Variable, use: Use, system: str) -> Interval:
    try:
        reading = read_quantity(text, str(definition.dimension), system, many=use in definition.many)
    except QuantityError as error:
        raise EntryError(str(error)) from error
    found = reading.interval
    assert found.low is not None
    if found.low == 0 and found.high == 0 and not definition.zero and definition.dimension not in ("temperature", "voltage", "number"):
        raise EntryError(f"“{text}” is zero. Enter a number above zero, or n/a if it does not apply.")
    plausible = definition.plausible_interval
    if plausible is not None and not found.within(plausible):
        span = show_interval(plausible, str(definition.dimension), system)
        other = show_interval(plausible, str(definition.dimension), SI if system == US else US)
        limits = span if span == other else f"{span} ({other})"
        raise EntryError(f"“{text}” lies outside what this field takes, {limits}. Check the number and its unit.")
    return found


def _choices(parts: list[str], definition: Variable, use: Use) -> frozenset[str]:
    pieces = parts if len(parts) > 1 or definition.kind is Kind.GAS else [p.strip() for p in parts[0].split(";") if p.strip()]
    found = [_choice(piece, definition) for piece in pieces]
    if len(set(found)) > 1 and use not in definition.many:
        raise EntryError(f"names {len(set(found))} things; a {use.value} states one.")
    return frozenset(found)


def _choice(text: str, definition: Variable) -> str:
    if definition.kind is Kind.GAS:
        try:
            return read_gas(text)
        except GasError as error:
            raise EntryError(str(error)) from error
    if definition.kind is Kind.METAL:
        metal = find_metal(text)
        return metal.key if metal else " ".join(text.split())
    if definition.kind is Kind.FILLER:
        filler = find_filler(text)
        return filler.key if filler else " ".join(text.split())
    wanted = text.casefold()
    for choice in definition.choices:
        if wanted in (choice.key.casefold(), choice.label.casefold()):
            return choice.key
    names = ", ".join(choice.label for choice in definition.choices[:12])
    more = "" if len(definition.choices) <= 12 else ", …"
    raise EntryError(f"“{text}” is not one of the choices: {names}{more}.")


_GROUP_OF = {"base_metal_a": "p_number_a", "base_metal_b": "p_number_b", "filler_classification": "f_number"}


def _names_without_a_group(values: Mapping[str, Stated], line: int | None) -> list[Problem]:
    """A name the catalogue does not know is accepted once its group is stated; otherwise it is most likely a
    slip, and the rules could say nothing about it."""
    problems = []
    for key, group_key in _GROUP_OF.items():
        names, group = values.get(key), values.get(group_key)
        if not isinstance(names, frozenset) or isinstance(group, frozenset):
            continue
        finder, nearest = (find_filler, nearest_fillers) if key == "filler_classification" else (find_metal, nearest_metals)
        for name in sorted(names):
            if finder(name) is None:
                close = nearest(name)
                hint = f" Did you mean {' or '.join(close)}?" if close else ""
                label, group_label = registry()[key].label, registry()[group_key].label
                problems.append(Problem(
                    key, f"{label}: “{name}” is not in the catalogue.{hint} Correct it, or state its {group_label} yourself.", line))
    return problems
