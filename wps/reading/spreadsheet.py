"""Rows of a spreadsheet as text: CSV, or the first sheet of an XLSX workbook that holds anything.

A cell is what a person sees in it: `0412` where a number is formatted to four digits, `0.25` and not
`0.250000001`. Merged cells say the same in each of their places. What the spreadsheet turned into a date is
marked, since `1/4` is what most often becomes one.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from wps.pdf.unreadable import NotReadable
from wps.reading.apart import Progress, run_apart

MOST_ROWS, MOST_COLUMNS = 20_000, 120
MOST_UNPACKED = 200_000_000
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_ENCODINGS = ("utf-8-sig", "utf-16", "cp1252")
_DIGITS_ONLY = re.compile(r"0+")
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
_GUARDED = re.compile(r"'(?=[=+\-@])")


class NotAList(Exception):
    """The file cannot be read as a list; the message says what to do."""


@dataclass(frozen=True)
class Cell:
    """One cell."""

    text: str
    made: str = ""
    """`date` where the spreadsheet holds a date, `error` where a formula failed."""


@dataclass(frozen=True)
class SheetRow:
    """One row that is not empty."""

    number: int
    """As the spreadsheet counts, from 1."""
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Sheet:
    """A list as it stands in the file."""

    name: str
    rows: tuple[SheetRow, ...]


def read_sheet(content: bytes, filename: str) -> Sheet:
    """The list in a file. Raises NotAList."""
    if content[:4] == b"PK\x03\x04":
        try:
            sheet: Sheet = run_apart(read_workbook, content)
        except NotReadable as problem:
            raise NotAList(str(problem)) from problem
        return sheet
    if content[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise NotAList(f"{filename} is a workbook of the old kind (.xls). Save it as .xlsx or CSV.")
    return read_text(_decoded(content, filename))


def read_text(text: str) -> Sheet:
    """A block pasted from a spreadsheet, or typed with commas. Raises NotAList."""
    try:
        return Sheet("", tuple(_of_text(text)))
    except NotReadable as problem:
        raise NotAList(str(problem)) from problem


def _decoded(content: bytes, filename: str) -> str:
    for encoding in _ENCODINGS:
        if encoding == "utf-16" and content[:2] not in (b"\xff\xfe", b"\xfe\xff"):
            continue
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" not in text:
            return text
    raise NotAList(f"{filename} is neither a CSV file nor an XLSX workbook. Save the list as one of them.")


def _of_text(text: str) -> Iterator[SheetRow]:
    lines = io.StringIO(text, newline="")
    table = csv.reader(lines, delimiter=_delimiter(text))
    try:
        for cells in table:
            _check_size(table.line_num, len(cells))
            if row := _row(table.line_num, [Cell(_GUARDED.sub("", _tidy(each), 1)) for each in cells]):
                yield row
    except csv.Error as error:
        raise NotAList(
            f"Line {table.line_num} cannot be read: {error}. Save the list as CSV again."
        ) from error


def _delimiter(text: str) -> str:
    """The sign that stands between most cells of the first lines."""
    first = "\n".join(text.splitlines()[:20])
    return max("\t;,", key=lambda sign: first.count(sign))


def read_workbook(content: bytes, _progress: Progress) -> Sheet:
    """The first sheet of a workbook that holds anything; done in a process of its own, since the file comes
    from outside. Raises NotReadable."""
    try:
        return _first_with_rows(content)
    except (NotReadable, MemoryError, RecursionError):
        raise
    except Exception as error:  # a broken workbook fails in any layer, down to the decompressor
        raise NotReadable("The workbook cannot be opened. Save it again, or save the list as CSV.") from error


def _first_with_rows(content: bytes) -> Sheet:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        if sum(each.file_size for each in packed.infolist()) > MOST_UNPACKED:
            raise NotReadable("The workbook unpacks to more than a list needs. Save the list as CSV.")
    book = load_workbook(io.BytesIO(content), data_only=True)
    for sheet in book.worksheets:
        rows = tuple(_of_sheet(sheet))
        if rows:
            return Sheet(sheet.title, rows)
    raise NotReadable("The workbook holds nothing.")


def _of_sheet(sheet: Any) -> Iterator[SheetRow]:
    _check_size(sheet.max_row, 1)
    merged = {
        (row, column): (each.min_row, each.min_col)
        for each in sheet.merged_cells.ranges
        for row, column in ((r, c) for r, c, _, _ in _places(each))
    }
    for number, cells in enumerate(sheet.iter_rows(max_col=min(sheet.max_column, MOST_COLUMNS)), start=1):
        found = []
        for column, cell in enumerate(cells, start=1):
            at = merged.get((number, column))
            found.append(_cell(cell if at is None else sheet.cell(*at)))
        if row := _row(number, found):
            yield row


def _places(area: Any) -> Iterator[tuple[int, int, int, int]]:
    for row in range(area.min_row, min(area.max_row, area.min_row + MOST_ROWS) + 1):
        for column in range(area.min_col, min(area.max_col, MOST_COLUMNS) + 1):
            yield row, column, area.min_row, area.min_col


def _check_size(rows: int, columns: int) -> None:
    if rows > MOST_ROWS or columns > MOST_COLUMNS:
        raise NotReadable(
            f"The list is larger than {MOST_ROWS:,} rows of {MOST_COLUMNS} columns. Import it in parts."
        )


def _row(number: int, cells: Sequence[Cell]) -> SheetRow | None:
    filled = len(cells)
    while filled and not cells[filled - 1].text:
        filled -= 1
    return SheetRow(number, tuple(cells[:filled])) if filled else None


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return Cell("")
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, datetime | date):
        return Cell((value.date() if isinstance(value, datetime) else value).isoformat(), "date")
    if isinstance(value, time):
        return Cell(value.isoformat(), "date")
    if isinstance(value, int | float):
        return Cell(_number(value, str(cell.number_format)))
    text = _tidy(str(value))
    return Cell(text, "error" if cell.data_type == "e" else "")


def _number(value: int | float, written: str) -> str:
    """As it is seen: leading zeros that the format puts there, no digits that only the machine keeps."""
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if exact == exact.to_integral_value():
        digits = format(exact.to_integral_value(), "f")
        return digits.zfill(len(written)) if _DIGITS_ONLY.fullmatch(written) else digits
    rounded = Decimal(f"{value:.10g}")
    percent = written.endswith("%")
    return format((rounded * 100 if percent else rounded).normalize(), "f") + ("%" if percent else "")


def _tidy(text: str) -> str:
    return " ".join(ILLEGAL_CHARACTERS_RE.sub(" ", text).split())


def workbook(title: str, heads: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """A workbook of one sheet, its head row kept in view. Texts are written as texts: none becomes a
    formula, a date or a number."""
    book = Workbook()
    sheet = book.active
    sheet.title = re.sub(r"[\[\]:*?/\\]", " ", title)[:31]
    sheet.append(list(heads))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    widths = [len(str(head)) for head in heads]
    for number, values in enumerate(rows, start=2):
        for column, value in enumerate(values, start=1):
            if value is None or value == "":
                continue
            cell = sheet.cell(number, column)
            if isinstance(value, str):
                cell.value = ILLEGAL_CHARACTERS_RE.sub(" ", value)
                cell.data_type, cell.number_format = "s", "@"
            else:
                cell.value = value
            widths[column - 1] = max(widths[column - 1], len(str(value)))
    for column, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = min(width + 2, 60)
    stored = io.BytesIO()
    book.save(stored)
    return stored.getvalue()


def as_csv(heads: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """The same as CSV; a text that a spreadsheet would take for a formula gets an apostrophe before it."""
    written = io.StringIO()
    out = csv.writer(written)
    out.writerow(heads)
    for values in rows:
        out.writerow([f"'{v}" if isinstance(v, str) and v.startswith(_FORMULA) else v for v in values])
    return written.getvalue().encode("utf-8-sig")
