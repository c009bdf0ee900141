"""How a welder's qualifications stand on a day: stored tests and log lines to the rules of continuity."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from qualification.coverage import coupon_of, edition_of, under
from qualification.models import CouponRecord, State, ValidityAct, Welder, WelderTest
from qualification.rules.continuity import (
    Continuity,
    ContinuityRules,
    PassedTest,
    Revocation,
    Use,
    continuity,
    without_rules,
)
from qualification.rules.continuity import State as Holding
from qualification.rules.outcome_words import citation_content
from qualification.rules.tables import Edition
from qualification.rules.validity_tables import ValidityRules
from qualification.rules.variables import registry
from qualification.validity import acts_by_number, answer_of

VERDICTS = {
    Holding.HOLDS: "covered",
    Holding.LAPSED: "not_covered",
    Holding.REVOKED: "not_covered",
    Holding.UNKNOWN: "unknown",
}
"""Shape under which a page shows each state."""
BEST_FIRST = (Holding.HOLDS, Holding.UNKNOWN, Holding.LAPSED, Holding.REVOKED)


@dataclass(frozen=True)
class Standing:
    """One process of one passed test, on the day asked for."""

    record: CouponRecord
    process: str
    operation: str
    """Key of the kind of operation; empty when the record does not state it."""
    answer: Continuity

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

    @property
    def is_confirmed(self) -> bool:
        """True where confirmations keep it, not the log of uses."""
        return isinstance(rules_of(self.record), ValidityRules)


def standings_of(welder: Welder, on: date, edition: Edition | None = None) -> list[Standing]:
    """Every process of every approved and passed test of the welder, and how it stands on the day; each under
    its own edition, or all by the rules of the one asked for: a test counts there, and is kept, as that one
    says."""
    records = [under(record, edition.id if edition else record.edition) for record in tests_of(welder)]
    passed = [each for record in records for each in _passed(record)]
    acts = acts_by_number(welder)
    uses = [Use(line.process, line.operation, line.used_on) for line in welder.uses.filter(struck_because="")]
    tests = [test for _, test in passed]
    found = []
    for record, test in passed:
        answer = _answer(record, test, on, tests, uses, acts.get(record.number, []))
        found.append(Standing(record, test.process, test.operation or "", answer))
    return found


def _answer(
    record: CouponRecord,
    test: PassedTest,
    on: date,
    tests: Sequence[PassedTest],
    uses: Sequence[Use],
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


def best_by_process(standings: Iterable[Standing]) -> list[Standing]:
    """For each process and kind of operation the standing that holds longest."""
    best: dict[tuple[str, str], Standing] = {}
    for standing in standings:
        key = (standing.process, standing.operation)
        if key not in best or _rank(standing) < _rank(best[key]):
            best[key] = standing
    return list(best.values())


def _rank(standing: Standing) -> tuple[int, int]:
    until = standing.answer.holds_until
    return BEST_FIRST.index(standing.answer.state), -(until.toordinal() if until else 0)


def tests_of(welder: Welder) -> list[CouponRecord]:
    """The welder's approved tests. Who welded a passing procedure coupon is qualified by it as well
    (in ASME IX: QW-301.2)."""
    return [
        *welder.tests.filter(state=State.APPROVED).select_related("welder"),
        *welder.procedure_tests.filter(state=State.APPROVED).select_related("welder"),
    ]


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
    return [(process, _one(line["operation"])) for line in lines if (process := _one(line["process"]))]


def _one(value: object) -> str:
    return next(iter(value)) if isinstance(value, frozenset) and len(value) == 1 else ""


def _revocations(record: CouponRecord) -> Sequence[Revocation]:
    if not isinstance(record, WelderTest) or record.questioned_on is None:
        return ()
    return (Revocation(frozenset({record.reference}), record.questioned_on, record.questioned_because),)
