"""From what a person typed to facts: each entry read by the definition of its variable, or refused in words.

Entries are plain text, or a list of texts where several choices are claimed; this is also how they are
stored, so that nothing typed is ever lost. An empty entry is missing; `n/a` says it does not apply.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..core.facts import Facts, Weld
from ..core.problems import Problem
from ..core.quantities import show_both
from ..core.values import NOT_APPLICABLE, Interval, Stated
from ..materials.catalogue import (
    find_filler,
    find_metal,
    nearest_fillers,
    nearest_metals,
)
from ..materials.gas_notation import facts_of_groups
from ..materials.iso_designations import read_iso_filler
from ..variables.absence import why_not_na
from ..variables.definition import Level, RecordKind, ValueKind, Variable
from ..variables.metal_systems import SYSTEMS
from ..variables.registry import registry
from .completing import (
    Entries,
    completed,
    directions,
    family_of,
    groups_of_other_codes,
    other_direction,
    says_same,
    side_a,
    with_direction,
)
from .completing import Entry as Entry
from .completing import with_same_filled_in as with_same_filled_in
from .derive import ALIKE
from .one_entry import LONGEST_TEXT as LONGEST_TEXT
from .one_entry import NOT_APPLICABLE_WORDS as NOT_APPLICABLE_WORDS
from .one_entry import RECORDED, EntryError, plain, read_entry, texts_of, understood_as
from .set_aside import set_aside

SET_ASIDE = "set aside, does not apply to this weld"
"""How an entry is read that another entry makes meaningless."""


@dataclass(frozen=True)
class ReadWeld:
    weld: Weld
    problems: tuple[Problem, ...]
    readings: Mapping[tuple[int | None, str], str] = field(default_factory=dict)
    """By line and variable, how an entry was understood that is not written as it is understood."""
    aside: Mapping[tuple[int | None, str], str] = field(default_factory=dict)
    """By line and variable, what is typed but says nothing here, since another entry gives it no meaning."""


def read_weld(
    joint: Entries,
    lines: Sequence[Entries],
    use: RecordKind,
    system: str,
    name: str = "",
    speaks: frozenset[str] | None = None,
) -> ReadWeld:
    """Read a whole record. Entries with a problem count as missing, and the problem says so. `speaks`, of an
    edition, lets messages name the variables that edition asks for."""
    joint_facts, problems, readings, aside = _read_level(joint, use, system, Level.JOINT, None, speaks)
    family, up_or_down = family_of(joint), directions(joint)
    line_facts = []
    for index, typed in enumerate(lines):
        entries = with_direction(typed, up_or_down)
        problems += other_direction(entries, up_or_down, index)
        facts, found, understood, left = _read_level(entries, use, system, Level.LINE, index, speaks, family)
        line_facts.append(facts)
        problems += found
        readings |= understood
        aside |= left
    return ReadWeld(Weld(joint_facts, tuple(line_facts), name), tuple(problems), readings, aside)


Readings = dict[tuple[int | None, str], str]


def _read_level(
    entries: Entries,
    use: RecordKind,
    system: str,
    level: Level,
    line: int | None,
    speaks: frozenset[str] | None,
    family: str = "",
) -> tuple[Facts, list[Problem], Readings, Readings]:
    values: dict[str, Stated] = {}
    readings: Readings = {}
    whole = completed(entries, system, family)
    problems = [replace(problem, line=line) for problem in whole.problems]
    for key, entry in whole.entries.items():
        definition = registry().get(key)
        if definition is None or definition.level is not level or definition.derived:
            problems.append(
                Problem(key, f"“{key}” is not something a {level.value} states; remove it.", line)
            )
            continue
        try:
            if key in whole.refused:
                raise EntryError(whole.refused[key])
            values[key] = read_entry(entry, definition, use, system)
            understood = understood_as(entry, definition, use, system)
        except EntryError as error:
            problems.append(Problem(key, f"{definition.label}: {error}", line))
            continue
        if definition.kind is ValueKind.GAS:
            values |= facts_of_groups(key, texts_of(entry))
        if key in whole.came_from:
            said = values[key]
            words = said if isinstance(said, str) else plain(entry)
            if isinstance(said, Interval):
                words = show_both(said, str(definition.dimension), system)
            understood = f"{words}, from {whole.came_from[key]}"
        if understood:
            readings[line, key] = understood
    aside = set_aside(whole.entries, values)
    left: Readings = {}
    for key in aside:
        if values.get(key) is not NOT_APPLICABLE:
            values.pop(key, None)
            readings.pop((line, key), None)
            if typed := plain(whole.entries[key]).strip():
                left[line, key] = typed
                readings[line, key] = SET_ASIDE
    problems = [problem for problem in problems if problem.key not in aside]
    problems += groups_of_other_codes(whole.entries, line, speaks)
    problems += _marked_without_cause(values, line)
    if says_same("thickness_b", entries.get("thickness_b")) and _is_a_range(values.get("thickness_b")):
        values[ALIKE] = frozenset({"yes"})
    problems += _names_without_a_group(values, line, speaks)
    problems += _several_wires(values, use, line)
    return Facts(values), _told_once(problems, entries), readings, left


def _marked_without_cause(values: dict[str, Stated], line: int | None) -> list[Problem]:
    """What is marked `n/a` although every such weld has it; it is taken out of `values`, so it reads as
    missing."""
    facts = Facts(values)
    found = [
        Problem(key, f"{registry()[key].label}: {reason}", line)
        for key, value in facts.items()
        if value is NOT_APPLICABLE and (reason := why_not_na(key, facts))
    ]
    for problem in found:
        del values[problem.key]
    return found


_WIRE_FED = frozenset({"GMAW", "FCAW", "SAW"})


def _several_wires(values: dict[str, Stated], use: RecordKind, line: int | None) -> list[Problem]:
    """A coupon welded with several diameters of wire: each is a line of its own, since its settings are."""
    process = values.get("process")
    if (
        use not in RECORDED
        or not _is_a_range(values.get("filler_diameter"))
        or not (isinstance(process, frozenset) and process & _WIRE_FED)
    ):
        return []
    del values["filler_diameter"]
    label = registry()["filler_diameter"].label
    return [
        Problem(
            "filler_diameter",
            f"{label}: names several sizes of wire. Give each its own process line; its settings differ.",
            line,
        )
    ]


def _is_a_range(value: Stated | None) -> bool:
    return isinstance(value, Interval) and not value.is_point


def _told_once(problems: list[Problem], entries: Entries) -> list[Problem]:
    """What is wrong with side A is not told again of a side B that says “same”."""
    told = {problem.key for problem in problems}
    return [p for p in problems if not (says_same(p.key, entries.get(p.key)) and side_a(p.key) in told)]


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
            if finder(name) is None and not _says_its_group(key, name, speaks):
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


def _says_its_group(key: str, name: str, speaks: frozenset[str] | None) -> bool:
    """True for an ISO designation of a filler on a record that is asked for the groups it says."""
    return (
        key == "filler_classification"
        and read_iso_filler(name) is not None
        and (speaks is None or registry()["filler_group"].asked_by(speaks))
    )


def _asked_group(keys: Sequence[str], speaks: frozenset[str] | None) -> Variable:
    """The variable in which a record of that edition states a group; the first one where none is known."""
    asked = [registry()[key] for key in keys if speaks is not None and registry()[key].asked_by(speaks)]
    return asked[0] if asked else registry()[keys[0]]
