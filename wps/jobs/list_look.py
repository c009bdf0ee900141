"""What all imports of lists share: how a sheet is kept with its columns matched, and how its rows are looked
at before anything is done."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

from django.db import transaction
from openpyxl.utils import get_column_letter

from wps.jobs.weld_columns import Column, head_row, matched, plain_head
from wps.jobs.weld_rows import CellProblem
from wps.models import ImportColumns, ListImport, WeldImport
from wps.reading.spreadsheet import NotAList, Sheet

FIRST_ROWS = 12


class ImportRefused(Exception):
    """The list is not imported; the message says why and what to do."""


@dataclass(frozen=True)
class CellOf:
    """A problem where it stands in the file."""

    place: str
    """`D23`, as the spreadsheet names the cell."""
    words: str


class ReadsRows(Protocol):
    """What makes records of rows, by the texts of their columns."""

    def read(self, number: int, texts: dict[str, str]) -> Any: ...


@dataclass(frozen=True)
class LookRow:
    """One row of the list as the page shows it."""

    read: Any
    """Number, whether it is new, problems, and what its kind of list adds."""
    cells: Sequence[tuple[str, bool]]
    """Text of each column, and whether it has a problem."""

    @property
    def stops(self) -> bool:
        return bool(self.read.problems)


def remembered(target: str) -> dict[str, str]:
    """How the shop's headings were matched last."""
    found = ImportColumns.objects.filter(target=target).first()
    return dict(found.matches) if found else {}


def laid_out(sheet: Sheet, target: str, columns: Sequence[Column]) -> dict[str, Any]:
    """Headings, rows and matched columns of a sheet, as they are kept: matched as last time, or by their
    headings. Raises NotAList for one without rows below its headings."""
    known = remembered(target)
    texts = [[cell.text for cell in row.cells] for row in sheet.rows[:FIRST_ROWS]]
    at, heads = head_row(texts, columns, known)
    rows = sheet.rows[at + 1 :]
    if not rows:
        raise NotAList("No rows stand below the headings. The first rows name the columns; add them.")
    width = max(len(heads), *(len(row.cells) for row in rows))
    heads = [*heads, *[""] * (width - len(heads))]
    return {
        "heads": heads,
        "rows": [
            [row.number, *([cell.text, cell.made] if cell.made else cell.text for cell in row.cells)]
            for row in rows
        ],
        "columns": matched(heads, columns, known),
    }


def match_columns(
    listed: WeldImport | ListImport, columns: Sequence[str], labels: Mapping[str, str], **stated: str
) -> None:
    """Say what each column holds, with what else was `stated` of the list, and remember it for the shop's
    next one. Raises ImportRefused where two columns hold the same."""
    twice = {key for key in columns if key and columns.count(key) > 1}
    if twice:
        names = "; ".join(sorted(labels[key] for key in twice))
        raise ImportRefused(f"Two columns are matched to {names}. Choose one, and leave the other out.")
    listed.columns = list(columns)
    for name, value in stated.items():
        setattr(listed, name, value)
    known = remembered(listed.target)
    known |= {plain_head(head): key for head, key in zip(listed.heads, columns, strict=True) if head}
    with transaction.atomic():
        listed.save(update_fields=["columns", *stated])
        ImportColumns.objects.update_or_create(target=listed.target, defaults={"matches": known})


class ListLook(ABC):
    """What a list would do to the shop as it stands now; each kind of list says what its rows come to and
    which of its cells are wrong as they stand."""

    listed: Any
    """The list as it was kept: `WeldImport` or `ListImport`."""
    rows: Any
    """Its rows as `LookRow`."""

    @abstractmethod
    def _wrong(self, key: str, text: str, made: str) -> str:
        """What is wrong with a cell before it is read; empty where nothing is."""

    def _row(self, reader: ReadsRows, number: int, stored: Sequence[Any]) -> LookRow:
        texts: dict[str, str] = {}
        wrong: list[CellProblem] = []
        shown = []
        for key, cell in zip(self.listed.columns, [*stored, *[""] * len(self.listed.columns)], strict=False):
            text, made = (cell, "") if isinstance(cell, str) else cell
            shown.append(text)
            if key and (words := self._wrong(key, text, made)):
                wrong.append(CellProblem(key, words))
            elif key:
                texts[key] = text
        read = reader.read(number, texts)
        about = {problem.column for problem in wrong}
        read.problems = [*wrong, *(each for each in read.problems if each.column not in about)]
        order = {key: place for place, key in enumerate(self.listed.columns)}
        read.problems.sort(key=lambda problem: order.get(problem.column, -1))
        faulty = {problem.column for problem in read.problems}
        return LookRow(
            read, [(text, key in faulty) for text, key in zip(shown, self.listed.columns, strict=True)]
        )

    @cached_property
    def problems(self) -> list[CellOf]:
        return [
            CellOf(f"{self._letter(problem.column)}{row.read.number}", problem.words)
            for row in self.rows
            for problem in row.read.problems
        ]

    def _letter(self, key: str) -> str:
        return get_column_letter(self.listed.columns.index(key) + 1) if key in self.listed.columns else "Row "

    @property
    def stopped(self) -> list[LookRow]:
        return [row for row in self.rows if row.stops]

    @property
    def added(self) -> list[LookRow]:
        return [row for row in self.rows if row.read.is_new and not row.stops]

    def failed_rows(self) -> tuple[list[str], list[list[str]]]:
        """The rows with a problem as they stood, and what is wrong with each."""
        heads = ["Row", *self.listed.heads, "Problem"]
        return heads, [
            [
                str(row.read.number),
                *(text for text, _ in row.cells),
                " ".join(f"{self._letter(p.column)}{row.read.number}: {p.words}" for p in row.read.problems),
            ]
            for row in self.stopped
        ]
