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
from .iso_fillers import written
from .metal_systems import SYSTEMS
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


def read_weld(
    joint: Entries,
    lines: Sequence[Entries],
    use: Use,
    system: str,
    name: str = "",
    speaks: frozenset[str] | None = None,
) -> ReadWeld:
    """Read a whole record. Entries with a problem count as missing, and the problem says so. `speaks`, of an
    edition, lets messages name the variables that edition asks for."""
    joint_facts, problems = _read_level(joint, use, system, Level.JOINT, None, speaks)
    line_facts = []
    for index, entries in enumerate(lines):
        facts, found = _read_level(entries, use, system, Level.LINE, index, speaks)
        line_facts.append(facts)
        problems += found
    return ReadWeld(Weld(joint_facts, tuple(line_facts), name), tuple(problems))


def _read_level(
    entries: Entries, use: Use, system: str, level: Level, line: int | None, speaks: frozenset[str] | None
) -> tuple[Facts, list[Problem]]:
    values: dict[str, Stated] = {}
    problems: list[Problem] = []
    for key, entry in with_same_filled_in(entries).items():
        definition = registry().get(key)
        if definition is None or definition.level is not level or definition.derived:
            problems.append(
                Problem(key, f"“{key}” is not something a {level.value} states; remove it.", line)
            )
            continue
        try:
            values[key] = read_entry(entry, definition, use, system)
        except EntryError as error:
            problems.append(Problem(key, f"{definition.label}: {error}", line))
    problems += _names_without_a_group(values, line, speaks)
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
    if (
        found.low == 0
        and found.high == 0
        and not definition.zero
        and definition.dimension not in ("temperature", "voltage", "number")
    ):
        raise EntryError(f"“{text}” is zero. Enter a number above zero, or n/a if it does not apply.")
    plausible = definition.plausible_interval
    if plausible is not None and not found.within(plausible):
        span = show_interval(plausible, str(definition.dimension), system)
        other = show_interval(plausible, str(definition.dimension), SI if system == US else US)
        limits = span if span == other else f"{span} ({other})"
        raise EntryError(
            f"“{text}” lies outside what this field takes, {limits}. Check the number and its unit."
        )
    return found


def _choices(parts: list[str], definition: Variable, use: Use) -> frozenset[str]:
    pieces = (
        parts
        if len(parts) > 1 or definition.kind is Kind.GAS
        else [p.strip() for p in parts[0].split(";") if p.strip()]
    )
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
    if definition.kind is Kind.DESIGNATION:
        return written(text)
    wanted = text.casefold()
    for choice in definition.choices:
        if wanted in (choice.key.casefold(), choice.label.casefold()):
            return choice.key
    names = ", ".join(choice.label for choice in definition.choices[:12])
    more = "" if len(definition.choices) <= 12 else ", …"
    raise EntryError(f"“{text}” is not one of the choices: {names}{more}.")


_GROUPS_OF = {
    "base_metal_a": tuple(system.side("a") for system in SYSTEMS.values()),
    "base_metal_b": tuple(system.side("b") for system in SYSTEMS.values()),
    "filler_classification": ("f_number", "filler_group", "iso_filler"),
}
"""Names, and the variables in which a person may state the group of one, for whatever code."""


def _names_without_a_group(
    values: Mapping[str, Stated], line: int | None, speaks: frozenset[str] | None
) -> list[Problem]:
    """A name the catalogue does not know is accepted once its group is stated; otherwise it is most likely a
    slip, and the rules could say nothing about it."""
    problems = []
    for key, group_keys in _GROUPS_OF.items():
        names = values.get(key)
        if not isinstance(names, frozenset) or any(
            isinstance(values.get(group), frozenset) for group in group_keys
        ):
            continue
        finder, nearest = (
            (find_filler, nearest_fillers) if key == "filler_classification" else (find_metal, nearest_metals)
        )
        for name in sorted(names):
            if finder(name) is None:
                close = nearest(name)
                hint = f" Did you mean {' or '.join(close)}?" if close else ""
                label, group_label = registry()[key].label, _asked_group(group_keys, speaks).label
                problems.append(
                    Problem(
                        key,
                        f"{label}: “{name}” is not in the catalogue.{hint} Correct it, or state its"
                        f" {group_label} yourself.",
                        line,
                    )
                )
    return problems


def _asked_group(keys: Sequence[str], speaks: frozenset[str] | None) -> Variable:
    """The variable in which a record of that edition states a group; the first one where none is known."""
    asked = [registry()[key] for key in keys if speaks is not None and registry()[key].asked_by(speaks)]
    return asked[0] if asked else registry()[keys[0]]
