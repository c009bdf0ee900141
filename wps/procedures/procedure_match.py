"""Which approved procedures a weld can be made by: inside their claims, and covered by their tests."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db.models import Prefetch

from qualification.codes.decisions import decisions_by_procedure
from qualification.codes.editions_in_force import supposing
from qualification.codes.house_limits import limits_for
from qualification.evidence.coverage import edition_of, range_of
from qualification.models import ProcedureTest, State
from qualification.records.cache import Remembered
from qualification.records.unchanged import hold_against_approvals
from qualification.rules.core import words
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.entries import answer_words, wording
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.boxes_at_once import Claims
from qualification.rules.ranges.house import HouseLimit, narrowed
from qualification.rules.ranges.inside_box import BoxFinding, as_welded, inside_box, verdict_of
from qualification.rules.ranges.prequalified import answer_for
from qualification.rules.ranges.ranges import TestRange
from qualification.rules.tabular.decisions import Decision
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from wps.models import Job, Part, Spec

COUNTING = (State.APPROVED, State.SUPERSEDED)
"""States in which a supporting test still says what was welded; a withdrawn one says nothing any more."""

_welds: Remembered[Weld] = Remembered(6000)


@dataclass(frozen=True)
class BoxRow:
    """One variable of the weld held against the procedure's claim, in words."""

    label: str
    verdict: str
    verdict_words: str
    found: str
    claimed: str
    because: str


@dataclass(frozen=True)
class ProcedureMatch:
    """How one weld and one procedure go together."""

    spec: Spec
    weld: Weld
    """The weld as it would be made by the procedure."""
    box: tuple[BoxFinding, ...]
    report: Report
    """The weld as made, held against the procedure's tests."""
    units: str

    @cached_property
    def verdict(self) -> Verdict:
        return max(verdict_of(self.box), self.report.verdict)

    @cached_property
    def sentence(self) -> str:
        """The answer in one sentence: first what the procedure itself says, then what its tests say."""
        outside = [
            words.within_sentence(registry()[f.variable].label)
            for f in self.box
            if f.verdict is Verdict.NOT_COVERED
        ]
        if outside:
            return f"Outside what {self.spec.number} claims: {'; '.join(outside)}."
        if self.report.verdict > Verdict.COVERED:
            return answer_words.say_report(self.report, self.units)
        open_ones = [
            words.within_sentence(registry()[f.variable].label)
            for f in self.box
            if f.verdict > Verdict.COVERED
        ]
        if open_ones:
            return f"Unknown: {'; '.join(open_ones)} cannot be checked against {self.spec.number}."
        return f"Inside {self.spec.number}. {answer_words.say_report(self.report, self.units)}"

    @cached_property
    def box_rows(self) -> list[BoxRow]:
        """The findings in words, worst first."""
        return [self._row(finding) for finding in sorted(self.box, key=lambda f: -f.verdict)]

    def _row(self, finding: BoxFinding) -> BoxRow:
        words = {Verdict.COVERED: "Inside", Verdict.NOT_COVERED: "Outside", Verdict.UNKNOWN: "Unknown"}
        place = (
            f" (process {finding.line + 1})" if finding.line is not None and len(self.weld.lines) > 1 else ""
        )
        return BoxRow(
            registry()[finding.variable].label + place,
            finding.verdict.key,
            words[finding.verdict],
            wording.say_value(finding.variable, finding.found, self.units),
            wording.say_value(finding.variable, finding.claimed, self.units),
            finding.because,
        )

    @cached_property
    def findings(self) -> list[dict[str, Any]]:
        """What the tests say, line by line, as `_findings.html` takes it."""
        return [
            {
                "line": line.line,
                "verdict": line.verdict.key,
                "verdict_words": line.verdict.words,
                "relied_on": line.relied_on,
                "process": wording.say_value("process", self.weld.lines[line.line]["process"], self.units),
                "rows": answer_words.rows_of_line(line, self.units),
            }
            for line in self.report.lines
        ]


@dataclass
class ApprovedProcedures:
    """The approved procedures of one edition, read once and asked about many welds."""

    edition: Edition
    specs: Sequence[Spec]
    customer: str = ""
    """Customer of the job asked for; empty outside a job."""
    job: str = ""
    own_for_welders: Edition | None = None
    """Edition the job's welders are qualified to, where that is another than the welds'."""
    decisions: Mapping[str, Sequence[Decision]] = field(default_factory=dict)
    """Answers of the responsible person, by the number of the one procedure each is made for."""
    _ranges: dict[int, TestRange] = field(default_factory=dict)
    _claims: dict[int, Weld] = field(default_factory=dict)
    _limits: dict[str, list[HouseLimit]] = field(default_factory=dict)

    @classmethod
    def of(cls, edition_key: str, customer: str = "", job: str = "") -> ApprovedProcedures:
        """The shelf as it stands now, for the work of that customer and job."""
        found = (
            Spec.objects.filter(state=State.APPROVED, edition=edition_key)
            .defer("snapshot")
            .prefetch_related(
                Prefetch("tests", ProcedureTest.objects.select_related("welder").defer("snapshot"))
            )
            .order_by("number")
        )
        hold_against_approvals(test for spec in found for test in spec.tests.all())
        decisions = decisions_by_procedure(edition_key)
        return cls(edition_of(edition_key), list(found), customer, job, decisions=decisions)

    @classmethod
    def for_job(cls, job: Job) -> ApprovedProcedures:
        """The shelf for the welds of a job."""
        shelf = cls.of(job.edition, job.customer, job.number)
        if job.edition_for_welders != job.edition:
            shelf.own_for_welders = edition_of(job.welder_edition)
        return shelf

    @cached_property
    def claims(self) -> Claims:
        """What all procedures claim, to hold many welds against at once."""
        return Claims([self.claim(spec) for spec in self.specs], self.edition)

    @property
    def for_welders(self) -> Edition:
        """The edition under which it is asked who may weld."""
        return self.own_for_welders or self.edition

    @property
    def editions(self) -> tuple[Edition, ...]:
        """Those that decide: for the welds, and for their welders where that is another."""
        return (self.edition, *([self.own_for_welders] if self.own_for_welders else []))

    def fits(self, weld: Weld, units: str) -> list[ProcedureMatch]:
        """Every procedure with its answer, best first."""
        return sorted(
            (self.fit(weld, spec, units) for spec in self.specs),
            key=lambda fit: (fit.verdict, fit.spec.number),
        )

    def fit(self, weld: Weld, spec: Spec, units: str) -> ProcedureMatch:
        """One procedure's answer, house limits of its customer and of the job included."""
        claimed = self.claim(spec)
        made = as_welded(weld, claimed)
        edition = self.edition_for(spec)
        answer = answer_for(
            made, self.ranges(spec), edition, Side.PROCEDURE, units, without_test=spec.prequalified
        )
        return ProcedureMatch(
            spec,
            made,
            inside_box(weld, claimed, self.edition),
            narrowed(answer, made, self.house(spec), self.edition),
            units,
        )

    def ranges(self, spec: Spec) -> list[TestRange]:
        """What the tests of a procedure qualify."""
        with supposing(self.edition):  # it need not be looked up again for each test
            return [self._range(test) for test in spec.tests.all() if test.state in COUNTING]

    def edition_for(self, spec: Spec) -> Edition:
        """The edition with what the responsible person decided for that procedure alone."""
        return self.edition.with_decisions(self.decisions.get(spec.number, ()))

    def chosen(self, number: str) -> Spec | None:
        """The approved revision of that number, if there is one."""
        return next((spec for spec in self.specs if spec.number == number), None)

    def made(self, part: Part) -> Weld:
        """A part as it will be made: by its chosen procedure, else as far as it is drawn."""
        drawn, spec = read_part(part), self.chosen(part.spec_number)
        return drawn if spec is None else as_welded(drawn, self.claim(spec))

    def house(self, spec: Spec | None) -> list[HouseLimit]:
        """Limits on a weld made by that procedure, or by none that is chosen yet: those of shop, job and its
        customer, and of the customer the procedure is kept for, since it was approved inside them."""
        return self.house_of(spec.customer if spec is not None else "")

    def house_of(self, customer: str) -> list[HouseLimit]:
        """The same for procedures kept for that customer."""
        if customer not in self._limits:
            self._limits[customer] = limits_for([self.customer, customer], self.job)
        return self._limits[customer]

    def read_limits(self) -> None:
        """Look up every limit now, so that nothing is read of a later state of the shop."""
        for customer in {"", *(spec.customer for spec in self.specs)}:
            self.house_of(customer)

    def claim(self, spec: Spec) -> Weld:
        """What a procedure claims, as facts."""
        if spec.pk not in self._claims:
            self._claims[spec.pk] = _read(spec.joint, spec.lines, RecordKind.SPEC, spec.units, spec.reference)
        return self._claims[spec.pk]

    def _range(self, test: ProcedureTest) -> TestRange:
        if test.pk not in self._ranges:
            self._ranges[test.pk] = range_of(test, Side.PROCEDURE, self.edition)
        return self._ranges[test.pk]


def read_part(part: Part) -> Weld:
    """A part's entries as facts."""
    return weld_of(part.joint, part.lines, part.units, str(part))


def weld_of(joint: Mapping[str, Any], lines: Sequence[Mapping[str, Any]], units: str, name: str = "") -> Weld:
    """Entries of a part, stored or just typed, as facts."""
    return _read(joint, lines, RecordKind.PART, units, name)


def _read(
    joint: Mapping[str, Any], lines: Sequence[Mapping[str, Any]], use: RecordKind, units: str, name: str
) -> Weld:
    key = (json.dumps([joint, lines]), use, units, name)
    return _welds.of(key, lambda: read_weld(joint, lines, use, units, name).weld)
