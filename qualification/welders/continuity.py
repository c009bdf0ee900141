"""How a welder's qualifications stand on a day: stored tests and log lines to the rules of continuity."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from typing import Any

from qualification.codes.editions_in_force import supposing
from qualification.evidence.coverage import coupon_of, edition_of, under
from qualification.models import (
    CouponRecord,
    ProcedureTest,
    ProcessUse,
    State,
    ValidityAct,
    Welder,
    WelderTest,
)
from qualification.records.unchanged import hold_against_approvals
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome_words import citation_content
from qualification.rules.variables.registry import registry
from qualification.rules.welders.continuity import (
    Continuity,
    ContinuityRules,
    DatedUse,
    PassedTest,
    Revocation,
    continuity,
    without_rules,
)
from qualification.rules.welders.continuity import Validity as Holding
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.welders.validity import answer_of

VERDICTS = {
    Holding.HOLDS: "covered",
    Holding.LAPSED: "not_covered",
    Holding.REVOKED: "not_covered",
    Holding.UNKNOWN: "unknown",
}
"""Shape under which a page shows each state."""
BEST_FIRST = (Holding.HOLDS, Holding.UNKNOWN, Holding.LAPSED, Holding.REVOKED)


@dataclass(frozen=True)
class QualificationStatus:
    """One process of one passed test, on the day asked for."""

    record: CouponRecord
    process: str
    operation: str
    """Key of the kind of operation; empty when the record does not state it."""
    answer: Continuity
    is_confirmed: bool
    """True where confirmations keep it, not the log of uses."""

    @property
    def verdict(self) -> str:
        return VERDICTS[self.answer.state]

    @property
    def operation_words(self) -> str:
        return (
            registry()["operation"].choice_label(self.operation) if self.operation else "Operation not stated"
        )

    @property
    def citation(self) -> dict[str, Any]:
        return citation_content(self.answer.citation)

    @property
    def words(self) -> str:
        """`Holds until 2031-05-02`, `Lapsed, held until 2030-11-30`."""
        state, until = self.answer.state, self.answer.holds_until
        if until is None:
            return state.words
        return f"Holds until {until}" if state is Holding.HOLDS else f"{state.words}, held until {until}"

    @property
    def due_words(self) -> str:
        """`Confirmation due by 2031-05-02`: what it takes to hold beyond that; empty where nothing is signed
        for it."""
        return self.due_by(date.max)

    def due_by(self, day: date) -> str:
        """What is due up to that day, each with its own."""
        due = [f"{each.what} due by {each.day}" for each in self.answer.due if each.day <= day]
        return "; ".join(due)[:1].upper() + "; ".join(due)[1:]


@dataclass(frozen=True)
class OnRecord:
    """What is stored of one welder: approved tests, and what keeps their qualification going. Who welded a
    passing procedure coupon is qualified by it as well (in ASME IX: QW-301.2)."""

    tests: list[CouponRecord]
    acts: dict[str, list[ValidityAct]]
    """By the tests' numbers."""
    uses: list[DatedUse]
    """Days of use in the log, of lines that are not struck."""


def on_record(welders: Iterable[Welder]) -> dict[int, OnRecord]:
    """What is stored of these welders, by their ids: as many queries for hundreds as for one."""
    by_id = {welder.pk: welder for welder in welders}
    found = {pk: OnRecord([], {}, []) for pk in by_id}
    for kind in (WelderTest, ProcedureTest):
        for record in kind.objects.filter(state=State.APPROVED, welder__in=by_id).defer("snapshot"):
            if record.welder_id is not None:
                record.welder = by_id[record.welder_id]
                found[record.welder_id].tests.append(record)
    hold_against_approvals(record for each in found.values() for record in each.tests)
    for act in ValidityAct.objects.filter(test__welder__in=by_id).select_related("test"):
        found[act.test.welder_id].acts.setdefault(act.test.number, []).append(act)
    # Plain values, and each day once: the log is the one thing that only grows.
    lines = ProcessUse.objects.filter(welder__in=by_id, struck_because="").order_by()
    for pk, process, operation, day in lines.values_list(
        "welder_id", "process", "operation", "used_on"
    ).distinct():
        found[pk].uses.append(DatedUse(process, operation, day))
    return found


def some_are_confirmed() -> bool:
    """True where an approved test stands under a code that asks for confirmations."""
    approved = WelderTest.objects.filter(state=State.APPROVED).order_by().values_list("edition", flat=True)
    for key in approved.distinct():
        with suppress(TableError):
            if isinstance(edition_of(key).more.get("continuity"), ValidityRules):
                return True
    return False


@contextmanager
def all_in_force(stored: Iterable[OnRecord], edition: Edition | None = None) -> Iterator[None]:
    """Every edition of these records looked up once, not again for each test; `edition` as it is given."""
    keys = {key for each in stored for test in each.tests for key in (test.edition, *test.moved_from)}
    with ExitStack() as in_force:
        for key in sorted(keys - ({edition.id} if edition else set())):
            with suppress(TableError):
                in_force.enter_context(supposing(edition_of(key)))
        if edition is not None:
            in_force.enter_context(supposing(edition))
        yield


def standings_of(
    welder: Welder, on: date, edition: Edition | None = None, stored: OnRecord | None = None
) -> list[QualificationStatus]:
    """Every process of every approved and passed test of the welder, and how it stands on the day; each under
    its own edition, or all by the rules of the one asked for: a test counts there, and is kept, as that one
    says."""
    stored = stored or on_record([welder])[welder.pk]
    records = [under(record, edition.id if edition else record.edition) for record in stored.tests]
    passed = [each for record in records for each in _passed(record)]
    acts = stored.acts
    tests = [test for _, test in passed]
    found = []
    for record, test in passed:
        answer = _answer(record, test, on, tests, stored.uses, acts.get(record.number, []))
        by_acts = isinstance(rules_of(record), ValidityRules)
        found.append(QualificationStatus(record, test.process, test.operation or "", answer, by_acts))
    return found


def _answer(
    record: CouponRecord,
    test: PassedTest,
    on: date,
    tests: Sequence[PassedTest],
    uses: Sequence[DatedUse],
    acts: Sequence[ValidityAct],
) -> Continuity:
    """By the rules of the record's edition: the log of uses keeps it, or the confirmations and prolongations
    on record."""
    rules = rules_of(record)
    if rules is None:
        return without_rules(edition_of(record.edition))
    if isinstance(rules, ValidityRules):
        return answer_of(
            record, test, on, rules, acts if isinstance(record, WelderTest) else (), _revocations(record)
        )
    return continuity(test, on, rules, tests=tests, uses=uses, revocations=_revocations(record))


def best_by_process(standings: Iterable[QualificationStatus]) -> list[QualificationStatus]:
    """For each process and kind of operation the standing that holds longest."""
    best: dict[tuple[str, str], QualificationStatus] = {}
    for standing in standings:
        key = (standing.process, standing.operation)
        if key not in best or _rank(standing) < _rank(best[key]):
            best[key] = standing
    return list(best.values())


def _rank(standing: QualificationStatus) -> tuple[int, int]:
    until = standing.answer.holds_until
    return BEST_FIRST.index(standing.answer.state), -(until.toordinal() if until else 0)


def rules_of(record: CouponRecord) -> ContinuityRules | ValidityRules | None:
    """The rules of continuity of the record's edition; `None` where its tables hold none."""
    rules = edition_of(record.edition).more.get("continuity")
    assert rules is None or isinstance(rules, ContinuityRules | ValidityRules)
    return rules


def _passed(record: CouponRecord) -> list[tuple[CouponRecord, PassedTest]]:
    """The record's process lines as passed tests; none when it qualifies nothing."""
    if coupon_of(record).refusals:
        return []
    return [
        (record, PassedTest(record.reference, process, operation or None, record.welded_on))
        for process, operation in process_lines(record)
    ]


def process_lines(record: CouponRecord) -> list[tuple[str, str]]:
    """Process and kind of operation of each line that states one process; the operation is empty where not
    stated."""
    lines = coupon_of(record).weld.lines
    return [
        (process, line.choice("operation") or "") for line in lines if (process := line.choice("process"))
    ]


def _revocations(record: CouponRecord) -> Sequence[Revocation]:
    if not isinstance(record, WelderTest) or record.questioned_on is None:
        return ()
    return (Revocation(frozenset({record.reference}), record.questioned_on, record.questioned_because),)
