"""A procedure on the desk: its tests as chosen, and the verdict on what is typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.http import QueryDict
from django.urls import reverse

from qualification.codes.decisions import decisions_for_procedure
from qualification.codes.editions import editions_with_prequalified
from qualification.codes.house_limits import limits_for
from qualification.evidence.coverage import Judgement, judge_weld
from qualification.evidence.figures import Figures, figures_of
from qualification.forms.desk import Desk
from qualification.forms.field_links import field_of
from qualification.forms.not_stated import contents_context
from qualification.models import ProcedureTest
from qualification.posted import number_in
from qualification.records.advice_taken import take
from qualification.records.drafts import Links
from qualification.records.summaries import summary
from qualification.roles import Person
from qualification.rules.core.findings import LineReport
from qualification.rules.entries import answer_words
from qualification.rules.trials.draft_advice import DraftAdvice, draft_advice
from qualification.rules.variables.definition import RecordKind
from wps.forms.procedure import HEADS, ProcedureForm
from wps.models import CouponCosts, Spec
from wps.procedures.required_items import items_on_desk

FIND_TESTS, FEW_TESTS = "find_tests", 12
"""The field that looks for tests, and how many of those not chosen are listed at most."""


@dataclass(frozen=True)
class OfferedTest:
    """A procedure test to choose as support."""

    test: ProcedureTest
    line: str
    chosen: bool

    def holds(self, words: str) -> bool:
        """Whether its number, title or line has every one of the words."""
        said = f"{self.test.reference} {self.test.title} {self.line}".casefold()
        return all(word in said for word in words.casefold().split())


@dataclass(frozen=True)
class CheckRow:
    """A finding in words, and the field it leads to."""

    row: answer_words.Row
    field_id: str


@dataclass(frozen=True)
class CheckedLine:
    """The verdict on one process line: what decides, what is covered, what the code only wants stated."""

    number: int
    process: str
    report: LineReport
    open: Sequence[CheckRow]
    covered: Sequence[CheckRow]
    stated: Sequence[CheckRow]
    others: Sequence[str]
    """Why each other test that was considered does not carry the line."""


class ProcedureDesk(Desk):
    """One procedure being written."""

    use, form = RecordKind.SPEC, ProcedureForm
    check_template, verdict_template = "wps/_procedure_check.html", "wps/_procedure_verdict.html"

    def __init__(self, spec: Spec, data: QueryDict | None = None, taken: DraftAdvice | None = None) -> None:
        """`taken`: the advice that is among what was typed since its button was pressed."""
        super().__init__(spec, data)
        self.taken = taken

    @property
    def edit_url(self) -> str:
        return reverse("procedure_edit", args=[self.record.pk])

    @property
    def check_url(self) -> str:
        return (
            reverse("procedure_check", args=[self.record.pk])
            if self.record.pk
            else reverse("procedure_new_check")
        )

    @property
    def wanted(self) -> set[tuple[int | None, str]]:
        waiting = self.judgement.report.obstacles
        return {(f.line, key) for f in waiting for key in (*f.needs, f.variable)}

    @property
    def heads(self) -> dict[str, str]:
        return {**HEADS, "tests": "Supporting tests"}

    @property
    def edition(self) -> str:
        typed = self.data.get("edition", "") if self.data is not None else ""
        return typed if typed in dict(self.head.fields["edition"].choices) else self.record.edition

    @property
    def links(self) -> Links:
        return {"tests": self.tests}

    def content_of(self, record: Spec) -> dict[str, Any]:
        return {**record.content(), "tests": _named(record.tests.all())}

    def content(self) -> dict[str, Any]:
        return {**self.record.content(), "tests": _named(self.tests)}

    def store(self, person: Person) -> None:
        super().store(person)
        if self.taken is not None:
            take(self.record, self.taken, person)

    @property
    def said(self) -> list[str]:
        if self.taken is None:
            return super().said
        return [f"{self.taken.label}: {self.taken.entry}, taken from advice and saved in the draft."]

    @property
    def _customer(self) -> str:
        return self.data.get("customer", "") if self.data is not None else self.record.customer

    @cached_property
    def tests(self) -> list[ProcedureTest]:
        """The tests chosen on the page."""
        if self.data is None:
            return list(self.record.tests.all()) if self.record.pk else []
        chosen = {number_in(text) for text in self.data.getlist("tests")}
        return [test for test in self.head.fields["tests"].queryset if test.pk in chosen]

    @cached_property
    def judgement(self) -> Judgement:
        """The verdict on what stands on the page."""
        return judge_weld(
            self.forms.joint_entries,
            self.forms.line_entries,
            self.units,
            RecordKind.SPEC,
            self.tests,
            self.forms.edition.id,
            self.record.number,
            limits_for([self._customer]),
            without_test=self.is_prequalified,
            decisions=decisions_for_procedure(self.forms.edition.id, self.record.number),
        )

    @property
    def is_prequalified(self) -> bool:
        """Whether the page says that the code asks for no test."""
        return "prequalified" in self.data if self.data is not None else self.record.prequalified

    @property
    def codes_with_prequalified(self) -> str:
        """Names of the editions that know procedures without a test."""
        return ", ".join(name for _, name in editions_with_prequalified())

    @property
    def sentence(self) -> str:
        return answer_words.say_report(self.judgement.report, self.units)

    @property
    def contents(self) -> dict[str, Any]:
        """What the code wants stated and the page does not state yet, each with its field."""
        items = items_on_desk(
            self.record, self.forms.edition, self.forms.read, self.tests, self.units, self.is_prequalified
        )
        return contents_context(items, self.forms)

    @cached_property
    def figures(self) -> Figures:
        """What follows from the entries as typed."""
        return figures_of(self.forms.read.weld, self.units, CouponCosts.current().as_money())

    @cached_property
    def advice(self) -> list[DraftAdvice]:
        """Values to start from, for what is not stated."""
        return draft_advice(self.forms.read.weld, self.units)

    @property
    def sought(self) -> str:
        """The words by which tests are looked for."""
        return " ".join(self.data.get(FIND_TESTS, "").split()) if self.data is not None else ""

    @cached_property
    def offered(self) -> list[OfferedTest]:
        """The tests chosen, and of the others those that hold every word sought, else the newest: at most
        `FEW_TESTS` of them where there are more."""
        chosen = {test.pk for test in self.tests}
        every = [self._offered(test, test.pk in chosen) for test in self.head.fields["tests"].queryset]
        others = [each for each in every if not each.chosen and each.holds(self.sought)]
        if len(others) > FEW_TESTS:
            newest = sorted(others, key=lambda each: each.test.pk, reverse=True)[:FEW_TESTS]
            others = [each for each in others if each in newest]
        return [each for each in every if each.chosen or each in others]

    @staticmethod
    def _offered(test: ProcedureTest, is_chosen: bool) -> OfferedTest:
        return OfferedTest(test, summary(test.joint, test.lines, test.units, RecordKind.TEST), is_chosen)

    @property
    def not_offered(self) -> int:
        """How many tests are not listed."""
        return len(self.head.fields["tests"].queryset) - len(self.offered)

    @property
    def checked(self) -> list[CheckedLine]:
        """The findings, line by line, each with the way back to its field."""
        return [self._checked(report) for report in self.judgement.report.lines]

    def _checked(self, report: LineReport) -> CheckedLine:
        rows = [
            CheckRow(row, field_of(self.forms, row.variable, row.line))
            for row in answer_words.rows_of_line(report, self.units)
        ]
        binding = [each for each in rows if each.row.binds]
        return CheckedLine(
            report.line + 1,
            self.forms.lines[report.line].process,
            report,
            [each for each in binding if each.row.verdict != "covered"],
            [each for each in binding if each.row.verdict == "covered"],
            [each for each in rows if not each.row.binds],
            [
                answer_words.say_attempt(attempt)
                for attempt in report.attempts
                if attempt.record not in report.relied_on
            ],
        )


def _named(tests: Iterable[ProcedureTest]) -> str:
    return ", ".join(sorted(test.reference for test in tests))
