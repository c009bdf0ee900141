"""From what a person typed of a test result to the result, or what is wrong with the entry.

An entry is a mapping of field to text with its `kind`; this is also how it is stored. An entry that states
nothing beside its kind, name and position is a row nobody has filled in yet, and no result.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from decimal import Decimal
from typing import Any

from ..core.problems import Problem
from ..core.quantities import SI
from .result_fields import FIELDS, RESULTS, field
from .result_readers import ResultError, read_field, small
from .results import (
    BENDS,
    VOLUMETRIC,
    Bend,
    Fracture,
    Impact,
    Result,
    ResultKind,
    SpecimenForm,
    Tension,
    Volumetric,
)

Entry = Mapping[str, str]
IDENTITY = frozenset({"kind", "specimen", "position"})
"""Fields that say which specimen a row is for, and nothing of what was found."""


@dataclass(frozen=True)
class ReadResult:
    """One entry as read. `result` is `None` where nothing is filled in or its kind is unknown."""

    index: int
    kind: ResultKind | None
    specimen: str
    values: Mapping[str, Any]
    result: Result | None
    problems: tuple[Problem, ...]


def read_results(entries: Iterable[Entry], system: str) -> tuple[tuple[Result, ...], tuple[Problem, ...]]:
    """All results that are filled in, and everything wrong with the entries.

    A problem's key is the place of the entry and the field: `2.load`.
    """
    read = read_each(entries, system)
    return tuple(r.result for r in read if r.result is not None), tuple(p for r in read for p in r.problems)


def read_each(entries: Iterable[Entry], system: str) -> tuple[ReadResult, ...]:
    """Each entry on its own, in order; names that stand twice are a problem of the later one."""
    found: list[ReadResult] = []
    names: set[tuple[ResultKind, str]] = set()
    for index, entry in enumerate(entries):
        read = _read(entry, index, system)
        name = (read.kind, read.specimen.casefold())
        if read.result is not None and read.kind is not None:
            if name in names:
                message = (
                    f"Specimen: {read.specimen} is entered twice among the {read.kind.counted(2)}. Give each"
                    " a name of its own."
                )
                read = ReadResult(
                    index,
                    read.kind,
                    read.specimen,
                    read.values,
                    read.result,
                    (*read.problems, Problem(f"{index}.specimen", message)),
                )
            names.add(name)  # type: ignore[arg-type]
        found.append(read)
    return tuple(found)


def is_blank(entry: Entry) -> bool:
    """True for a row in which nothing is stated beside its kind, name and position."""
    return not any(str(text).strip() for key, text in entry.items() if key not in IDENTITY)


def _read(entry: Entry, index: int, system: str) -> ReadResult:
    specimen = " ".join(str(entry.get("specimen", "")).split())
    try:
        kind = ResultKind(entry.get("kind", ""))
    except ValueError:
        message = f"Kind: “{entry.get('kind', '')}” is not a kind of test result. Choose one of those listed."
        return ReadResult(index, None, specimen, {}, None, (Problem(f"{index}.kind", message),))
    if is_blank(entry):
        return ReadResult(index, kind, specimen, {}, None, ())
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    who = specimen or kind.words.capitalize()
    for definition in FIELDS[kind]:
        try:
            values[definition.key] = read_field(str(entry.get(definition.key, "")), definition, system)
        except ResultError as error:
            problems.append(
                Problem(f"{index}.{definition.key}", f"{who}, {small(definition.label)}: {error}")
            )
    known = {f.key for f in FIELDS[kind]} | {"kind"}
    for key in entry:
        if key not in known and str(entry[key]).strip():
            problems.append(
                Problem(
                    f"{index}.kind", f"{who}: a {kind.words} states no {key.replace('_', ' ')}. Remove it."
                )
            )
    if not specimen:
        problems.append(
            Problem(
                f"{index}.specimen",
                f"{kind.words.capitalize()} {index + 1}: enter the specimen's name, such as on the report.",
            )
        )
    result = _made(kind, specimen, values)
    said = [*_contradictions(result), *_left_out(kind, values, entry)]
    problems += [
        Problem(f"{index}.{key}", f"{who}, {small(field(kind, key).label)}: {message}")
        for key, message in said
    ]
    return ReadResult(index, kind, specimen, values, result, tuple(problems))


def _made(kind: ResultKind, specimen: str, values: Mapping[str, Any]) -> Result:
    """The result that its fields make up; a field left out keeps its default, or says nothing (`None`)."""
    made = RESULTS[kind]
    stated: dict[str, Any] = {}
    for each in fields(made):
        value = values.get(each.name)
        if value is not None and value != "":
            stated[each.name] = value
        elif each.default is MISSING:
            stated[each.name] = None
        if each.name == "kind":
            stated["kind"] = kind
    if made is Bend:
        # Nobody looked for openings, so nobody can say that the specimen came through whole.
        looked = values.get("openings") is not None or values.get("broken") is not False
        stated["broken"] = values.get("broken") if looked else None
    if made is Volumetric and "coupons" in stated:
        stated["coupons"] = int(stated["coupons"])
    return made(**{**stated, "specimen": specimen})


def _left_out(kind: ResultKind, values: Mapping[str, Any], entry: Entry) -> list[tuple[str, str]]:
    """Fields in which nothing written could be taken for nothing found."""
    if kind in BENDS and values.get("broken") is False and not entry.get("openings", "").strip():
        return [("openings", "write “none” if it did not open, or the length of each opening.")]
    if kind in VOLUMETRIC and values.get("accepted") and not entry.get("indications", "").strip():
        return [("indications", "write “none” if there is none, or each with its length.")]
    return []


def _contradictions(result: Result) -> list[tuple[str, str]]:
    """Fields of one result that cannot all be true, each with what to do; facts of geometry and of the
    test."""
    if isinstance(result, Tension):
        return _tension_contradictions(result)
    if isinstance(result, Fracture) and result.bent_flat:
        answers = {
            "cracks": result.cracks,
            "incomplete_root_fusion": result.incomplete_root_fusion,
            "flaws": result.flaws,
        }
        return [
            (
                key,
                (
                    "it bent flat without breaking, so there is no broken face to look at. Clear this, or say"
                    " that it broke."
                ),
            )
            for key, value in answers.items()
            if value
        ]
    if isinstance(result, Impact) and _minimums_crossed(result):
        return [("minimum_single", "it is above the smallest average asked. Swap the two or correct one.")]
    return []


def _minimums_crossed(result: Impact) -> bool:
    average, single = result.minimum_average, result.minimum_single
    return average is not None and single is not None and single > average


_REPORTED_WITHIN = Decimal("0.03")
"""Share by which a strength worked out from rounded measures may be off the one on the report (common
practice)."""


def _tension_contradictions(result: Tension) -> list[tuple[str, str]]:
    found = []
    if result.bore is not None and result.diameter is not None and result.bore >= result.diameter:
        found.append(("bore", "it is not smaller than the diameter. Correct one of the two."))
    worked_out, stated = result.worked_out(SI), result.stated_strength
    if worked_out is not None and stated is not None and abs(worked_out - stated) > stated * _REPORTED_WITHIN:
        found.append(
            (
                "stated_strength",
                f"load and cross-section give {worked_out:.0f} MPa. Correct the one that is wrong.",
            )
        )
    flat = result.width is not None or result.thickness is not None
    if result.form is not SpecimenForm.REDUCED and flat:
        key = "width" if result.width is not None else "thickness"
        found.append(
            (key, "the specimen shape is not a flat one. Clear this or choose the flat reduced section.")
        )
    if result.form is SpecimenForm.REDUCED and result.diameter is not None:
        found.append(
            ("diameter", "the specimen shape is a flat reduced section. Clear this or choose another shape.")
        )
    return found
