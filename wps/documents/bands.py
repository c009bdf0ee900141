"""A record's entries arranged as the bands of one sheet, each once and in the place where it is looked for.
Nothing is left out: an entry that has no place of its own stands in the band of its heading."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from qualification.evidence.sides import both_sides_once, parted
from qualification.rules.entries.settings_rows import KEY as BY_SIZE
from wps.documents.entry_values import Value, value_of
from wps.documents.settings_table import SET, Settings, settings_of

OF_THE_WORK = frozenset(("joint_preparation", "fit_up", "run_sequence"))
"""Entries of the joint that say how it is worked on, and stand with the technique."""
NEEDED_AT_THE_ARC = frozenset(("cleaning", "progression"))
"""Entries of the technique that stay on the first page whatever else moves."""
LESS_NEEDED = frozenset(
    (
        "purpose",
        "holds_pressure",
        "toughness_required",
        "temperature_check",
        "preheat_maintenance",
        "part_of_joint",
        "waveform_controlled",
        "supplemental_filler",
        "filler_used",
        "f_number",
        "a_number",
        "deposit_thickness",
        "filler_handling",
        "penetration_flux",
        "trailing_gas",
        "electrodes",
        "electrode_spacing",
        "peening",
        "gun",
        "liner",
        "passes_per_side",
    )
)
"""Entries that move to the second page first where the signatures would not stand on the first."""
FILLER_AND_GAS = ("Filler metal", "Gas")
ALL_OF_THE_TECHNIQUE = 2
"""The level from which the technique moves."""
TECHNIQUE, HEAT = "Technique", ("Position", "Heat")
SHARED = ("label", "found", "qualified", "verdict_words", "record", "clause", "provenance", "when")
"""What findings of two process lines have to agree in to be printed once."""


@dataclass(frozen=True)
class Pair:
    """A label with a value for each process line, or with one for the whole weld."""

    label: str
    values: tuple[Value | None, ...]


@dataclass(frozen=True)
class Band:
    """A named part of the sheet."""

    name: str
    pairs: tuple[Pair, ...]


@dataclass(frozen=True)
class Sides:
    """What is joined: a row per side under the labels."""

    labels: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Value | None, ...]], ...]


@dataclass(frozen=True)
class Sheet:
    """The bands of a record's sheet; the technique in two parts, by the page it stands on."""

    processes: tuple[str, ...]
    joint: tuple[Pair, ...]
    sides: Sides
    metals: tuple[Pair, ...]
    heat: tuple[Pair, ...]
    settings: Settings
    filler_and_gas: tuple[Pair, ...]
    electrical: tuple[Pair, ...]
    on_first: tuple[Pair, ...]
    on_second: tuple[Pair, ...]
    also_stated: tuple[Pair, ...] = ()
    also_by_process: tuple[Pair, ...] = ()
    others: tuple[Band, ...] = ()
    not_stated: tuple[tuple[str, tuple[str, ...]], ...] = ()


def sheet_of(content: Mapping[str, Any], level: int = 0) -> Sheet:
    """The bands of the record's content, as `entered` of its snapshot lists what was stated.

    `level` is how much moves to the second page: 0 nothing; from 1 on entries that are less needed at the
    arc; from 2 on also the technique but for what is needed there.
    """
    less = LESS_NEEDED if level else frozenset()
    whole = [group for group in content["entered"] if group["line"] is None]
    of_lines = [group for group in content["entered"] if group["line"] is not None]
    numbers = list(dict.fromkeys(group["line"] for group in of_lines))
    by_heading = {group["heading"]: group["rows"] for group in whole}
    joint = by_heading.get("Joint", [])
    sides, metals = _sides(by_heading.get("Base metals", []))
    heat = [row for heading in HEAT for row in by_heading.get(heading, [])]
    technique = _of_lines(of_lines, numbers, (TECHNIQUE,))
    filler_and_gas = _of_lines(of_lines, numbers, FILLER_AND_GAS)
    rest = [group["heading"] for group in of_lines if group["heading"] not in (*FILLER_AND_GAS, TECHNIQUE)]
    electrical = {key: pair for key, pair in _of_lines(of_lines, numbers, rest).items() if key not in SET}
    if all(row["state"] == "stated" for group in of_lines for row in group["rows"] if row["key"] == BY_SIZE):
        electrical.pop(BY_SIZE, None)  # they stand as rows of the settings
    if len(numbers) == 1:
        electrical.pop("process", None)  # the settings are headed by it
    first = tuple(pair for key, pair in technique.items() if key in NEEDED_AT_THE_ARC)
    second = (
        *_whole(row for row in joint if row["key"] in OF_THE_WORK),
        *_without(technique, NEEDED_AT_THE_ARC | less),
    )
    if level < ALL_OF_THE_TECHNIQUE:
        first, second = (*first, *second), ()
    known = {"Joint", "Base metals", *HEAT}
    return Sheet(
        processes=tuple(
            next(group["process"] for group in of_lines if group["line"] == number) for number in numbers
        ),
        joint=_whole(row for row in joint if row["key"] not in OF_THE_WORK | less),
        sides=sides,
        metals=_whole(metals),
        heat=_whole(row for row in heat if row["key"] not in less),
        settings=settings_of(of_lines, numbers),
        filler_and_gas=_without(filler_and_gas, less),
        electrical=_without(electrical, less),
        on_first=first,
        on_second=second,
        also_stated=_whole(row for row in (*joint, *heat) if row["key"] in less),
        also_by_process=tuple(
            pair
            for pairs in (electrical, filler_and_gas, technique)
            for key, pair in pairs.items()
            if key in less
        ),
        others=tuple(
            Band(group["heading"], _whole(group["rows"]))
            for group in whole
            if group["heading"] not in known and group["rows"]
        ),
        not_stated=_not_stated(content["entered"], len(numbers)),
    )


def _without(pairs: Mapping[str, Pair], left_out: frozenset[str]) -> tuple[Pair, ...]:
    return tuple(pair for key, pair in pairs.items() if key not in left_out)


def _whole(rows: Iterable[Mapping[str, Any]]) -> tuple[Pair, ...]:
    return tuple(Pair(row["label"], (value_of(row),)) for row in rows)


def _sides(rows: Sequence[Mapping[str, Any]]) -> tuple[Sides, list[Mapping[str, Any]]]:
    """Rows of one side or the other as a table, and the rows of both."""
    found: dict[str, dict[str, Value]] = {}
    rest = []
    for row in rows:
        name, side = parted(row["label"])
        if side.startswith("side "):
            found.setdefault(name, {})[side[-1]] = value_of(row)
        else:
            rest.append(row)
    sides = {side: tuple(each.get(side) for each in found.values()) for side in "AB"}
    if len(set(sides.values())) == 1:
        sides = {"A and B": sides["A"]}
    return Sides(tuple(found), tuple(sides.items())), rest


def _of_lines(
    groups: Sequence[Mapping[str, Any]], numbers: Sequence[int], headings: Sequence[str]
) -> dict[str, Pair]:
    """Rows of these headings by variable, with a value for each process line."""
    found: dict[str, tuple[str, dict[int, Value]]] = {}
    for group in groups:
        for row in group["rows"] if group["heading"] in headings else ():
            found.setdefault(row["key"], (row["label"], {}))[1][group["line"]] = value_of(row)
    return {
        key: Pair(label, tuple(values.get(number) for number in numbers))
        for key, (label, values) in found.items()
    }


def _not_stated(groups: Sequence[Mapping[str, Any]], lines: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What was left blank, by process line."""
    found: dict[str, list[str]] = {}
    for group in groups:
        several = group["line"] is not None and lines > 1
        where = f"{group['process']}, line {group['line'] + 1}" if several else ""
        found.setdefault(where, []).extend(group["not_stated"])
    return tuple((where, tuple(names)) for where, names in found.items() if names)


def findings_of(content: Mapping[str, Any]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Findings that bind: those all of several process lines share, and the rest by line. A row names its
    test where the line rests on several."""
    lines = []
    for line in content.get("findings", ()):
        several = len(line["relied_on"]) != 1
        rows = [
            {**row, "names_test": bool(row["record"]) and several} for row in line["rows"] if row["binds"]
        ]
        lines.append({**line, "rows": rows})
    alike = [{_likeness(row) for row in line["rows"]} for line in lines]
    common = set.intersection(*alike) if len(alike) > 1 else set()
    shared = [row for row in lines[0]["rows"] if _likeness(row) in common] if common else []
    return shared, [
        {**line, "rows": [row for row in line["rows"] if _likeness(row) not in common]} for line in lines
    ]


def _likeness(row: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(str(row[name]) for name in SHARED)


def coupon_bands_of(content: Mapping[str, Any]) -> tuple[Band, ...]:
    """What was stated of a welder's test, by heading. Left out is what stands beside its range with the same
    words."""
    beside = {(row["label"], row["found"]) for row in content.get("range", ())}
    several = len({group["line"] for group in content["entered"] if group["line"] is not None}) > 1
    found = []
    for group in content["entered"]:
        shown = [row for row in group["rows"] if (row["label"], row["words"]) not in beside]
        if shown:
            of_line = f", line {group['line'] + 1}" if several and group["line"] is not None else ""
            name, rows = _both_sides_above(group["heading"], both_sides_once(shown, itemgetter("words")))
            found.append(Band(name + of_line, _whole(rows)))
    return tuple(found)


def _both_sides_above(
    heading: str, rows: Sequence[Mapping[str, Any]]
) -> tuple[str, Sequence[Mapping[str, Any]]]:
    """Heading and rows; where each that is of a side is of both, the heading says so for all of them."""
    of_both = [parted(row["label"])[1] == "both sides" for row in rows if parted(row["label"])[1]]
    if not of_both or not all(of_both):
        return heading, rows
    return f"{heading} of both sides", [{**row, "label": parted(row["label"])[0]} for row in rows]
