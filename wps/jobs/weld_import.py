"""Importing a list: read from a file and kept, looked at without changing the job, then done whole or not at
all."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cached_property
from statistics import median
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.models.record import content_hash
from qualification.records.audit import Event, append_all, name_of
from qualification.records.value_changes import values_of
from wps.jobs.details import store_detail
from wps.jobs.list_look import ImportRefused, ListLook, LookRow, laid_out, match_columns
from wps.jobs.log_rows import DAYS, LogReader
from wps.jobs.part_view import KIND as WELD
from wps.jobs.weld_cells import PLAIN
from wps.jobs.weld_columns import DETAILS, LOG, columns_for
from wps.jobs.weld_log import Writer
from wps.jobs.weld_rows import RowReader, column_label
from wps.models import Detail, Job, Part, WeldImport
from wps.reading.spreadsheet import Sheet

DATE_IS_TEXT = frozenset(PLAIN) - {"mark", "detail", "spec_number", "welder"}
SIZES = frozenset({"thickness", "thickness_a", "thickness_b", "size"})
FEW_SIZES, TIMES_LARGER = 4, 12
"""From so many sizes on a column has a usual one; a unit is asked of what is so many times larger. 1/8 beside
1 1/4 in is usual on one job, 1/4 in beside 10 is millimeters."""
_BARE = re.compile(r"(\d+(?:\.\d+)?|\.\d+)?(?:(?:^|[\s-])(\d+)/(\d+))?")


def keep_list(job: Job, target: str, sheet: Sheet, filename: str, units: str, person: User) -> WeldImport:
    """Keep a list that was read, its columns matched as last time or by their headings. Raises NotAList for
    one without rows below its headings."""
    kept = laid_out(sheet, target, columns_for(target))
    WeldImport.objects.filter(job=job, by=person).delete()
    return WeldImport.objects.create(
        job=job,
        target=target,
        filename=filename[:160],
        sheet=sheet.name[:80],
        units=units,
        by=person,
        **kept,
    )


def match(listed: WeldImport, columns: Sequence[str], units: str) -> None:
    """Say what each column holds, and remember it for the shop's next list. Raises ImportRefused where two
    columns hold the same."""
    labels = {each.key: each.label for each in columns_for(listed.target)}
    match_columns(listed, columns, labels, units=units)


class Look(ListLook):
    """What a list would do to the job as it stands now."""

    def __init__(self, listed: WeldImport, day: date, person: User) -> None:
        self.listed, self.day, self.person = listed, day, person

    @cached_property
    def rows(self) -> list[LookRow]:
        listed = self.listed
        reader = self._reader()
        return [self._row(reader, number, cells) for number, *cells in listed.rows]

    def _reader(self) -> RowReader | LogReader:
        listed = self.listed
        if listed.target != LOG:
            return RowReader(listed.job, listed.target, listed.units, self.day, name_of(self.person))
        texts: dict[str, list[str]] = {}
        for _, *cells in listed.rows:
            for key, cell in zip(listed.columns, cells, strict=False):
                texts.setdefault(key, []).append(cell if isinstance(cell, str) else cell[0])
        return LogReader(listed.job, self.person, texts)

    def _wrong(self, key: str, text: str, made: str) -> str:
        if made and (words := _of_the_spreadsheet(key, text, made)):
            return words
        return _without_unit(key, text) if self._is_far_larger(key, text) else ""

    @cached_property
    def _usual(self) -> dict[str, float]:
        """The middle number of each column of sizes, of those written without a unit."""
        found: dict[str, list[float]] = {}
        for _, *cells in self.listed.rows:
            for key, cell in zip(self.listed.columns, cells, strict=False):
                if key in SIZES and isinstance(cell, str) and (number := _bare(cell)) is not None:
                    found.setdefault(key, []).append(number)
        return {key: median(numbers) for key, numbers in found.items() if len(numbers) >= FEW_SIZES}

    def _is_far_larger(self, key: str, text: str) -> bool:
        """True of a number without a unit among others that are far smaller: most likely it is in another."""
        number, usual = _bare(text), self._usual.get(key)
        return number is not None and usual is not None and number >= TIMES_LARGER * usual

    @property
    def has_mark(self) -> bool:
        return "mark" in self.listed.columns

    @property
    def changed(self) -> list[LookRow]:
        return [row for row in self.rows if not row.read.is_new and row.read.changes and not row.stops]

    @property
    def unchanged(self) -> int:
        return len(self.rows) - len(self.stopped) - len(self.added) - len(self.changed)

    @cached_property
    def token(self) -> str:
        """Names exactly what the import would do."""
        said = [
            [row.read.number, row.read.is_new, row.read.changes, [p.words for p in row.read.problems]]
            for row in self.rows
        ]
        return content_hash({"rows": said})


def _bare(text: str) -> float | None:
    """A number or fraction in inches or millimeters without a unit; `None` for all else."""
    parts = _BARE.fullmatch(text.strip())
    if parts is None or not any(parts.groups()):
        return None
    whole, over, under = float(parts[1] or 0), float(parts[2] or 0), float(parts[3] or 1)
    return whole + over / under if under else None


def _without_unit(key: str, text: str) -> str:
    return (
        f"{column_label(key)}: “{text}” has no unit, and the other cells of the column are far smaller. Write"
        f" {text} in or {text} mm."
    )


def _of_the_spreadsheet(key: str, text: str, made: str) -> str:
    label = column_label(key)
    if made == "error":
        return f"{label}: the formula of this cell failed ({text}). Correct it in the spreadsheet."
    if key in DATE_IS_TEXT or (made == "date" and key in DAYS):
        return ""
    return (
        f"{label}: the spreadsheet holds the date {text} here, most often made of a fraction. Format the"
        " column as text and type the value again."
    )


def import_list(listed: WeldImport, token: str, person: User) -> Look:
    """Do what was looked at, all of it or nothing. Raises ImportRefused where a cell has a problem, or where
    the job has changed since."""
    with transaction.atomic():
        job = Job.objects.select_for_update(no_key=True).get(pk=listed.job_id)
        look = Look(listed, timezone.localdate(), person)
        if not look.has_mark:
            raise ImportRefused("No column holds the mark. Match one, so that each row names its weld.")
        if look.problems:
            raise ImportRefused(f"{len(look.problems)} cells need a correction; nothing was imported.")
        if look.token != token:
            raise ImportRefused(
                "The job has changed since the list was looked at. Look again, then import it."
            )
        if listed.target == LOG:
            Writer(job, person).write([entry for row in look.rows for entry in row.read.entries])
        elif listed.target == DETAILS:
            _store_details(look, person)
        else:
            _store_welds(look, person)
        told = (
            f"{listed.filename}: {len(look.added)} {listed.target} added, {len(look.changed)} changed,"
            f" {look.unchanged} as they were"
        )
        append_all([Event("import", "job", job.pk, str(job), {"detail": told})], name_of(person))
        listed.delete()
    return look


def _store_details(look: Look, person: User) -> None:
    for row in (*look.added, *look.changed):
        assert isinstance(row.read.thing, Detail)
        store_detail(row.read.thing, person)


def _store_welds(look: Look, person: User) -> None:
    new = [row.read.thing for row in look.added]
    changed = [row.read for row in look.changed]
    Part.objects.bulk_create(new, batch_size=200)
    fields = [f.name for f in Part._meta.concrete_fields if f.name not in ("id", "job")]
    Part.objects.bulk_update([read.thing for read in changed], fields, batch_size=100)
    source = f"imported from {look.listed.filename}"
    events = [
        Event("create", WELD, each.pk, str(each), {"detail": source, "changes": _started(each)})
        for each in new
    ]
    events += [
        Event("change", WELD, read.thing.pk, str(read.thing), {"detail": source, "changes": read.changes})
        for read in changed
    ]
    append_all(events, name_of(person))


def _started(part: Part) -> Mapping[str, Any]:
    return {name: [None, value] for name, value in values_of(part).items() if value not in (None, "", [], {})}
