"""Which approved procedures a weld can be made by: inside their claims, and covered by their tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from qualification.coverage import edition_of, range_of
from qualification.house_limits import limits_for
from qualification.models import ProcedureTest, State
from qualification.rules import wording
from qualification.rules.entries import read_weld
from qualification.rules.facts import Weld
from qualification.rules.findings import Report, Verdict
from qualification.rules.house import HouseLimit, narrowed
from qualification.rules.inside_box import BoxFinding, as_welded, inside_box, verdict_of
from qualification.rules.prequalified import answer_for
from qualification.rules.ranges import Side, TestRange
from qualification.rules.tables import Edition
from qualification.rules.variables import Use, registry
from wps.models import Job, Part, Spec

COUNTING = (State.APPROVED, State.SUPERSEDED)
"""States in which a supporting test still says what was welded; a withdrawn one says nothing any more."""


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
class Fit:
    """How one weld and one procedure go together."""

    spec: Spec
    weld: Weld
    """The weld as it would be made by the procedure."""
    box: tuple[BoxFinding, ...]
    report: Report
    """The weld as made, held against the procedure's tests."""
    units: str

    @property
    def verdict(self) -> Verdict:
        return max(verdict_of(self.box), self.report.verdict)

    @property
    def sentence(self) -> str:
        """The answer in one sentence: first what the procedure itself says, then what its tests say."""
        outside = [
            wording.within_sentence(registry()[f.variable].label)
            for f in self.box
            if f.verdict is Verdict.NOT_COVERED
        ]
        if outside:
            return f"Outside what {self.spec.number} claims: {'; '.join(outside)}."
        if self.report.verdict > Verdict.COVERED:
            return wording.say_report(self.report, self.units)
        open_ones = [
            wording.within_sentence(registry()[f.variable].label)
            for f in self.box
            if f.verdict > Verdict.COVERED
        ]
        if open_ones:
            return f"Unknown: {'; '.join(open_ones)} cannot be held against {self.spec.number}."
        return f"Inside {self.spec.number}. {wording.say_report(self.report, self.units)}"

    @property
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

    @property
    def findings(self) -> list[dict[str, Any]]:
        """What the tests say, line by line, as `_findings.html` takes it."""
        return [
            {
                "line": line.line,
                "verdict": line.verdict.key,
                "verdict_words": line.verdict.words,
                "relied_on": line.relied_on,
                "process": wording.say_value("process", self.weld.lines[line.line]["process"], self.units),
                "rows": wording.rows_of_line(line, self.units),
            }
            for line in self.report.lines
        ]


@dataclass
class Shelf:
    """The approved procedures of one edition, read once and asked about many welds."""

    edition: Edition
    specs: Sequence[Spec]
    customer: str = ""
    """Customer of the job asked for; empty outside a job."""
    job: str = ""
    own_for_welders: Edition | None = None
    """Edition the job's welders are qualified to, where that is another than the welds'."""
    _ranges: dict[int, TestRange] = field(default_factory=dict)
    _claims: dict[int, Weld] = field(default_factory=dict)
    _limits: dict[str, list[HouseLimit]] = field(default_factory=dict)

    @classmethod
    def of(cls, edition_key: str, customer: str = "", job: str = "") -> Shelf:
        """The shelf as it stands now, for the work of that customer and job."""
        found = (
            Spec.objects.filter(state=State.APPROVED, edition=edition_key)
            .prefetch_related("tests")
            .order_by("number")
        )
        return cls(edition_of(edition_key), list(found), customer, job)

    @classmethod
    def for_job(cls, job: Job) -> Shelf:
        """The shelf for the welds of a job."""
        shelf = cls.of(job.edition, job.customer, job.number)
        if job.edition_for_welders != job.edition:
            shelf.own_for_welders = edition_of(job.welder_edition)
        return shelf

    @property
    def for_welders(self) -> Edition:
        """The edition under which it is asked who may weld."""
        return self.own_for_welders or self.edition

    def fits(self, weld: Weld, units: str) -> list[Fit]:
        """Every procedure with its answer, best first."""
        return sorted(
            (self.fit(weld, spec, units) for spec in self.specs),
            key=lambda fit: (fit.verdict, fit.spec.number),
        )

    def fit(self, weld: Weld, spec: Spec, units: str) -> Fit:
        """One procedure's answer, house limits of its customer and of the job included."""
        claimed = self._claim(spec)
        made = as_welded(weld, claimed)
        ranges = (self._range(test) for test in spec.tests.all() if test.state in COUNTING)
        answer = answer_for(made, ranges, self.edition, Side.PROCEDURE, units, without_test=spec.prequalified)
        return Fit(
            spec,
            made,
            inside_box(weld, claimed, self.edition),
            narrowed(answer, made, self.house(spec), self.edition),
            units,
        )

    def chosen(self, number: str) -> Spec | None:
        """The approved revision of that number, if there is one."""
        return next((spec for spec in self.specs if spec.number == number), None)

    def made(self, part: Part) -> Weld:
        """A part as it will be made: by its chosen procedure, else as far as it is drawn."""
        drawn, spec = read_part(part), self.chosen(part.spec_number)
        return drawn if spec is None else as_welded(drawn, self._claim(spec))

    def house(self, spec: Spec | None) -> list[HouseLimit]:
        """Limits on a weld made by that procedure, or by none that is chosen yet: those of shop, job and its
        customer, and of the customer the procedure is kept for, since it was approved inside them."""
        customer = spec.customer if spec is not None else ""
        if customer not in self._limits:
            self._limits[customer] = limits_for([self.customer, customer], self.job)
        return self._limits[customer]

    def _claim(self, spec: Spec) -> Weld:
        if spec.pk not in self._claims:
            self._claims[spec.pk] = read_weld(
                spec.joint, spec.lines, Use.SPEC, spec.units, spec.reference
            ).weld
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
    return read_weld(joint, lines, Use.PART, units, name).weld
