"""Open items of approving a procedure, and what its approval freezes."""

from __future__ import annotations

from typing import Any

from qualification.codes.decisions import decisions_for_procedure
from qualification.codes.house_limits import limits_for
from qualification.evidence.coverage import Judgement, RangeFor, judge_weld
from qualification.models import State
from qualification.records.approving import frozen_content, obstacles_to_approval
from qualification.rules.core.findings import Verdict
from qualification.rules.entries import answer_words
from qualification.rules.ranges.prequalified import has_prequalified
from qualification.rules.required.words import obstacles
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.approval import HAS_NO_RULES
from wps.models import Spec
from wps.procedures.required_items import spec_items
from wps.procedures.snapshot import spec_content

ASK_THE_CODE = (
    " An approver can look it up in the shop's copy of the code and enter the answer under “Decide by the"
    " code” on the procedure's page."
)


def judgement_of(spec: Spec, range_for: RangeFor | None = None) -> Judgement:
    """The spec judged against its supporting tests, as stored; `range_for` as in `judge_weld`."""
    return judge_weld(
        spec.joint,
        spec.lines,
        spec.units,
        RecordKind.SPEC,
        spec.tests.all(),
        spec.edition,
        spec.reference,
        limits_for([spec.customer]),
        range_for,
        spec.prequalified,
        decisions_for_procedure(spec.edition, spec.number),
    )


@obstacles_to_approval.register(Spec)
def obstacles_to_spec(spec: Spec) -> list[str]:
    """Every uncovered or unknown essential variable, unread entry, unfit supporting test, and whatever else
    the code wants stated, in sentences."""
    judgement = judgement_of(spec)
    found = [problem.message for problem in judgement.problems]
    if not spec.lines:
        found.append("Add at least one process line.")
    tests = list(spec.tests.all())
    if not tests and not spec.prequalified:
        found.append("Name at least one supporting procedure test.")
    if spec.prequalified and not has_prequalified(judgement.edition):
        found.append(
            f"Prequalified: {judgement.edition.name} has no procedures without a test. Take the tick away."
        )
    for test in tests:
        if test.state != State.APPROVED:
            found.append(
                f"Supporting test {test.reference} is {test.get_state_display().lower()}; only an approved"
                " test supports a procedure."
            )
        if test.edition != spec.edition:
            found.append(
                f"Supporting test {test.reference} was recorded under another edition; judge it under"
                f" {judgement.edition.name} first."
            )
    for finding in judgement.report.obstacles:
        row = answer_words.row_of_finding(finding, spec.units)
        place = f"Line {finding.line + 1}, " if finding.line is not None else ""
        allowed = "Qualified" if finding.citation.is_of_a_code else row.clause
        found.append(
            f"{place}{row.label}: {row.verdict_words.lower()}. Entered: {row.found}. {allowed}:"
            f" {row.qualified}. {row.because} {row.note}".strip()
            + (ASK_THE_CODE if finding.is_open_to_the_code else "")
        )
    if judgement.edition.is_content_list:
        found.append(HAS_NO_RULES)
    if judgement.report.verdict > Verdict.COVERED and not judgement.report.obstacles:
        found.append("Nothing could be judged, so nothing is covered.")
    told = {(f.line, key) for f in judgement.report.obstacles for key in (f.variable, *f.needs)}
    return found + obstacles(spec_items(spec), {*told, *((None, key) for _, key in told), (None, "tests")})


@frozen_content.register(Spec)
def freeze_spec(spec: Spec) -> dict[str, Any]:
    """Entries, supporting tests, findings and the tables they rest on, as they stand at approval."""
    return spec_content(spec, judgement_of(spec))
