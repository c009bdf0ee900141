"""What each kind of record says of itself to the search: its name, its state, and its words by label."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model, Prefetch, QuerySet
from django.urls import reverse

from qualification.models import ProcedureTest, Record, State, Trial, Welder, WelderTest
from qualification.models.coupon_records import CouponRecord
from qualification.rules.variables.registry import registry
from wps.models import Attachment, Detail, IssuedDocument, Job, Lot, Packet, Part, Spec, WeldEvent

Said = list[tuple[str, str]]
LONGEST = 2000
"""Characters of one text that are searched."""
BEHIND = frozenset({State.SUPERSEDED, State.WITHDRAWN})


@dataclass(frozen=True)
class Text:
    """One thing to find."""

    kind: str
    names: Sequence[str]
    """What it is called by; a word of these comes before the same word elsewhere."""
    url: str
    detail: str = ""
    said: Said = field(default_factory=list)
    weight: int = 0


@dataclass(frozen=True)
class Reader:
    """How the rows of one table are read."""

    rows: Callable[[], QuerySet[Any]]
    text: Callable[[Any], Text | None]
    follows: Callable[[Sequence[int]], Iterable[tuple[str, list[int]]]] = lambda ids: ()
    """Rows of other tables that name these, and have to be read again with them."""


def _entries(joint: Mapping[str, Any], lines: Sequence[Mapping[str, Any]]) -> Said:
    """Entries by their labels, choices also by their words."""
    found = []
    for entries in (joint, *lines):
        for key, value in entries.items():
            variable = registry().get(key)
            for text in value if isinstance(value, list) else [value]:
                if not isinstance(text, str) or not text or text in ("n/a", "none", "same", "yes", "no"):
                    continue
                words = variable.choice_label(text) if variable is not None else text
                label = variable.label if variable is not None else key
                found.append((label, text if words == text else f"{words} ({text})"))
    return list(dict.fromkeys(found))


def _plain(**texts: str) -> Said:
    return [(label.replace("_", " ").capitalize(), text[:LONGEST]) for label, text in texts.items() if text]


def _record(record: Record, kind: str, more: Said) -> Text:
    return Text(
        kind,
        (record.reference, record.title),
        record.get_absolute_url(),
        str(record.get_state_display()),
        [
            *more,
            *_plain(notes=record.notes, change=record.change_note, author=record.author_name),
            *_entries(record.joint, record.lines),
        ],
        -1 if record.state in BEHIND else 0,
    )


def _test(record: CouponRecord) -> Text:
    welder = record.welder
    results = [
        ("Results", text)
        for each in record.results
        for text in each.values()
        if isinstance(text, str) and len(text) > 3
    ]
    return _record(
        record,
        record.KIND.capitalize(),
        [
            *_plain(
                welder=str(welder) if welder else "",
                WPS_followed=record.spec_followed,
                laboratory=record.laboratory,
                report=record.report_number,
                witness=record.witness,
            ),
            *dict.fromkeys(results),
        ],
    )


def _spec(spec: Spec) -> Text:
    return _record(spec, "Procedure", _plain(customer=spec.customer, note_beside_the_sketch=spec.joint_note))


def _welder(welder: Welder) -> Text:
    return Text(
        "Welder",
        (welder.name, welder.stamp),
        welder.get_absolute_url(),
        "" if welder.active else "No longer active",
        _plain(notes=welder.notes, identified_by=welder.identified_by),
        0 if welder.active else -1,
    )


def _trial(trial: Trial) -> Text | None:
    if not trial.begun:
        return None
    return Text(
        "Trial",
        (trial.number, trial.title),
        trial.get_absolute_url(),
        str(trial.get_verdict_display()),
        [
            *_plain(note=trial.note, welder=str(trial.welder) if trial.welder else ""),
            *_entries(trial.joint, trial.lines),
        ],
        -1 if trial.archived_at else 0,
    )


def _job(job: Job) -> Text:
    return Text(
        "Job",
        (job.number, job.title),
        job.get_absolute_url(),
        "Open" if job.open else "Closed",
        _plain(customer=job.customer, notes=job.notes),
        0 if job.open else -1,
    )


def _part(part: Part) -> Text:
    return Text(
        "Weld",
        (part.mark, part.title),
        part.get_absolute_url(),
        f"Job {part.job.number}",
        [
            *_plain(
                drawing=part.drawing,
                WPS=part.spec_number,
                welder=str(part.welder) if part.welder else "",
                inspection_class=part.inspection_class,
                access=part.access,
                job=part.job.number,
            ),
            *_entries(part.joint, part.lines),
        ],
    )


def _detail(detail: Detail) -> Text:
    return Text(
        "Detail",
        (detail.number, detail.title),
        detail.get_absolute_url(),
        f"Job {detail.job.number}",
        _entries(detail.joint, detail.lines),
    )


def _event(event: WeldEvent) -> Text | None:
    lots = " ".join(f"{lot.material} {lot.number}" for lot in event.lots.all())
    said = _plain(
        report=event.report,
        gas=event.gas,
        lot=lots,
        note=event.note,
        reason=event.reason,
        by=event.by_name,
    )
    if not said or event.struck_because:
        return None
    return Text(
        "Weld log",
        (f"{event.part.mark} {event.get_step_display().lower()}",),
        event.part.get_absolute_url(),
        f"Job {event.part.job.number}, {event.done_on}",
        said,
    )


def _lot(lot: Lot) -> Text:
    return Text(
        "Lot or heat",
        (lot.number, lot.material),
        lot.get_absolute_url(),
        "Used up" if lot.used_up else str(lot.get_kind_display()),
        _plain(supplier=lot.supplier, amount=lot.amount),
    )


def _attachment(paper: Attachment) -> Text:
    return Text(
        "Attachment",
        (paper.title,),
        f"{reverse('attachment_list')}#attachment-{paper.pk}",
        paper.belongs_to[:200],
        _plain(
            kind=str(paper.get_kind_display()),
            heat_or_lot=paper.heat,
            record=paper.record_number,
            file=paper.filename,
        ),
        -1 if paper.set_aside_because else 0,
    )


def _packet(packet: Packet) -> Text:
    return Text(
        "Packet",
        (packet.number, packet.title),
        packet.get_absolute_url(),
        str(packet.get_state_display()),
        _plain(recipient=packet.recipient, code=packet.code),
    )


def _paper(issued: IssuedDocument) -> Text:
    return Text(
        "Paper",
        (issued.reference, issued.code),
        issued.get_absolute_url(),
        str(issued.get_stage_display()),
        _plain(title=issued.title),
    )


def _whose(model: type[Model], by: str, *more: str) -> Callable[[Sequence[int]], tuple[str, list[int]]]:
    """Ids of the rows of a model whose column `by` names one of those given."""
    table = model._meta.db_table

    def found(ids: Sequence[int]) -> tuple[str, list[int]]:
        rows = model._default_manager.filter(**{f"{by}__in": ids}).values_list("pk", flat=True)
        return table, list(rows)

    return found


_OF_A_WELDER = tuple(_whose(model, "welder") for model in (WelderTest, ProcedureTest, Trial, Part))
_OF_A_JOB = tuple(_whose(model, "job") for model in (Part, Detail))

READERS: dict[str, Reader] = {
    Welder._meta.db_table: Reader(
        lambda: Welder.objects.all(), _welder, lambda ids: (each(ids) for each in _OF_A_WELDER)
    ),
    ProcedureTest._meta.db_table: Reader(
        lambda: ProcedureTest.objects.select_related("welder").defer("snapshot"), _test
    ),
    WelderTest._meta.db_table: Reader(
        lambda: WelderTest.objects.select_related("welder").defer("snapshot"), _test
    ),
    Spec._meta.db_table: Reader(lambda: Spec.objects.defer("snapshot"), _spec),
    Trial._meta.db_table: Reader(lambda: Trial.objects.select_related("welder"), _trial),
    Job._meta.db_table: Reader(
        lambda: Job.objects.all(), _job, lambda ids: (each(ids) for each in _OF_A_JOB)
    ),
    Part._meta.db_table: Reader(lambda: Part.objects.select_related("job", "welder"), _part),
    Detail._meta.db_table: Reader(lambda: Detail.objects.select_related("job"), _detail),
    WeldEvent._meta.db_table: Reader(
        lambda: WeldEvent.objects.select_related("part__job").prefetch_related(
            Prefetch("lots", Lot.objects.only("material", "number"))
        ),
        _event,
    ),
    Lot._meta.db_table: Reader(lambda: Lot.objects.all(), _lot),
    Attachment._meta.db_table: Reader(lambda: Attachment.objects.select_related("job"), _attachment),
    Packet._meta.db_table: Reader(lambda: Packet.objects.all(), _packet),
    IssuedDocument._meta.db_table: Reader(lambda: IssuedDocument.objects.all(), _paper),
}
"""By table."""
