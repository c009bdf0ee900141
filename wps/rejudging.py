"""What another edition, or a correction of the one in force, changes for records on file."""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass, field, replace
from typing import Any

from qualification.content import range_rows
from qualification.coverage import coupon_of, judge_once_counting, judge_weld, outcome_of, range_of
from qualification.editions_in_force import supposing
from qualification.house_limits import limits_for
from qualification.models import CouponRecord, ProcedureTest, Record, State, WelderTest
from qualification.rules import wording
from qualification.rules.findings import Report
from qualification.rules.tables import Edition
from qualification.rules.variables import Use
from wps.approval import judgement_of
from wps.models import Spec

KEPT = (State.APPROVED, State.IN_REVIEW, State.DRAFT)
NO_LIMIT = "no such limit"

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
class Change:
    """One record and how it would be judged differently."""

    record: str
    kind: str
    state: str
    url: str
    before: str
    after: str
    differences: tuple[Difference, ...]
    refusals: tuple[str, ...] = ()
    """Supporting tests that would qualify nothing, each with the reason."""
    once_counting: str = ""
    """The answer once those tests count, which is what the differences are of; empty where they count already."""

    @property
    def is_none(self) -> bool:
        return self.before == self.after and not self.differences

    def as_json(self) -> dict[str, Any]:
        """For the audit trail."""
        return {
            "record": self.record, "kind": self.kind, "before": self.before, "after": self.after,
            "differences": [f"{each.what}: {each.before} → {each.after}" for each in self.differences],
        }


def changes_under(supposed: Edition) -> list[Change]:
    """Records of the edition's key that `supposed` judges differently from the edition in force."""
    key = supposed.id
    records: list[Record] = [
        record for model in (ProcedureTest, WelderTest, Spec) for record in model.objects.filter(edition=key, state__in=KEPT).order_by("number")
    ]
    before = [_words(record) for record in records]
    with supposing(supposed):
        after = [_words(record) for record in records]
    found = (_change(record, old, new) for record, old, new in zip(records, before, after, strict=True))
    return [change for change in found if not change.is_none]


def under_edition(spec: Spec, key: str) -> Change:
    """A procedure judged under another edition beside its own, its tests read under that edition as well.
    Raises TableError when the edition's tables are not installed."""
    tests = [copy(test) for test in spec.tests.all()]
    for test in tests:
        test.edition = key  # on copies: nothing is saved
    house = limits_for([spec.customer])
    judged = judge_weld(spec.joint, spec.lines, spec.units, Use.SPEC, tests, key, spec.reference, house)
    said = _said(judged.report, spec.units)
    if not judged.report.refusals:
        return _change(spec, _words(spec), said)
    # A test that lacks a result there issues no range: what the edition limits is seen once it counts.
    once = _said(judge_once_counting(judged, tests, house), spec.units)
    return replace(
        _change(spec, _words(spec), Words(said.answer, once.rows)), refusals=judged.report.refusals, once_counting=once.answer)


def _change(record: Record, old: Words, new: Words) -> Change:
    differences = list(_differences(old.asked, new.asked))
    if old.rows and new.rows:
        differences += _differences(old.rows, new.rows)
    return Change(
        str(record), record.KIND, record.get_state_display(), record.get_absolute_url(), old.answer, new.answer,  # type: ignore[attr-defined]
        tuple(differences))


def _words(record: Record) -> Words:
    if isinstance(record, CouponRecord):
        return _test_words(record)
    assert isinstance(record, Spec)
    return _said(judgement_of(record).report, record.units)


def _test_words(test: CouponRecord) -> Words:
    coupon, outcome = coupon_of(test), outcome_of(test)
    said = "qualifies nothing" if coupon.refusals else "qualifies what its range says"
    rows = _joined(
        (f"{_place(row['label'], row['line'])}{', ' + row['when'] if row['when'] else ''}", row["qualified"])
        for row in range_rows(range_of(test), test.units))
    asked = {f"Required: {line.requirement.words}": line.standing.words for line in outcome.lines if line.requirement}
    return Words(f"Tests {outcome.overall.words.lower()}; it {said}.", rows, asked)


def _said(report: Report, units: str) -> Words:
    rows = _joined(
        (_place(row.label, row.line), f"{row.verdict_words}: {row.qualified}")
        for line in report.lines for row in wording.rows_of_line(line, units, binding_only=True))
    return Words(wording.say_report(report, units), rows)


def _place(label: str, line: int | None) -> str:
    return f"{label}, process {(line or 0) + 1}"


def _joined(rows: Iterable[tuple[str, str]]) -> dict[str, str]:
    """One answer for each thing; editions cite different clauses, and may limit one variable more than once."""
    found: dict[str, list[str]] = {}
    for what, words in rows:
        found.setdefault(what, []).append(words)
    return {what: "; ".join(sorted(set(words))) for what, words in found.items()}


def _differences(before: dict[str, str], after: dict[str, str]) -> Iterable[Difference]:
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name, NO_LIMIT), after.get(name, NO_LIMIT)
        if old != new:
            yield Difference(name, old, new)
