"""The work sheet of an edition: its rows in the order of the book, those the shop's records rest on first, to
be held against the shop's copy; and the rows that are due for another look."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import groupby

from django.contrib.auth.models import User
from django.db import transaction

from qualification.codes.editions_in_force import InForce, find_row, in_force, stale_checks
from qualification.models import TableCheck
from qualification.records.cache import Remembered
from qualification.rules.core.findings import Provenance, Source
from qualification.rules.editions.sheet_rows import SheetRow, numbered_rows, place_shown
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import TableVerification, hash_of, leaves_of, value_at
from qualification.rules.welders.continuity import add_months
from wps.corrections import table_change
from wps.corrections.rows_in_use import rows_in_use

NAMED = 3
"""Records named beside a row; the rest are counted."""


_rows: Remembered[tuple[SheetRow, ...]] = Remembered(12)


class Part(StrEnum):
    """Which rows of an edition a sheet has."""

    USED = "used"
    REST = "rest"
    PUBLIC = "public"
    SHOP = "shop"

    @property
    def words(self) -> str:
        return {
            Part.USED: "Unverified rows this shop's records rest on",
            Part.REST: "Other unverified rows",
            Part.PUBLIC: "Rows with a public source",
            Part.SHOP: "Rows the shop has checked",
        }[self]


@dataclass(frozen=True)
class Line:
    """A row of the sheet with the records that rest on it."""

    row: SheetRow
    records: tuple[str, ...]

    @property
    def part(self) -> Part:
        if self.row.words.provenance == Provenance.SHOP:
            return Part.SHOP
        if self.row.words.provenance == Provenance.PUBLISHED:
            return Part.PUBLIC
        return Part.USED if self.records else Part.REST

    @property
    def records_words(self) -> str:
        """`PT-001, PT-002, PT-003 and 8 more`; empty where no record rests on it."""
        more = len(self.records) - NAMED
        return ", ".join(self.records[:NAMED]) + (f" and {more} more" if more > 0 else "")


@dataclass(frozen=True)
class Left:
    """How much of the book is left under one heading, or in all."""

    heading: str
    rows: int
    confirmed: int
    """By the shop, against its own copy."""
    public: int
    used_left: int
    """Unverified rows that records rest on."""
    rest_left: int

    @property
    def percent(self) -> int:
        """Share of rows that the shop confirmed or a public page states, in whole percent, rounded down."""
        return 100 * (self.confirmed + self.public) // self.rows if self.rows else 0


@dataclass(frozen=True)
class WorkSheet:
    """All rows of an edition as they are in force."""

    held: InForce
    lines: tuple[Line, ...]

    @property
    def edition(self) -> Edition:
        return self.held.edition

    def of(self, part: Part) -> list[Line]:
        return [line for line in self.lines if line.part is part]

    @property
    def left(self) -> Left:
        return _left("All", self.lines)

    @property
    def by_heading(self) -> list[Left]:
        """What is left under each heading of the book, in its order."""
        return [
            _left(name, list(lines)) for name, lines in groupby(self.lines, lambda each: each.row.heading)
        ]


def work_sheet(key: str) -> WorkSheet:
    """Raises TableError when the edition's tables are not installed, or cannot be trusted."""
    held, used = in_force(key), rows_in_use(key)
    rows = _rows.of((key, held.edition.fingerprint), lambda: numbered_rows(held.edition, held.files))
    return WorkSheet(held, tuple(Line(row, used.get(place_shown(row.words), ())) for row in rows))


def _left(heading: str, lines: Sequence[Line]) -> Left:
    parts = [line.part for line in lines]
    return Left(
        heading, len(parts), *(parts.count(part) for part in (Part.SHOP, Part.PUBLIC, Part.USED, Part.REST))
    )


class RowChanged(Exception):
    """A row says something else than was shown; the message names it."""


def confirm(
    sheet: WorkSheet, shown: Mapping[int, str], day: date, copy: str, person: User
) -> list[TableCheck]:
    """Confirm rows as they were shown, all or none; `shown` is the hash of each by its number. Raises
    RowChanged where one says something else by now."""
    by_number = {line.row.number: line.row for line in sheet.lines}
    changed = [
        number
        for number, content in shown.items()
        if number not in by_number or by_number[number].hash != content
    ]
    if changed:
        raise RowChanged(
            f"Row {', '.join(map(str, changed))} was changed while this page was open. Nothing is saved;"
            " look at the row again."
        )
    with transaction.atomic():
        return [_confirm(sheet, by_number[number], day, copy, person) for number in shown]


def _confirm(sheet: WorkSheet, row: SheetRow, day: date, copy: str, person: User) -> TableCheck:
    """A row the shop corrected before is confirmed as corrected."""
    file, words = f"{row.words.file}.toml", row.words
    found = find_row(sheet.edition.id, file, words.address)
    assert found is not None
    path, shipped = found
    now = value_at(sheet.held.files[file], path)
    changes = {inside: value for inside, was in leaves_of(shipped) if (value := value_at(now, inside)) != was}
    check = TableVerification(file, path, hash_of(shipped), "", day, copy, changes)
    return table_change.hold(sheet.edition.id, words.clause, check, person, [])


@dataclass(frozen=True)
class Due:
    """A row to look at again, and why."""

    line: Line
    because: str


def rows_due(sheet: WorkSheet, day: date, months: int) -> list[Due]:
    """Rows that need another look on the day: a check without effect, one older than so many months, a source
    read longer ago than that, or a number from memory that records rest on. Those records rest on come
    first."""
    stale = {(each.stem, each.place): each for each in stale_checks(sheet.edition.id)}
    checked = _last_checks(sheet.edition.id)
    found = [
        Due(line, because)
        for line in sheet.lines
        if (
            because := _why_due(
                line, sheet.edition.sources, stale, checked, lambda seen: add_months(seen, months) <= day
            )
        )
    ]
    return sorted(found, key=lambda due: not due.line.records)


def _why_due(
    line: Line,
    sources: Mapping[str, Source],
    stale: Mapping[tuple[str, str], TableCheck],
    checked: Mapping[tuple[str, str], TableCheck],
    is_long_ago: Callable[[date], bool],
) -> str:
    words = line.row.words
    where = (words.file, words.address)
    if made := stale.get(where):
        return f"The row has changed since {made.person_name} checked it on {made.checked_on}."
    if line.part is Part.SHOP:
        last = checked.get(where)
        return f"Last checked on {last.checked_on}." if last and is_long_ago(last.checked_on) else ""
    if line.part is Part.USED:
        return "Unverified, and records rest on it."
    if line.part is Part.PUBLIC:
        days = [source.read for each in words.sources if (source := sources.get(each["key"])) and source.read]
        newest = max(days, default=None)
        if newest is None:
            return "Nobody noted the day on which its source was read."
        return f"Its source was last read on {newest}." if is_long_ago(newest) else ""
    return ""


def _last_checks(key: str) -> dict[tuple[str, str], TableCheck]:
    """The last check in force of each row."""
    made = TableCheck.objects.filter(edition=key, taken_back_because="").order_by("id")
    return {(each.stem, each.place): each for each in made}
