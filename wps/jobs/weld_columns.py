"""The columns of a weld list: what each holds, what it is called, and the headings it is known by."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry

WELDS, DETAILS, LOG = "welds", "details", "log"
TARGETS = {WELDS: "Welds", DETAILS: "Details", LOG: "Rows of the log"}


@dataclass(frozen=True)
class Column:
    """One column."""

    key: str
    label: str
    short: str
    """As the head of a narrow column."""
    known: tuple[str, ...] = ()
    """Other headings that mean it, in small letters."""
    width: str = "m"


OF_THE_WELD = (
    Column(
        "mark", "Weld mark", "Mark", ("weld no", "weld number", "weld", "weld id", "no", "joint no", "id")
    ),
    Column("detail", "Detail", "Detail", ("weld detail", "detail no", "typical", "type no")),
    Column("title", "Title", "Title", ("description", "what is joined", "name"), "l"),
    Column("drawing", "Drawing", "Drawing", ("dwg", "dwg no", "drawing no", "drawing number", "sheet")),
    Column("drawing_revision", "Drawing revision", "Rev", ("rev", "revision", "dwg rev", "drg rev"), "s"),
)
OF_THE_JOINT = (
    Column("joint", "Joint in words", "Joint", ("type", "joint type", "weld type"), "l"),
    Column(
        "metal",
        "Base metal of both sides",
        "Metal",
        ("mat", "matl", "material", "base metal", "metals", "alloy"),
    ),
    Column("thickness", "Thickness of both sides", "t", ("thk", "thickness", "wall", "t"), "s"),
    Column(
        "thickness_a",
        "Thickness of side A",
        "t1",
        ("thk 1", "t1", "thickness 1", "thickness a", "thk a"),
        "s",
    ),
    Column(
        "thickness_b",
        "Thickness of side B",
        "t2",
        ("thk 2", "t2", "thickness 2", "thickness b", "thk b"),
        "s",
    ),
    Column("diameter", "Outside diameter", "OD", ("od", "dia", "diameter", "pipe od"), "s"),
    Column("position", "Position", "Pos", ("pos", "welding position"), "s"),
    Column("size", "Weld size", "Size", ("fillet", "weld size", "leg", "size", "fillet size"), "s"),
    Column("backing", "Backing", "Backing", ("backing bar", "backing type")),
)
OF_THE_WORK = (
    Column("length", "Length of weld", "Length", ("len", "length", "weld length"), "s"),
    Column("quantity", "Quantity", "Qty", ("qty", "quantity", "pcs", "pieces", "number off", "off"), "s"),
    Column(
        "inspection_class", "Inspection class", "Class", ("class", "insp class", "inspection", "nde class")
    ),
    Column("access", "Access", "Access", ("accessibility", "restriction"), "l"),
    Column("spec_number", "WPS", "WPS", ("wps no", "procedure", "wps number")),
    Column("welder", "Welder", "Welder", ("welder id", "stamp", "welder stamp"), "s"),
    Column("reason", "Reason for an exception", "Reason", ("exception",), "l"),
)
OF_THE_LOG = (
    OF_THE_WELD[0],
    Column("welded_on", "Welded on", "Welded on", ("date", "date welded", "weld date", "day")),
    Column("welder", "Welder", "Welder", ("welder id", "stamp", "welder stamp", "welded by")),
    Column("lot", "Lots and heats", "Lot", ("filler lot", "heat", "heat no", "lot no", "batch")),
    Column("gas", "Gas", "Gas", ("shielding gas",)),
    Column("fit_up_by", "Fit-up checked by", "Fit-up by", ("fit up", "fitup", "fitup by", "fit up by")),
    Column("fit_up_on", "Fit-up checked on", "Fit-up on", ("fitup date", "fit up date")),
    Column("visual", "Visual result", "Visual", ("vt", "vt result", "visual inspection")),
    Column("visual_by", "Visual by", "Visual by", ("vt by", "inspector")),
    Column("visual_on", "Visual on", "Visual on", ("vt date", "visual date")),
    Column("nde_method", "NDE method", "NDE method", ("ndt", "ndt method", "nde type")),
    Column("nde", "NDE result", "NDE", ("ndt result", "nde result")),
    Column("nde_on", "NDE on", "NDE on", ("ndt date", "nde date")),
    Column("report", "Report", "Report", ("report no", "nde report")),
    Column("reason", "Reason for an exception", "Reason", ("exception",)),
    Column("note", "Note", "Note", ("remarks", "notes", "comment")),
)
NOT_OF_DETAILS = frozenset({"detail", "drawing", "drawing_revision", *(column.key for column in OF_THE_WORK)})


@cache
def columns_for(target: str) -> tuple[Column, ...]:
    """Every column a list may have: first what weld lists usually have, then every other entry of a weld."""
    if target == LOG:
        return OF_THE_LOG
    usual: tuple[Column, ...] = (*OF_THE_WELD, *OF_THE_JOINT, *OF_THE_WORK)
    if target == DETAILS:
        usual = tuple(
            Column("mark", "Detail number", "Detail", ("detail no", "detail number", *column.known))
            if column.key == "mark"
            else column
            for column in usual
            if column.key not in NOT_OF_DETAILS
        )
    taken = {column.key for column in usual}
    others = (
        Column(variable.key, variable.label, variable.label)
        for level in (Level.JOINT, Level.LINE)
        for variable in registry().values()
        if variable.level is level
        and RecordKind.PART in variable.uses
        and not variable.derived
        and variable.key not in taken
    )
    return (*usual, *others)


def column(target: str, key: str) -> Column:
    return next(each for each in columns_for(target) if each.key == key)


def plain_head(text: str) -> str:
    """A heading without what changes from list to list: `Mat'l.` and `MATL` are one."""
    return " ".join(re.sub(r"[^\w\s]", "", text.replace("_", " ")).casefold().split())


def _words(plain: str) -> frozenset[str]:
    return frozenset(plain.split()) - {"of", "the"}


def matched(heads: Sequence[str], columns: Sequence[Column], remembered: dict[str, str]) -> list[str]:
    """What each heading stands for: as it was matched last, else by its name; each column once, empty where
    none is known. Its words count, whatever their order: a list made with an earlier release is read too."""
    named = {plain_head(word): each.key for each in reversed(columns) for word in each.known}
    named |= {plain_head(word): each.key for each in columns for word in (each.label, each.short)}
    loosely = {_words(plain): key for plain, key in reversed(named.items())}
    keys = {each.key for each in columns}
    found: list[str] = []
    for head in heads:
        plain = plain_head(head)
        key = remembered.get(plain, named.get(plain, loosely.get(_words(plain), "")))
        found.append(key if key in keys and key not in found else "")
    return found


def head_row(
    rows: Sequence[Sequence[str]], columns: Sequence[Column], remembered: dict[str, str]
) -> tuple[int, list[str]]:
    """Which of the first rows ends the headings, and the headings: a heading may stand over two rows, with
    `Thickness` merged over `1` and `2`."""
    best, heads, most = 0, list(rows[0]) if rows else [], -1
    for number, cells in enumerate(rows[:12]):
        above = rows[number - 1] if number else []
        for said in ([*cells], _joined(above, cells)) if number else ([*cells],):
            known = sum(bool(key) for key in matched(said, columns, remembered))
            if known > most:
                best, heads, most = number, said, known
    return best, heads


def _joined(above: Sequence[str], below: Sequence[str]) -> list[str]:
    size = max(len(above), len(below))
    pairs = ((above[n] if n < len(above) else "", below[n] if n < len(below) else "") for n in range(size))
    return [over if over == under or not under else f"{over} {under}".strip() for over, under in pairs]
