"""Every case that watches the code tables, each as one question, and the order in which they are asked.

A changed row is mostly noticed by a case whose answer cites that row, so those are asked first. The order
saves time and decides nothing: a change counts as unnoticed only after every question has been asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, partial
from itertools import chain, product
from typing import Any

from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Citation, Finding, Report, Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.derive import derive
from qualification.rules.tabular.edition import Edition
from qualification.rules.testing.outcome_parts import Outcome
from tests.rules.readers import (
    case_files,
    catalogue_case_files,
    continuity_cases,
    magnesium_cases,
    outcome_cases,
    prequalified_cases,
    quarterly_cases,
    validity_cases,
    welder_matrices,
)
from tests.rules.readers.first_asked import first_asked
from tests.rules.readers.silences import doubly_said, silences

A_LITTLE = Decimal("0.02")
"""Share of a limit; the changes are smaller."""
Cited = tuple[Citation, bool]
"""A row an answer rests on, and whether a small change of it may be enough to turn the answer."""
Asked = tuple[str, Iterable[Cited]]
"""What a case complains of, empty when nothing; and what its answer cites, gathered only when wanted."""
Watcher = Callable[[Edition], Iterable[str]]


def _only(watcher: Watcher, *names: str) -> Watcher:
    """The watcher for those editions alone: cases of one code say nothing of another."""
    return lambda made: watcher(made) if made.id in names else []


def _unsaid(made: Edition) -> Iterator[str]:
    """Variables of procedures that the welder's side is silent about, or names free for nothing."""
    return (f"{said.variable} ({said.process})" for said in (*silences(made), *doubly_said(made)))


WATCHERS: list[tuple[str, Watcher]] = [
    ("free.toml", _unsaid),
    *(("welder.toml", _only(matrix, "asme_ix_2023")) for matrix in welder_matrices.MATRICES),
    ("continuity.toml", _only(continuity_cases.failing, *continuity_cases.EDITIONS)),
    ("continuity.toml", _only(validity_cases.failing, *validity_cases.EDITIONS)),
    ("continuity.toml", _only(quarterly_cases.failing, *quarterly_cases.EDITIONS)),
    ("procedure.toml", _only(magnesium_cases.failing, "aws_d1_2_2014")),
]
"""Small sets of cases asked as a whole, by the table they watch: each returns the names of its cases that
fail."""


@dataclass(frozen=True, eq=False)
class Question:
    """One case, or one small set of them."""

    name: str
    file: str
    """The table it watches, where it is of one."""
    clause: str
    words: frozenset[str]
    """Choices it speaks of."""
    ask: Callable[[Edition], Asked]


@cache
def questions(name: str) -> tuple[Question, ...]:
    """All of one edition."""
    of_edition = [
        base for base, body in case_files.bases().items() if body.get("edition", "asme_ix_2023") == name
    ]
    cases = (*case_files.cases(name), *map(case_files.base_case, of_edition))
    return (
        *(
            Question(f"set {n}", file, "", frozenset(), partial(_of_set, watcher))
            for n, (file, watcher) in enumerate(WATCHERS)
        ),
        *(
            Question(f"catalogue {n}", file, "", frozenset(), partial(_of_catalogue, asked))
            for n, (file, asked) in enumerate(catalogue_case_files.questions(edition(name)))
        ),
        *(_question(case, [case.coupon.weld], _of_results) for case in outcome_cases.outcome_cases(name)),
        *(_question(case, [case.weld], _of_welds) for case in prequalified_cases.cases(name)),
        *(_question(case, [case.weld, *(c.weld for c in case.coupons)], _of_case) for case in cases),
    )


def _question(case: Any, welds: Sequence[Weld], ask: Callable[[Any, Edition], Asked]) -> Question:
    known = [derive(weld) for weld in welds]
    values = chain(*(facts.values() for weld in known for facts in (weld.joint, *weld.lines)))
    words = frozenset(chain(*(value for value in values if isinstance(value, frozenset))))
    return Question(case.name, "", case.clause, words, partial(ask, case))


def _of_case(case: case_files.Case, made: Edition) -> Asked:
    report = case_files.judge(case, made)
    return case_files.complaint_of(case, report), _cited_in_report(report)


def _of_welds(case: case_files.Case, made: Edition) -> Asked:
    report = prequalified_cases.judge(case, made)
    return case_files.complaint_of(case, report), _cited_in_report(report)


def _of_results(case: outcome_cases.OutcomeCase, made: Edition) -> Asked:
    outcome = outcome_cases.outcome_of(case, made)
    at_an_end = "[on:" in case.name or "[outside:" in case.name
    return outcome_cases.complaint_of(case, outcome), (
        (cited, at_an_end) for cited in _cited_in_outcome(outcome)
    )


def _of_catalogue(asked: catalogue_case_files.Question, made: Edition) -> Asked:
    answer = asked(made)
    return answer.complaint, [(answer.citation, True)] if answer.citation else []


def _of_set(watcher: Watcher, made: Edition) -> Asked:
    return next(iter(watcher(made)), ""), []


def _cited_in_report(report: Report) -> Iterator[Cited]:
    for line in report.lines:
        for finding in chain(line.findings, *(attempt.obstacles for attempt in line.attempts)):
            yield finding.citation, _stands_at_an_end(finding)


def _stands_at_an_end(finding: Finding) -> bool:
    """Whether what was found ends within a little of where what is qualified ends."""
    found, qualified = finding.found, finding.qualified
    if not isinstance(found, Interval) or not isinstance(qualified, Interval):
        return finding.verdict is Verdict.NOT_COVERED
    ends = product((found.low, found.high), (qualified.low, qualified.high))
    return any(abs(a - b) <= abs(b) * A_LITTLE for a, b in ends if a is not None and b is not None)


def _cited_in_outcome(outcome: Outcome) -> Iterator[Citation]:
    for requirement in outcome.requirements.requirements:
        yield requirement.citation
        for way in requirement.alternatives:
            yield way.citation
            yield from chain(*(specimen.citations for specimen in way.specimens))
    for line in outcome.lines:
        yield from (check.citation for judged in line.judged for check in judged.checks)


Row = tuple[str, ...]
"""A row of a table: file, names that lead to it, number counted from 1."""


def row_cited(citation: Citation) -> Row:
    """`covers.toml, metals row 3` and `procedure.toml, row 12 (QW-403.8)` as `Row`."""
    file, _, words = re.sub(r" \(.*", "", citation.row).partition(", ")
    return (file, *(word for word in words.split() if word != "row"))


def row_at(path: Sequence[str | int]) -> Row:
    """The row that a path through the parsed files ends at, as citations name it."""
    steps = [str(step + 1) if isinstance(step, int) else step for step in path]
    return tuple(step for step in steps if step != "row")


@dataclass(frozen=True)
class Unchanged:
    """What the questions of an edition answer while nothing is changed."""

    complaints: tuple[str, ...]
    citing: Mapping[Row, Sequence[Question]]
    """Which questions are answered out of which row; the closest calls first."""


@cache
def unchanged(name: str) -> Unchanged:
    calls: dict[Row, dict[Question, bool]] = {}
    complaints = []
    made = edition(name)
    for question in questions(name):
        complaint, cited = question.ask(made)
        complaints += [complaint] if complaint else []
        for citation, close in cited:
            of_row = calls.setdefault(row_cited(citation), {})
            of_row[question] = close or of_row.get(question, False)
    return Unchanged(
        tuple(complaints),
        {row: sorted(of_row, key=lambda each: not of_row[each]) for row, of_row in calls.items()},
    )


_noticed: dict[tuple[str, Row], list[Question]] = {}
"""By row or file, whoever noticed a change there, the latest first."""


@dataclass(frozen=True)
class Noticed:
    """Who noticed a change."""

    question: Question
    asked: int
    """How many were asked until then, that one included."""


def who_notices(made: Edition, row: Row, clause: str, word: str = "", mark: str = "") -> Noticed | None:
    """The first question that complains of changed tables; `None` when none of all does.

    The row changed, its clause, and the choice dropped from it, if it was one, say whom to ask first; before
    them the one that is written down for the mark of the change.
    """
    asked: set[Question] = set()
    for question in _in_order(made.id, row, clause, word, mark):
        if question not in asked:
            asked.add(question)
            if question.ask(made)[0]:
                _remember(question, (made.id, row), (made.id, row[:1]))
                return Noticed(question, len(asked))
    return None


@cache
def _by_name(name: str) -> Mapping[str, Question]:
    return {question.name: question for question in questions(name)}


def _in_order(name: str, row: Row, clause: str, word: str, mark: str) -> Iterator[Question]:
    every, file = questions(name), row[0]
    if (written := first_asked().get(name, {}).get(mark)) in _by_name(name):
        yield _by_name(name)[written]
    citing = unchanged(name).citing.get(row, ())
    named = [each for each in every if _share_a_number(each.clause, clause)]
    if word:
        yield from (each for each in chain(citing, named) if word in each.words)
    yield from tuple(_noticed.get((name, row), ()))
    yield from citing
    yield from tuple(_noticed.get((name, row[:1]), ()))[:20]
    yield from (each for each in every if each.file == file)
    yield from named
    yield from sorted(every, key=lambda each: word not in each.words)


def _remember(question: Question, *keys: tuple[str, Row]) -> None:
    for key in keys:
        known = _noticed.setdefault(key, [])
        if question in known:
            known.remove(question)
        known.insert(0, question)


@cache
def _share_a_number(clause: str, other: str) -> bool:
    """True when two clause texts share a number: `QW-451.1, 202.2` and `QW-451.1`."""
    return bool(_numbers(clause) & _numbers(other))


@cache
def _numbers(clause: str) -> frozenset[str]:
    return frozenset(re.findall(r"\d+(?:\.\d+)*", clause))
