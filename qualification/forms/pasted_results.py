"""Results pasted as a block from a spreadsheet: a line of heads, then a line for each specimen.

Heads are matched by the labels of the result's fields or the words laboratories use for them. A line
without a kind takes it from the stem of its name (`T1`, `SB2`) or from the columns it fills. What is not
understood is named, and nothing of the block is entered then.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from qualification.rules.testing.result_entries import is_blank
from qualification.rules.testing.result_fields import FIELDS
from qualification.rules.testing.results import ResultKind

Entry = dict[str, str]
MOST_LINES, LONGEST = 60, 8000
_WORDS = {
    "kind": ("kind", "type", "type of test", "test", "test type", "type of bend"),
    "specimen": ("specimen", "specimen no", "specimen number", "no", "id", "specimen id", "sample"),
    "width": ("width",),
    "thickness": ("thickness", "thk", "specimen thickness"),
    "diameter": ("diameter", "dia"),
    "load": ("load", "highest load", "ultimate load", "ultimate total load", "total load", "max load"),
    "stated_strength": ("strength", "uts", "tensile strength", "ultimate tensile strength", "unit stress",
                        "ultimate unit stress", "ultimate stress", "rm"),
    "yield_strength": ("yield", "ys", "yield strength", "rp02", "reh"),
    "elongation": ("elongation", "el", "a5"),
    "broke": ("broke", "location", "failure location", "location of failure", "fracture location",
              "type of failure and location"),
    "failure": ("type of failure", "failure", "character of failure"),
    "former": ("former", "former diameter", "mandrel", "mandrel diameter", "bend diameter"),
    "weld_in_bend": ("weld in bend", "weld wholly in the bend"),
    "broken": ("broken", "broke before it was bent through"),
    "openings": ("openings", "opening", "defects", "result", "remarks on bend"),
    "remarks": ("remarks", "remark", "notes"),
}  # fmt: skip
_KINDS = {
    "tension": ("tension", "tensile", "reduced section tension"),
    "face_bend": ("face", "face bend"),
    "root_bend": ("root", "root bend"),
    "side_bend": ("side", "side bend"),
}


class PasteRefused(ValueError):
    """The block is not understood; the message says what of it."""


def _plain(text: str) -> str:
    bare = re.sub(r"\(.*?\)|,.*$|\b(?:in|mm|psi|ksi|mpa|lbf?|lbs|kn|n|%)\b\.?", " ", text.casefold())
    return " ".join(re.sub(r"[^a-z0-9 ]", " ", bare).split())


def _unit(head: str) -> str:
    """The unit a head names, put behind its bare numbers."""
    match = re.search(r"(?:\(|,\s*|\s)(in|mm|psi|ksi|MPa|lbf|lbs?|kN|N|%)\.?\)?\s*$", head.strip())
    return match[1] if match else ""


def read_block(text: str) -> list[Entry]:
    """The results of a block, by field. Raises PasteRefused."""
    if len(text) > LONGEST:
        raise PasteRefused(f"The block is longer than {LONGEST} characters. Paste it in parts.")
    separator = "\t" if "\t" in text else ";" if ";" in text.splitlines()[0] else ","
    lines = [row for row in csv.reader(io.StringIO(text.strip()), delimiter=separator) if any(row)]
    if len(lines) < 2 or len(lines) > MOST_LINES:
        raise PasteRefused("Paste a line of heads and below it a line for each specimen.")
    known = {_plain(word): key for key, words in _WORDS.items() for word in words}
    heads = [head.strip() for head in lines[0]]
    columns = [(known.get(_plain(head), ""), _unit(head)) for head in heads]
    strange = [head for head, (key, _) in zip(heads, columns, strict=True) if head and not key]
    if strange:
        raise PasteRefused(
            f"The head “{strange[0]}” is not understood. Name the column as the fields are named."
        )
    return [_entry(cells, columns) for cells in lines[1:]]


def _entry(cells: Sequence[str], columns: Sequence[tuple[str, str]]) -> Entry:
    found: Entry = {}
    for cell, (key, unit) in zip(cells, columns, strict=False):
        text = cell.strip()
        if key and text:
            found[key] = f"{text} {unit}" if unit and re.fullmatch(r"[\d.,/ -]+", text) else text
    kind = _kind(found.pop("kind", ""), found)
    fields = {field.key for field in FIELDS[kind]}
    strange = [key.replace("_", " ") for key in found if key not in fields]
    if strange:
        raise PasteRefused(f"“{found.get('specimen', '')}”: a {kind.words} states no {strange[0]}.")
    return {"kind": kind.value, **found}


def _kind(said: str, entry: Entry) -> ResultKind:
    for kind, words in _KINDS.items():
        if _plain(said) in (*words, kind.replace("_", " ")):
            return ResultKind(kind)
    stem = re.match(r"[A-Za-z]+", entry.get("specimen", ""))
    for kind_of in ResultKind:
        if not said and stem and stem[0].upper() == kind_of.stem:
            return kind_of
    if not said and {"load", "stated_strength"} & set(entry):
        return ResultKind.TENSION
    name = said or entry.get("specimen", "")
    raise PasteRefused(
        f"“{name}” does not say which test it is. Add a column Kind: tension, face bend, root bend or side"
        " bend."
    )


def put_in(entries: list[Entry], pasted: Sequence[Entry]) -> list[Entry]:
    """The rows with the pasted ones: each in the row of its name, else in the first empty one of its kind,
    else behind all."""
    found = [dict(entry) for entry in entries]
    names = {(new["kind"], _name(new)) for new in pasted}
    for new in pasted:
        alike = [row for row in found if row.get("kind") == new["kind"]]
        named = [row for row in alike if _name(row) == _name(new)]
        empty = [row for row in alike if is_blank(row) and (row["kind"], _name(row)) not in names]
        row = next(iter([*named, *empty]), None)
        if row is None:
            found.append(dict(new))
        else:
            row.update(new)
    return found


def _name(entry: Entry) -> str:
    return entry.get("specimen", "").casefold()
