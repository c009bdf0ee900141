"""The weld list as a grid: the text of each cell, and what is typed into them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db import transaction

from qualification.records.audit import Event, append_all, name_of
from qualification.records.history import history_about
from qualification.roles import Person
from qualification.rules.entries.reading import Entry, plain
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry
from wps.jobs.assignments import Judge
from wps.jobs.details import Own, own_of
from wps.jobs.part_view import KIND
from wps.jobs.weld_cells import COLUMN_OF, SIZE_OF
from wps.jobs.weld_columns import OF_THE_JOINT, OF_THE_WELD, OF_THE_WORK, WELDS, Column
from wps.jobs.weld_rows import CellProblem, RowRead, RowReader
from wps.models import Detail, Job, Part

COLUMNS: tuple[Column, ...] = tuple(
    each for each in (*OF_THE_WELD, *OF_THE_JOINT, *OF_THE_WORK) if each.key not in ("thickness", "reason")
)
PENETRATION = {"complete": "CJP", "partial": "PJP"}
MOST_CELLS = 20_000


@dataclass(frozen=True)
class GridCell:
    """One cell."""

    key: str
    text: str
    origin: str
    """`detail` where the text comes from the weld's detail, `own` where it differs from it; else empty."""


@dataclass(frozen=True)
class GridRow:
    """One weld."""

    part: Part
    cells: Sequence[GridCell]
    verdict: str
    words: str
    why: str


@dataclass
class Typed:
    """What was typed into one row."""

    name: str
    """The row as the page names it."""
    pk: int | None
    cells: dict[str, str] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)
    """What stood in the cells on the page before; a cell that says something else by now is not
    overwritten."""


def rows_of(parts: Sequence[Part], details: Mapping[int, Detail], judge: Judge) -> list[GridRow]:
    """A row for each weld."""
    return [_row(part, details.get(part.detail_id or 0), judge) for part in parts]


def _row(part: Part, detail: Detail | None, judge: Judge) -> GridRow:
    own = own_of(part, detail)
    cells = [GridCell(each.key, text_of(part, each.key), _origin(each.key, detail, own)) for each in COLUMNS]
    verdict, words, why = standing(part, judge)
    return GridRow(part, cells, verdict, words, why)


def _origin(key: str, detail: Detail | None, own: Own) -> str:
    names = {key, *(name for name, column in COLUMN_OF.items() if column == key)}
    if detail is None or not names & set(registry()):
        return ""
    entries = names & own.keys or (own.whole_lines is not None and key in ("backing", "size"))
    return "own" if entries else "detail"


def standing(part: Part, judge: Judge) -> tuple[str, str, str]:
    """Key, words and reason of how the weld stands: the worse of its procedure and its welder."""
    against = judge.against(part)
    for each in against:
        kept = part.despite.get(each.what)
        words = {"not_covered": "Not covered"}.get(each.verdict, "Unknown")
        words = "No approved revision" if "no approved revision" in each.sentence else words
        said = f"{each.sentence} Kept because: {kept['reason']} ({kept['by']})" if kept else each.sentence
        return each.verdict, f"{words}, kept with a reason" if kept else words, said
    if not part.spec_number:
        return "unknown", "Choose a WPS", "No procedure is chosen."
    if part.welder_id is None:
        return "unknown", "Choose a welder", f"Covered by {part.spec_number}; no welder is chosen."
    return "covered", "Covered", ""


def text_of(part: Part | Detail, key: str) -> str:
    """A cell as it is typed: what it says reads back as what is stored."""
    joint, line = part.joint, part.lines[0] if part.lines else {}
    if key == "detail":
        return part.detail.number if isinstance(part, Part) and part.detail else ""
    if key == "welder":
        return part.welder.stamp if isinstance(part, Part) and part.welder else ""
    if key == "joint":
        return _joint_words(joint)
    if key == "metal":
        a, b = plain(joint.get("base_metal_a", "")), plain(joint.get("base_metal_b", ""))
        return a if not b or b.lower() in ("same", a.lower()) else f"{a} to {b}"
    if key == "position":
        return "/".join(_label("position", each) for each in _texts(joint.get("position", "")))
    if key == "size":
        sizes = ("fillet_size", *dict.fromkeys(SIZE_OF.values()))
        size = next((said for each in sizes if (said := plain(joint.get(each, line.get(each, ""))))), "")
        return size or PENETRATION.get(plain(joint.get("penetration", "")), "")
    if key in registry():
        entry = joint.get(key, line.get(key, ""))
        return "; ".join(_label(key, each) for each in _texts(entry))
    return str(getattr(part, key))


def _joint_words(joint: Mapping[str, Entry]) -> str:
    weld, form, groove = (plain(joint.get(key, "")) for key in ("weld_type", "joint_form", "groove_type"))
    first = groove.replace("_", " ").replace(" v", " V") if groove else weld.replace("_", " ")
    first = first.upper() if len(first) == 1 else first
    said = f"{first} {form}".strip()
    return said[:1].upper() + said[1:]


def _label(key: str, text: str) -> str:
    definition = registry()[key]
    return definition.choice_label(text) if definition.kind is ValueKind.CHOICE and text else text


def _texts(entry: Entry) -> list[str]:
    return [entry] if isinstance(entry, str) else list(entry)


def typed_in(body: Any) -> list[Typed]:
    """What the page sends, checked. Raises ValueError for anything else."""
    rows = body.get("rows") if isinstance(body, dict) else None
    if not isinstance(rows, list):
        raise ValueError("no rows")
    keys, found = {each.key for each in COLUMNS} | {"reason"}, []
    for row in rows:
        name, pk, cells, seen = row["row"], row.get("pk"), row["cells"], row.get("seen", {})
        if (
            not isinstance(name, str)
            or not (pk is None or isinstance(pk, int))
            or not isinstance(cells, dict)
            or not isinstance(seen, dict)
        ):
            raise ValueError("not a row")
        if not all(key in keys and _is_text(text) for each in (cells, seen) for key, text in each.items()):
            raise ValueError("not a cell")
        found.append(Typed(name, pk, dict(cells), dict(seen)))
    if sum(len(row.cells) for row in found) > MOST_CELLS:
        raise ValueError("too many cells")
    return found


def _is_text(text: object) -> bool:
    """Text that can be stored: no sign that no keyboard writes."""
    return isinstance(text, str) and "\x00" not in text and not any("\ud800" <= c <= "\udfff" for c in text)


def save_typed(
    job: Job, typed: Sequence[Typed], units: str, day: date, person: Person
) -> list[dict[str, Any]]:
    """Store what can be read and say of every other cell what is wrong with it; that one stays with the page.
    A row without a mark, or with a mark that is taken, is not stored."""
    answers = []
    with transaction.atomic():
        events: list[Event] = []
        reader = RowReader(job, WELDS, units, day, name_of(person))
        stored = {part.pk: part for part in reader.kept.values()}
        for row in typed:
            part = stored.get(row.pk) if row.pk is not None else None
            assert part is None or isinstance(part, Part)
            if row.pk is not None and part is None:
                gone = dict.fromkeys(row.cells, "This weld was removed meanwhile. Load the page again.")
                answers.append({"row": row.name, "pk": None, "problems": gone, "cells": {}})
                continue
            answers.append(_save(row, part, reader, events))
        append_all(events, name_of(person))
    return answers


def _save(row: Typed, part: Part | None, reader: RowReader, events: list[Event]) -> dict[str, Any]:
    problems: dict[str, str] = {}
    cells = {key: _tidy(text) for key, text in row.cells.items()}
    now = {} if part is None else _changed_meanwhile(part, cells, row.seen)
    problems |= {key: _taken_meanwhile(part, text) for key, text in now.items() if part is not None}
    mark = cells.get("mark", "")
    taken = reader.kept.get(mark.casefold()) if mark else None
    if taken is not None and taken is not part:
        problems["mark"] = f"Mark {mark} is taken in this job. Choose another."
    elif part is None and not mark:
        problems["mark"] = "Mark is empty. Enter the weld mark, and the row is stored."
    read: RowRead | None = None
    while not (part is None and "mark" in problems):
        left = {key: text for key, text in cells.items() if key not in problems}
        read = _filled(part, reader, left)
        if not read.problems:
            break
        problems |= {problem.column: problem.words for problem in _known(read.problems, left)}
        read = None
    if read is None:
        return {
            "row": row.name,
            "pk": part.pk if part else None,
            "problems": problems,
            "cells": {},
            "now": now,
        }
    thing = read.thing
    assert isinstance(thing, Part)
    if read.is_new or read.changes:
        thing.save()
        if part is not None:
            reader.kept.pop(part.mark.casefold(), None)
        reader.kept[thing.mark.casefold()] = thing
        verb = "create" if read.is_new else "change"
        events.append(Event(verb, KIND, thing.pk, str(thing), {"changes": read.changes}))
    shown = _row(thing, reader.by_id.get(thing.detail_id or 0), reader.judge)
    return {
        "row": row.name,
        "pk": thing.pk,
        "url": thing.get_absolute_url(),
        "problems": problems,
        "now": now,
        "cells": {cell.key: [cell.text, cell.origin] for cell in shown.cells if cell.key not in problems},
        "verdict": shown.verdict,
        "words": shown.words,
        "why": shown.why,
    }


def _changed_meanwhile(part: Part, cells: Mapping[str, str], seen: Mapping[str, str]) -> dict[str, str]:
    """What stands now in each typed cell that somebody else wrote since the page showed it."""
    found = {}
    for key in cells.keys() & seen.keys() - {"reason"}:
        now = _tidy(text_of(part, key))
        if now not in (_tidy(seen[key]), cells[key]):
            found[key] = now
    return found


def _taken_meanwhile(part: Part, now: str) -> str:
    event = next(iter(history_about(KIND, part.pk)), None)
    by = f" by {event.who}" if event is not None else ""
    said = f"changed to “{now}”" if now else "emptied"
    return f"Meanwhile {said}{by}; what you typed is not saved. Enter it again to replace that."


def _tidy(text: str) -> str:
    return " ".join(text.split())


def _known(problems: Sequence[CellProblem], left: Mapping[str, str]) -> list[CellProblem]:
    """Each problem at a cell that was typed, so that the row can be stored without it."""
    first = next(iter(left))
    return [each if each.column in left else CellProblem(first, each.words) for each in problems]


def _filled(part: Part | None, reader: RowReader, cells: Mapping[str, str]) -> RowRead:
    thing = Part(job=reader.job, units=reader.units) if part is None else _copy(part)
    read = RowRead(0, thing.mark, thing, part is None, shown=reader.numbers)
    written = {key: text for key, text in cells.items() if text}
    emptied = [key for key, text in cells.items() if not text and key != "reason"]
    reader.fill(read, written, () if part is None else emptied)
    return read


def _copy(part: Part) -> Part:
    made = Part(**{each.attname: getattr(part, each.attname) for each in Part._meta.concrete_fields})
    made._state.adding, made._state.db = False, part._state.db
    made._state.fields_cache = dict(part._state.fields_cache)
    return made
