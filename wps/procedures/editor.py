"""A procedure on the desk: its head, its entries and its tests as typed, and the verdict on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.http import QueryDict

from qualification.codes.decisions import decisions_for_procedure
from qualification.codes.editions import editions_with_prequalified
from qualification.codes.house_limits import limits_for
from qualification.evidence.coverage import Judgement, judge_weld
from qualification.evidence.figures import Figures, figures_of
from qualification.forms.check_links import linked_checks
from qualification.forms.field_links import field_of
from qualification.forms.not_stated import contents_context
from qualification.forms.record_forms import BUTTON, RecordForms
from qualification.models import ProcedureTest, UnitSystem
from qualification.posted import number_in
from qualification.records.differences import Difference, differences
from qualification.records.drafts import SavedMeanwhile, create_draft, save_draft, version_of
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


class ProcedureEditor:
    """One procedure being written. Built from what is stored, or from a POST of the whole page."""

    def __init__(self, spec: Spec, data: QueryDict | None = None) -> None:
        self.spec, self.data = spec, data
        self.stored = (spec.content(), self._names(spec.tests.all())) if spec.pk else None
        arranges = data is not None and BUTTON in data
        self.head = (
            ProcedureForm(initial=_as_initial(data), instance=spec)
            if arranges
            else ProcedureForm(data, instance=spec)
        )
        self.head_is_readable = self.head.is_bound and self.head.is_valid()
        self.forms = RecordForms(RecordKind.SPEC, self._units, self._edition, spec.joint, spec.lines, data)
        self.conflict: SavedMeanwhile | None = None
        self.clash: list[Difference] = []
        self.forms.want(
            {(f.line, key) for f in self.judgement.report.obstacles for key in (*f.needs, f.variable)}
        )

    @property
    def version(self) -> str:
        """The token the page carries: of what is stored now, once a conflict has been shown."""
        if self.conflict is not None:
            return version_of(self.conflict.stored)
        return self.data.get("version", "") if self.data is not None else version_of(self.spec)

    @property
    def _units(self) -> str:
        typed = self.data.get("units", "") if self.data is not None else ""
        return typed if typed in UnitSystem.values else self.spec.units

    @property
    def _customer(self) -> str:
        return self.data.get("customer", "") if self.data is not None else self.spec.customer

    @property
    def _edition(self) -> str:
        typed = self.data.get("edition", "") if self.data is not None else ""
        return typed if typed in dict(self.head.fields["edition"].choices) else self.spec.edition

    @cached_property
    def tests(self) -> list[ProcedureTest]:
        """The tests chosen on the page."""
        if self.data is None:
            return list(self.spec.tests.all()) if self.spec.pk else []
        chosen = {number_in(text) for text in self.data.getlist("tests")}
        return [test for test in self.head.fields["tests"].queryset if test.pk in chosen]

    @cached_property
    def judgement(self) -> Judgement:
        """The verdict on what stands on the page."""
        return judge_weld(
            self.forms.joint_entries,
            self.forms.line_entries,
            self._units,
            RecordKind.SPEC,
            self.tests,
            self.forms.edition.id,
            self.spec.number,
            limits_for([self._customer]),
            without_test=self.is_prequalified,
            decisions=decisions_for_procedure(self.forms.edition.id, self.spec.number),
        )

    @property
    def is_prequalified(self) -> bool:
        """Whether the page says that the code asks for no test."""
        return "prequalified" in self.data if self.data is not None else self.spec.prequalified

    @property
    def codes_with_prequalified(self) -> str:
        """Names of the editions that know procedures without a test."""
        return ", ".join(name for _, name in editions_with_prequalified())

    @property
    def sentence(self) -> str:
        return answer_words.say_report(self.judgement.report, self._units)

    @property
    def contents(self) -> dict[str, Any]:
        """What the code wants stated and the page does not state yet, each with its field."""
        items = items_on_desk(
            self.spec, self.forms.edition, self.forms.read, self.tests, self._units, self.is_prequalified
        )
        return contents_context(items, self.forms)

    @cached_property
    def figures(self) -> Figures:
        """What follows from the entries as typed."""
        return figures_of(self.forms.read.weld, self._units, CouponCosts.current().as_money())

    @cached_property
    def advice(self) -> list[DraftAdvice]:
        """Values to start from, for what is not stated."""
        return draft_advice(self.forms.read.weld, self._units)

    @cached_property
    def checks(self) -> list[dict[str, Any]]:
        """Entries to check by common sense, each with its field."""
        return linked_checks(self.forms)

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
            for row in answer_words.rows_of_line(report, self._units)
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

    def save(self, person: Person) -> bool:
        """Store the draft; false when the head cannot be read or somebody saved meanwhile, and nothing was
        written then."""
        if not self.head_is_readable:
            return False
        spec = self.head.save(commit=False)
        spec.joint, spec.lines = self.forms.joint_entries, self.forms.line_entries
        if not spec.pk:
            create_draft(spec, person, {"tests": self.tests})
            return True
        try:
            save_draft(spec, person, self.version, self._changed(spec), {"tests": self.tests})
        except SavedMeanwhile as conflict:
            self.conflict = conflict
            stored = conflict.stored
            assert isinstance(stored, Spec)
            self.clash = differences(stored.content(), spec.content(), RecordKind.SPEC, HEADS)
            self.clash += _tests_differ(self._names(stored.tests.all()), self._names(self.tests))
            return False
        return True

    def _changed(self, spec: Spec) -> list[str]:
        """Labels of what differs from what was stored when the page was drawn."""
        assert self.stored is not None
        content, tests = self.stored
        found = differences(content, spec.content(), RecordKind.SPEC, HEADS) + _tests_differ(
            tests, self._names(self.tests)
        )
        return list(dict.fromkeys(each.label.lower() for each in found))

    @staticmethod
    def _names(tests: Sequence[ProcedureTest]) -> str:
        return ", ".join(sorted(test.reference for test in tests)) or "None"


def _as_initial(data: QueryDict) -> dict[str, Any]:
    """What was typed in the head, kept without being judged: only the process lines were rearranged."""
    return {**{name: data.get(name) for name in HEADS if name in data}, "tests": data.getlist("tests")}


def _tests_differ(before: str, after: str) -> list[Difference]:
    return [Difference("", "Supporting tests", before, after)] if before != after else []
