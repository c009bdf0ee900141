"""An upgrade of the program that changes what a stored record amounts to: found record by record, and shown
like a correction of the tables.

Each approved record's answer is kept with the mark of the release that gave it. After an upgrade a task in
the background asks again and reports what differs. A record that has no answer kept yet is compared with what
was frozen when it was approved.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from django.db import transaction
from django.utils import timezone

from qualification.codes.house_limits import limit_from
from qualification.codes.program_mark import program_mark
from qualification.evidence.coverage import judge_weld
from qualification.models import CouponRecord, Record, State
from qualification.records.audit import append, name_of
from qualification.records.unchanged import changed_since_approval
from qualification.roles import Person
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.snapshot import test_content
from wps.background.tasks import Progress
from wps.corrections.rejudging import RejudgedRecord, Words, change_of, changes_of, joined, place
from wps.documents.kinds import KINDS
from wps.models import KeptAnswer, Rejudging, Spec
from wps.procedures.snapshot import spec_content

TASK = "upgrade"
KIND = "program upgrade"
"""What the audit trail calls a report."""
PROGRESS_STEP = 10


@dataclass(frozen=True)
class RecordAnswer:
    """What one record amounts to; `key` decides whether two answers are the same, however they are worded."""

    key: str
    answer: str
    rows: dict[str, str]
    asked: dict[str, str]
    reasons: list[str] = field(default_factory=list)
    """Why it qualifies nothing, or which of its entries cannot be read; an early release kept none."""

    def words(self, answer: str) -> Words:
        return Words(answer, self.rows, self.asked)


def is_due() -> bool:
    """True while an approved record has no answer of this release."""
    return any(_without_answer(kind) for kind in KINDS)


def _without_answer(kind: str) -> set[int]:
    approved = set(KINDS[kind].objects.filter(state=State.APPROVED).values_list("pk", flat=True))
    answered = KeptAnswer.objects.filter(kind=kind, program=program_mark())
    return approved - set(answered.values_list("record_id", flat=True))


def judge_in_background(subject_id: int, progress: Progress) -> None:
    """What the queue calls for a task of the kind `upgrade`."""
    waiting = [(kind, pk) for kind in KINDS for pk in sorted(_without_answer(kind))]
    found: dict[str, list[RejudgedRecord]] = defaultdict(list)
    judged: dict[str, int] = defaultdict(int)
    answers = []
    for done, (kind, pk) in enumerate(waiting):
        if done % PROGRESS_STEP == 0:
            progress(done, len(waiting))
        record = KINDS[kind].objects.get(pk=pk)
        said = said_of(record)
        judged[record.edition] += 1
        kept = KeptAnswer.objects.filter(kind=kind, record_id=pk).first()
        before = _before(record, kept)
        if before is not None:
            change = change_of(
                record,
                before.words(said.answer if before.key == said.key else before.answer),
                said.words(said.answer),
            )
            if not change.is_none:
                new = tuple(each for each in said.reasons if each not in before.reasons)
                found[record.edition].append(replace(change, refusals=new))
        answers.append((kind, pk, record.edition, said))
    with transaction.atomic():
        for kind, pk, edition, said in answers:
            KeptAnswer.objects.update_or_create(
                kind=kind,
                record_id=pk,
                defaults={"edition": edition, "program": program_mark(), "said": asdict(said)},
            )
        for edition, changes in found.items():
            _report(edition, changes, judged[edition])
    progress(len(waiting), len(waiting))


def _before(record: Record, kept: KeptAnswer | None) -> RecordAnswer | None:
    """What was said of it before; `None` where a difference would not be the program's doing."""
    if kept is not None:
        return RecordAnswer(**kept.said) if kept.program else None
    if record.snapshot is None or changed_since_approval(record) or _is_in_a_correction(record):
        return None
    return _of_content(record.snapshot)


def _is_in_a_correction(record: Record) -> bool:
    """Whether the shop changed the tables of its edition itself since it was approved."""
    made = Rejudging.objects.filter(edition=record.edition, saved_at__isnull=False)
    return made.exclude(cause=Rejudging.Cause.UPGRADE).filter(saved_at__gte=record.approved_at).exists()


def said_of(record: Record) -> RecordAnswer:
    """What the record amounts to now, in the unit order of what was approved, within the limits of then."""
    frozen = record.snapshot or {}
    try:
        if isinstance(record, CouponRecord):
            return _of_content(test_content(record, frozen.get("shown", record.units)))
        assert isinstance(record, Spec)
        judged = judge_weld(
            record.joint,
            record.lines,
            record.units,
            RecordKind.SPEC,
            record.tests.all(),
            record.edition,
            record.reference,
            [limit_from(each) for each in frozen.get("house_limits", [])],
            without_test=record.prequalified,
        )
        return _of_content(spec_content(record, judged))
    except TableError as error:
        return RecordAnswer("no tables", str(error), {}, {}, [str(error)])


def _of_content(content: Mapping[str, Any]) -> RecordAnswer:
    reasons = list(dict.fromkeys([*content.get("refusals", ()), *content.get("problems", ())]))
    if content["kind"] == Spec.KIND:
        rows = joined(
            (place(row["label"], row["line"]), f"{row['verdict_words']}: {row['qualified']}")
            for line in content["findings"]
            for row in line["rows"]
            if row["binds"]
        )
        return RecordAnswer(content["verdict"], content["sentence"], rows, {}, reasons)
    nothing = bool(content["refusals"])
    outcome = content["outcome"]
    rows = joined(
        (f"{place(row['label'], row['line'])}{', ' + row['when'] if row['when'] else ''}", row["qualified"])
        for row in content["range"]
    )
    asked = {f"Required: {line['asked']}": line["state_words"] for line in outcome["lines"]}
    said = "qualifies nothing" if nothing else "qualifies what its range says"
    return RecordAnswer(
        f"{outcome['overall']}, {said}",
        f"Tests {outcome['overall_words'].lower()}; it {said}.",
        {} if nothing else rows,
        asked,
        reasons,
    )


def stopped_since(report: Rejudging) -> list[RejudgedRecord]:
    """The records of a report that the upgrade gave another answer for a reason that can be put right and
    still stands: they are approved, and wait for a revision or to be withdrawn."""
    changes = [change for change in changes_of(report) if change.refusals]
    approved = {
        (kind.KIND, record.pk): record
        for kind in KINDS.values()
        if (named := [change.record_id for change in changes if change.kind == kind.KIND])
        for record in kind._default_manager.filter(state=State.APPROVED, pk__in=named)
    }
    return [
        change
        for change in changes
        if (record := approved.get((change.kind, change.record_id))) is not None
        and not set(change.refusals).isdisjoint(said_of(record).reasons)
    ]


def _report(edition: str, changes: list[RejudgedRecord], judged: int) -> None:
    now = timezone.now()
    made = Rejudging.objects.create(
        edition=edition,
        cause=Rejudging.Cause.UPGRADE,
        token=program_mark(),
        records=judged,
        changes=[change.stored() for change in changes],
        judged_at=now,
        saved_at=now,
    )
    append(
        "judge_again",
        KIND,
        made.pk,
        f"{made}, {edition}"[:120],
        "The program",
        {"program": program_mark(), "changes": [change.as_json() for change in changes]},
    )


def tables_changed(edition: str) -> None:
    """The shop changed the tables of the edition itself: what its records amount to from here on is kept
    anew, and not taken for a release's doing."""
    KeptAnswer.objects.filter(edition=edition).update(program="")


def mark_seen(report: Rejudging, person: Person) -> None:
    """Note that somebody who answers for the records has seen what an upgrade changed."""
    with transaction.atomic():
        seen = Rejudging.objects.filter(pk=report.pk, seen_at=None, cause=Rejudging.Cause.UPGRADE)
        if seen.update(seen_at=timezone.now(), seen_by_name=name_of(person)):
            append("see", KIND, report.pk, f"{report}, {report.edition}"[:120], name_of(person), {})
