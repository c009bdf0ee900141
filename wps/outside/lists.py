"""Every list as a table: its headings, and a row for each thing that the list shows, all pages of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, QuerySet

from qualification.evidence.coverage import USES
from qualification.models import ProcedureTest, ProcessUse, Trial, Welder, WelderTest
from qualification.rules.variables.definition import RecordKind
from wps.models import Attachment, Job, Lot, Packet, Spec, WeldEvent
from wps.outside.entry_columns import entry_head, entry_text, filled_columns

Column = tuple[str, Callable[[Any], Any]]
Table = tuple[list[str], list[list[Any]]]


@dataclass(frozen=True)
class ListFile:
    """One list that can be taken out."""

    title: str
    table: Callable[[Iterable[Any]], Table]
    all: Callable[[], QuerySet[Any]]


def _of(columns: Sequence[Column]) -> Callable[[Iterable[Any]], Table]:
    def table(found: Iterable[Any]) -> Table:
        return [head for head, _ in columns], [[read(each) for _, read in columns] for each in found]

    return table


def _field(name: str) -> Callable[[Any], Any]:
    """A field as people read it: a choice in words, a day as 2026-11-28."""

    def read(row: Model) -> Any:
        shown = getattr(row, f"get_{name}_display", None)
        value = shown() if shown else getattr(row, name)
        if isinstance(value, bool):
            return "yes" if value else "no"
        return value if isinstance(value, int) else "" if value is None else str(value)

    return read


def _stamp(row: Any) -> str:
    return row.welder.stamp if row.welder else ""


_RECORD: tuple[Column, ...] = (
    ("Number", _field("number")),
    ("Revision", _field("revision")),
    ("Title", _field("title")),
    ("State", _field("state")),
    ("Code edition", _field("edition")),
    ("Units", lambda row: row.units),
)
_TEST: tuple[Column, ...] = (
    *_RECORD,
    ("Welder", _stamp),
    ("Welded on", _field("welded_on")),
    ("WPS followed", _field("spec_followed")),
    ("Laboratory", _field("laboratory")),
    ("Report number", _field("report_number")),
    ("Witness", _field("witness")),
    ("Notes", _field("notes")),
)
_PROCEDURE: tuple[Column, ...] = (
    *_RECORD,
    ("Customer or project", _field("customer")),
    ("Supporting tests", lambda row: "; ".join(sorted({test.number for test in row.tests.all()}))),
    ("Notes", _field("notes")),
)


def _records(columns: Sequence[Column], use: RecordKind) -> Callable[[Iterable[Any]], Table]:
    def table(found: Iterable[Any]) -> Table:
        records = list(found)
        entries = filled_columns(records, use)
        heads = [*(head for head, _ in columns), *(entry_head(*each) for each in entries)]
        rows = [
            [*(read(each) for _, read in columns), *(entry_text(each, *entry) for entry in entries)]
            for each in records
        ]
        return heads, rows

    return table


def _tests(title: str, model: type[ProcedureTest] | type[WelderTest]) -> ListFile:
    return ListFile(
        title,
        _records(_TEST, USES[model]),
        lambda: model.objects.select_related("welder").defer("snapshot"),
    )


WELDER_COLUMNS: tuple[Column, ...] = (
    ("Name", _field("name")),
    ("Stamp", _field("stamp")),
    ("Born on", _field("born_on")),
    ("Born at", _field("born_at")),
    ("Identified by", _field("identified_by")),
    ("Active", _field("active")),
    ("Notes", _field("notes")),
)
LISTS: dict[str, ListFile] = {
    "welders": ListFile("Welders", _of(WELDER_COLUMNS), lambda: Welder.objects.all()),
    "uses": ListFile(
        "Uses of processes",
        _of(
            (
                ("Welder", _stamp),
                ("Process", _field("process")),
                ("Operation", _field("operation")),
                ("Used on", _field("used_on")),
                ("Evidence", _field("evidence")),
                ("Recorded by", _field("recorded_by_name")),
                ("Struck because", _field("struck_because")),
            )
        ),
        lambda: ProcessUse.objects.select_related("welder").order_by("welder__stamp", "used_on", "id"),
    ),
    "procedure-test": _tests("Procedure tests", ProcedureTest),
    "welder-test": _tests("Welder tests", WelderTest),
    "procedures": ListFile(
        "Procedures",
        _records(_PROCEDURE, RecordKind.SPEC),
        lambda: Spec.objects.prefetch_related("tests").defer("snapshot"),
    ),
    "jobs": ListFile(
        "Jobs",
        _of(
            (
                ("Job", _field("number")),
                ("Title", _field("title")),
                ("Customer", _field("customer")),
                ("Code edition", _field("edition")),
                ("Welders' code edition", _field("welder_edition")),
                ("Open", _field("open")),
                ("Ends on", _field("ends_on")),
                ("Notes", _field("notes")),
            )
        ),
        lambda: Job.objects.all(),
    ),
    "lots": ListFile(
        "Lots and heats",
        _of(
            (
                ("Lot or heat", _field("number")),
                ("Kind", _field("kind")),
                ("Material", _field("material")),
                ("Supplier", _field("supplier")),
                ("Amount", _field("amount")),
                ("Received on", _field("received_on")),
                ("Certificate", lambda row: row.certificate.filename if row.certificate else ""),
                ("Used up", _field("used_up")),
            )
        ),
        lambda: Lot.objects.select_related("certificate"),
    ),
    "packets": ListFile(
        "Packets",
        _of(
            (
                ("Packet", _field("number")),
                ("Title", _field("title")),
                ("Recipient", _field("recipient")),
                ("Job", lambda row: row.job.number if row.job else ""),
                ("State", _field("state")),
                ("Issued", lambda row: row.issued_at.date().isoformat() if row.issued_at else ""),
                ("Code", _field("code")),
            )
        ),
        lambda: Packet.objects.select_related("job"),
    ),
    "attachments": ListFile(
        "Attachments",
        _of(
            (
                ("Title", _field("title")),
                ("Kind", _field("kind")),
                ("Belongs to", lambda row: row.belongs_to),
                ("File", _field("filename")),
                ("SHA-256", _field("sha256")),
                ("Added by", _field("added_by_name")),
                ("Removed because", _field("set_aside_because")),
            )
        ),
        lambda: Attachment.objects.select_related("job"),
    ),
    "trials": ListFile(
        "Trials",
        _records(
            (
                ("Number", _field("number")),
                ("Title", _field("title")),
                ("Welded on", _field("welded_on")),
                ("Welder", _stamp),
                ("Code edition", _field("edition")),
                ("Units", lambda row: row.units),
                ("Verdict", _field("verdict")),
                ("Note", _field("note")),
            ),
            RecordKind.TRIAL,
        ),
        lambda: Trial.objects.filter(begun=True).select_related("welder"),
    ),
    "log": ListFile(
        "Log of all welds",
        _of(
            (
                ("Job", lambda row: row.part.job.number),
                ("Weld mark", lambda row: row.part.mark),
                ("Step", _field("step")),
                ("Done on", _field("done_on")),
                ("Welder", _stamp),
                ("By", _field("by_name")),
                ("WPS", _field("spec_reference")),
                ("Method", _field("method")),
                ("Result", _field("result")),
                ("Report", _field("report")),
                ("Gas", _field("gas")),
                ("Lots and heats", lambda row: "; ".join(lot.number for lot in row.lots.all())),
                ("Note", _field("note")),
                ("Struck because", _field("struck_because")),
            )
        ),
        lambda: (
            WeldEvent.objects.select_related("part__job", "welder")
            .prefetch_related("lots")
            .order_by("part__job__number", "part__mark", "done_on", "id")
        ),
    ),
}
"""By name, as in addresses."""
