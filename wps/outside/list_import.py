"""Importing a list of records: read and kept, looked at without changing the shop, then done whole or not at
all. What comes in is a draft, or waits for review; nothing is approved by it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cached_property

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.models import Record
from qualification.models.record import content_hash
from qualification.records import workflow
from qualification.records.audit import Event, append_all, name_of
from qualification.records.drafts import create_draft
from qualification.records.value_changes import values_of
from qualification.welders import changes
from wps.documents import vault
from wps.jobs.list_look import ImportRefused, ListLook, LookRow, laid_out, match_columns
from wps.models import ListImport
from wps.outside.import_columns import DAYS, NEEDED, TARGETS, USES, WELDERS, columns_for
from wps.outside.import_rows import ListReader, RowRead
from wps.outside.list_scans import Placed, attach_scans, drop_lists, placed
from wps.reading.spreadsheet import Sheet

SCAN_GONE = "The file of a scan is gone. Leave that scan out, add it again, then import the list."


def keep_list(target: str, sheet: Sheet, filename: str, units: str, edition: str, person: User) -> ListImport:
    """Keep a list that was read, its columns matched as last time or by their headings. Raises NotAList for
    one without rows below its headings."""
    kept = laid_out(sheet, target, columns_for(target))
    drop_lists(ListImport.objects.filter(by=person))
    return ListImport.objects.create(
        target=target,
        filename=filename[:160],
        sheet=sheet.name[:80],
        units=units,
        edition=edition,
        by=person,
        **kept,
    )


def match(listed: ListImport, columns: Sequence[str], units: str, edition: str) -> None:
    """Say what each column holds, and remember it for the shop's next list. Raises ImportRefused where two
    columns hold the same."""
    labels = {column.key: column.label for column in columns_for(listed.target)}
    match_columns(listed, columns, labels, units=units, edition=edition)


class Look(ListLook):
    """What a list would do to the shop as it stands now."""

    def __init__(self, listed: ListImport, day: date) -> None:
        self.listed, self.day = listed, day
        self.labels = {column.key: column.label for column in columns_for(listed.target)}

    @cached_property
    def rows(self) -> list[LookRow]:
        reader = ListReader(self.listed, self.day)
        return [self._row(reader, number, cells) for number, *cells in self.listed.rows]

    def _wrong(self, key: str, text: str, made: str) -> str:
        return self._of_the_spreadsheet(key, text, made) if made else ""

    def _of_the_spreadsheet(self, key: str, text: str, made: str) -> str:
        if made == "error":
            return (
                f"{self.labels[key]}: the formula of this cell failed ({text}). Correct it in the"
                " spreadsheet."
            )
        if key in DAYS or ":" not in key and key not in ("thickness", "position", "joint", "metal"):
            return ""
        return (
            f"{self.labels[key]}: the spreadsheet holds the date {text} here, most often made of a fraction."
            " Format the column as text and type the value again."
        )

    @property
    def missing_columns(self) -> list[str]:
        """Columns that a list of this kind needs and this one has not."""
        return [self.labels[key] for key in NEEDED[self.listed.target] if key not in self.listed.columns]

    @property
    def unchanged(self) -> int:
        return len(self.rows) - len(self.stopped) - len(self.added)

    @cached_property
    def lacking(self) -> list[tuple[str, int]]:
        """What rows that come in do not say, with in how many."""
        counts: dict[str, int] = {}
        for row in self.added:
            for words in row.read.lacks:
                counts[words] = counts.get(words, 0) + 1
        return sorted(counts.items(), key=lambda each: -each[1])

    @cached_property
    def scans(self) -> list[Placed]:
        """Where each scan goes that came along."""
        return placed(self.listed, [row.read.name for row in self.rows if row.read.name])

    @property
    def scans_new(self) -> list[Placed]:
        """Those that the import would attach."""
        return [each for each in self.scans if each.is_new]

    @cached_property
    def token(self) -> str:
        """Names exactly what the import would do."""
        said = [
            [row.read.number, row.read.name, row.read.is_new, [p.words for p in row.read.problems]]
            for row in self.rows
        ]
        goes = {each.scan.filename: [each.scan.sha256, each.number, each.is_there] for each in self.scans}
        told = {"columns": self.listed.columns, "units": self.listed.units, "rows": said, "scans": goes}
        return content_hash(told)


def import_list(listed: ListImport, token: str, person: User, *, submit: bool = False) -> Look:
    """Do what was looked at, all of it or nothing. Raises ImportRefused where a cell has a problem, or where
    the shop has changed since."""
    with transaction.atomic():
        look = Look(listed, timezone.localdate())
        if look.missing_columns:
            names = "; ".join(look.missing_columns)
            raise ImportRefused(f"No column holds: {names}. Match one, so that each row names what it is.")
        if look.problems:
            raise ImportRefused(f"{len(look.problems)} cells need a correction; nothing was imported.")
        if look.token != token:
            raise ImportRefused(
                "The shop has changed since the list was looked at. Look again, then import it."
            )
        reads = [row.read for row in look.added]
        if listed.target == WELDERS:
            _store_welders(reads, listed, person)
        elif listed.target == USES:
            changes.record_uses([read.thing for read in reads], person)
        else:
            for read in reads:
                _store_record(read, person, submit)
            try:
                attach_scans(listed, look.scans_new, person)
            except vault.Damaged as gone:
                raise ImportRefused(SCAN_GONE) from gone
        told = f"{listed.filename}: {len(look.added)} added, {look.unchanged} as they were"
        append_all(
            [Event("import", "list", listed.pk, TARGETS[listed.target], {"detail": told})], name_of(person)
        )
        drop_lists(ListImport.objects.filter(pk=listed.pk))
    return look


def _store_welders(reads: Sequence[RowRead], listed: ListImport, person: User) -> None:
    for read in reads:
        read.thing.save()
        started = {
            key: [None, value] for key, value in values_of(read.thing).items() if value not in (None, "")
        }
        changes.note(read.thing, "create", person, detail=f"imported from {listed.filename}", changes=started)


def _store_record(read: RowRead, person: User, submit: bool) -> None:
    record: Record = read.thing
    create_draft(record, person, {"tests": read.tests} if read.tests else None)
    if submit:
        workflow.apply("submit", record, person)
