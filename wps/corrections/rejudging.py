"""What another edition, or a correction of the one in force, changes for records on file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from time import perf_counter
from typing import Any

from django.db.models import Max

from qualification.codes.decisions import decisions_for_procedure
from qualification.codes.editions_in_force import edition_in_force, supposing
from qualification.codes.house_limits import limits_for
from qualification.evidence.coverage import (
    SIDES,
    ReadCoupon,
    judge_once_counting,
    judge_weld,
    read_coupon,
    under,
)
from qualification.models import CouponRecord, ProcedureTest, Record, State, WelderTest
from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Report
from qualification.rules.entries import answer_words
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.snapshot import range_rows
from wps.models import Rejudging, Spec
from wps.procedures.approval import judgement_of

KEPT = (State.APPROVED, State.IN_REVIEW, State.DRAFT)
NO_LIMIT, NOT_ASKED = "no such limit", "not asked"
PROGRESS_STEP = 10
"""After how many records it is told how far the work has come."""
TRUSTED_FROM = 5
"""After how many records the time for all is reckoned from them."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Words:
    """What is said of one record."""

    answer: str
    rows: dict[str, str]
    """Limits or verdicts by what they are about; empty where no range is issued."""
    asked: dict[str, str] = field(default_factory=dict)
    """Required tests of a coupon, and how each stands."""


@dataclass(frozen=True)
class Difference:
    """One variable that would be answered differently."""

    what: str
    before: str
    after: str


@dataclass(frozen=True)
class RejudgedRecord:
    """One record and how it would be judged differently."""

    record: str
    record_id: int
    kind: str
    state: str
    url: str
    before: str
    after: str
    differences: tuple[Difference, ...]
    refusals: tuple[str, ...] = ()
    """Supporting tests that would qualify nothing, each with the reason."""
    once_counting: str = ""
    """The answer once those tests count, which is what the differences are of; empty where they count
    already."""

    @property
    def is_none(self) -> bool:
        return self.before == self.after and not self.differences

    def stored(self) -> dict[str, Any]:
        """As plain JSON, from which `change_from` makes it again."""
        return asdict(self)

    def as_json(self) -> dict[str, Any]:
        """For the audit trail."""
        return {
            "record": self.record,
            "kind": self.kind,
            "before": self.before,
            "after": self.after,
            "differences": [f"{each.what}: {each.before} → {each.after}" for each in self.differences],
        }


class TakesLonger(Exception):
    """Judging all records again would keep a page waiting; `records` says how many there are."""

    def __init__(self, records: int) -> None:
        super().__init__(f"{records} records have to be judged again")
        self.records = records


def change_from(stored: Mapping[str, Any]) -> RejudgedRecord:
    """A change as `Change.stored` put it away. Raises TypeError where that is not complete."""
    return RejudgedRecord(
        **{
            **stored,
            "differences": tuple(Difference(**each) for each in stored["differences"]),
            "refusals": tuple(stored["refusals"]),
        }
    )


def changes_of(report: Rejudging) -> list[RejudgedRecord]:
    """The records that a report says are judged differently."""
    return [change_from(stored) for stored in report.changes]


def changes_under(
    supposed: Edition, *, seconds: float | None = None, progress: Progress | None = None
) -> list[RejudgedRecord]:
    """Records of the edition's key that `supposed` judges differently from the edition in force, first those
    whose answer is another.

    Raises TakesLonger as soon as it is seen that this takes more than `seconds`.
    """
    records = _records(supposed.id)
    began, found = perf_counter(), []
    now, then = _Judge(edition_in_force(supposed.id)), _Judge(supposed)
    for done, record in enumerate(records):
        if seconds is not None and _estimate(perf_counter() - began, done, len(records)) > seconds:
            raise TakesLonger(len(records))
        if progress is not None and done % PROGRESS_STEP == 0:
            progress(done, len(records))
        change = change_of(record, now.words(record), then.words(record))
        if not change.is_none:
            found.append(change)
    return sorted(found, key=lambda change: change.before == change.after)


def newest_of(key: str) -> list[Record]:
    """Records kept under the edition that no later revision takes the place of, tests before procedures."""
    newest: dict[tuple[type[Record], str], int] = {
        (kind, number): revision
        for kind in (ProcedureTest, WelderTest, Spec)
        for number, revision in kind.objects.values_list("number").annotate(Max("revision"))
    }
    return [each for each in _records(key) if newest[type(each), each.number] == each.revision]


def judged_beside(now: Edition, then: Edition) -> Callable[[Record], RejudgedRecord]:
    """Judges tests under the edition of their own and another."""
    own, other = _Judge(now), _Judge(then)
    return lambda record: change_of(record, own.words(record), other.words(record))


def _records(key: str) -> list[Record]:
    tests: list[Record] = [
        record
        for model in (ProcedureTest, WelderTest)
        for record in model.objects.filter(edition=key, state__in=KEPT)
        .select_related("welder")
        .order_by("number")
    ]
    specs = (
        Spec.objects.filter(edition=key, state__in=KEPT).prefetch_related("tests__welder").order_by("number")
    )
    return [*tests, *specs]


def _estimate(spent: float, done: int, records: int) -> float:
    """How long all of them take, by those done so far; the first ones, which fill caches, are not trusted."""
    return spent if done < TRUSTED_FROM else max(spent, spent / done * records)


class _Judge:
    """Records judged under one edition, each test read once however many procedures rest on it."""

    def __init__(self, edition: Edition) -> None:
        self.edition = edition
        self._coupons: dict[tuple[type, int], ReadCoupon] = {}

    def words(self, record: Record) -> Words:
        with supposing(self.edition):
            if isinstance(record, CouponRecord):
                return self._test(record)
            assert isinstance(record, Spec)
            return _said(judgement_of(record, self._range).report, record.units)

    def _read(self, test: CouponRecord) -> ReadCoupon:
        key = (type(test), test.pk)
        if key not in self._coupons:
            self._coupons[key] = read_coupon(under(test, self.edition.id))
        return self._coupons[key]

    def _range(self, test: CouponRecord, side: Side, edition: Edition) -> TestRange:
        return range_qualified(self._read(test).coupon, edition, side)

    def _test(self, test: CouponRecord) -> Words:
        read = self._read(test)
        said = "qualifies nothing" if read.coupon.refusals else "qualifies what its range says"
        rows = joined(
            (
                f"{place(row['label'], row['line'])}{', ' + row['when'] if row['when'] else ''}",
                row["qualified"],
            )
            for row in range_rows(self._range(test, SIDES[type(test)], self.edition), test.units)
        )
        asked = {
            f"Required: {line.requirement.words}": line.standing.words
            for line in read.outcome.lines
            if line.requirement
        }
        return Words(f"Tests {read.outcome.overall.words.lower()}; it {said}.", rows, asked)


def under_edition(spec: Spec, key: str) -> RejudgedRecord:
    """A procedure judged under another edition beside its own, its tests read under that edition as well.
    Raises TableError when the edition's tables are not installed."""
    tests = [under(test, key) for test in spec.tests.all()]
    house = limits_for([spec.customer])
    judged = judge_weld(
        spec.joint,
        spec.lines,
        spec.units,
        RecordKind.SPEC,
        tests,
        key,
        spec.reference,
        house,
        without_test=spec.prequalified,
        decisions=decisions_for_procedure(key, spec.number),
    )
    before, said = _said(judgement_of(spec).report, spec.units), _said(judged.report, spec.units)
    if not judged.report.refusals:
        return change_of(spec, before, said)
    # A test that lacks a result there issues no range: what the edition limits is seen once it counts.
    once = _said(judge_once_counting(judged, tests, house), spec.units)
    return replace(
        change_of(spec, before, Words(said.answer, once.rows)),
        refusals=judged.report.refusals,
        once_counting=once.answer,
    )


def change_of(record: Record, old: Words, new: Words) -> RejudgedRecord:
    """The record as it was judged and as it would be."""
    differences = list(_differences(old.asked, new.asked, NOT_ASKED))
    if old.rows and new.rows:
        differences += _differences(old.rows, new.rows, NO_LIMIT)
    return RejudgedRecord(
        str(record),
        record.pk,
        record.KIND,
        record.get_state_display(),
        record.get_absolute_url(),
        old.answer,
        new.answer,
        tuple(differences),
    )


def _said(report: Report, units: str) -> Words:
    rows = joined(
        (place(row.label, row.line), _answered(row))
        for line in report.lines
        for row in answer_words.rows_of_line(line, units, binding_only=True)
    )
    return Words(answer_words.say_report(report, units), rows)


def _answered(row: answer_words.Row) -> str:
    """The verdict, and the range where it says more."""
    return (
        row.verdict_words if row.verdict_words == row.qualified else f"{row.verdict_words}: {row.qualified}"
    )


def place(label: str, line: int | None) -> str:
    """What an answer is about: the label, and the process it stands under."""
    return f"{label}, process {(line or 0) + 1}"


def joined(rows: Iterable[tuple[str, str]]) -> dict[str, str]:
    """One answer for each thing; editions cite different clauses, and may limit one variable more than
    once."""
    found: dict[str, list[str]] = {}
    for what, words in rows:
        found.setdefault(what, []).append(words)
    return {what: "; ".join(sorted(set(words))) for what, words in found.items()}


def _differences(before: dict[str, str], after: dict[str, str], absent: str) -> Iterable[Difference]:
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name, absent), after.get(name, absent)
        if old != new:
            yield Difference(name, old, new)
