"""Which procedure tests on file carry a weld as drawn, and which coupon to weld where none does."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from qualification.codes.editions_in_force import supposing
from qualification.evidence.coverage import Judgement, judge_part_against_tests
from qualification.models import ProcedureTest, State
from qualification.records.unchanged import hold_against_approvals
from qualification.rules.core import words
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Finding, Report, Verdict
from qualification.rules.entries import wording
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.registry import registry
from qualification.welders.who_may_weld import against
from wps.jobs.advice import Advice, advice
from wps.jobs.welding_today import no_coupon_helps


@dataclass(frozen=True)
class Carrier:
    """A procedure test that nothing drawn speaks against."""

    test: ProcedureTest
    verdict: str
    words: str
    sentence: str


def tests_that_carry(weld: Weld, edition: Edition) -> list[Carrier]:
    """Approved tests under the edition, each on its own, that the weld as drawn does not lie outside of; best
    first. What the drawing leaves open (gas, transfer mode, preheat) the procedure still has to state."""
    found: list[tuple[Verdict, Carrier]] = []
    if not weld.lines:
        return []
    tests = ProcedureTest.objects.filter(state=State.APPROVED, edition=edition.id).order_by("number")
    on_file = list(tests.select_related("welder").defer("snapshot"))
    hold_against_approvals(on_file)
    for test in on_file:
        with supposing(edition):  # it need not be looked up again for each test
            report = judge_part_against_tests(weld, [test], edition, Side.PROCEDURE)
        if report.verdict < Verdict.NOT_COVERED and not report.refusals:
            found.append(
                (report.verdict, Carrier(test, report.verdict.key, report.verdict.words, _sentence(report)))
            )
    return [carrier for _, carrier in sorted(found, key=lambda each: each[0])]


def _sentence(report: Report) -> str:
    if not report.obstacles:
        return "Carries the weld as drawn."
    return f"Carries what is drawn. Open: {_named(report.obstacles)}."


def _named(findings: Iterable[Finding]) -> str:
    """What the findings that are open turn on, by name."""
    still_open = (finding for finding in findings if finding.binds and finding.verdict > Verdict.COVERED)
    keys = dict.fromkeys(key for finding in still_open for key in (finding.needs or (finding.variable,)))
    return ", ".join(words.within_sentence(registry()[key].label) for key in keys)


def procedure_coupons(judged: Judgement, units: str) -> list[Advice]:
    """For each process line no test carries: coupons that would, once welded and passed; or why none would, a
    limit laid over the code standing against the procedure itself."""
    weld, edition, found = judged.weld, judged.edition, []
    for line in judged.report.lines:
        if line.verdict <= Verdict.COVERED:
            continue
        if limits := against(finding for finding in line.findings if not finding.citation.is_of_a_code):
            process = wording.say_value("process", weld.lines[line.line]["process"], units)
            found.append(Advice(line.line + 1, process, [no_coupon_helps(limits, "procedure")]))
        else:
            found.append(
                advice(weld, line.line, edition, Side.PROCEDURE, units, judged.house, against=line.findings)
            )
    return found
