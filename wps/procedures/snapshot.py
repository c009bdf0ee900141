"""The content of a procedure as plain JSON: what approval freezes and the document prints."""

from __future__ import annotations

from typing import Any

from qualification.codes.decisions import as_decision, decision_content, stored_for
from qualification.codes.house_limits import rule_content, rules_for
from qualification.evidence.coverage import Judgement
from qualification.models import ProcedureTest
from qualification.rules.core.program import program
from qualification.rules.entries import answer_words
from qualification.rules.entries.derive import derive
from qualification.rules.entries.showing import EnteredGroup, entered_groups
from qualification.rules.materials.grouping import explain_groups, group
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.snapshot import (
    changes_since_last,
    edition_content,
    revision_list,
    shop_content,
)
from wps.forms.procedure import HEADS
from wps.models import Spec
from wps.procedures.checks import checks_of_procedure

CHANGED_HEADS = {key: label for key, label in HEADS.items() if key not in ("number", "change_note")}
"""Plain fields of a procedure that a list of changes names."""


def spec_content(spec: Spec, judgement: Judgement) -> dict[str, Any]:
    """A procedure: entries, supporting tests, verdict and findings per line."""
    report, shown = judgement.report, spec.units
    answered = {finding.because for finding in report.findings}
    return {
        **spec.content(),
        "program": program(),
        "kind": spec.KIND,
        "state": spec.state,
        "shop": shop_content(),
        "code": edition_content(judgement.edition),
        "author_name": spec.author_name,
        "approved_by": spec.approved_by_name,
        "approved_at": spec.approved_at.isoformat() if spec.approved_at else "",
        "shown": shown,
        "entered": [g.as_json() for g in _entered(spec, judgement, shown)],
        "tests": [] if spec.prequalified else [_test(t) for t in spec.tests.order_by("number", "revision")],
        "verdict": report.verdict.key,
        "verdict_words": report.verdict.words,
        "sentence": answer_words.say_report(report, shown),
        "house_limits": [rule_content(rule) for rule in rules_for([spec.customer])],
        "decisions": [
            decision_content(each)
            for each in stored_for(spec.edition, spec.number)
            if as_decision(each).sentence in answered
        ],
        "problems": [problem.message for problem in judgement.problems],
        "refusals": list(report.refusals),
        "checks": [each.as_json() for each in checks_of_procedure(spec, judgement.read, shown)],
        "findings": [
            {
                "line": line.line,
                "verdict": line.verdict.key,
                "verdict_words": line.verdict.words,
                "relied_on": list(line.relied_on),
                "rows": [row.as_json() for row in answer_words.rows_of_line(line, shown)],
            }
            for line in report.lines
        ],
        "revisions": revision_list(spec),
        "changes": changes_since_last(spec, RecordKind.SPEC, CHANGED_HEADS),
    }


def _entered(spec: Spec, judgement: Judgement, shown: str) -> tuple[EnteredGroup, ...]:
    edition = judgement.edition
    grouped, whole = explain_groups(judgement.weld, edition), derive(group(judgement.weld, edition))
    return entered_groups(
        spec.joint, spec.lines, RecordKind.SPEC, spec.units, grouped, edition.speaks, shown, whole
    )


def _test(test: ProcedureTest) -> dict[str, Any]:
    return {
        "number": test.number,
        "revision": test.revision,
        "reference": test.reference,
        "title": test.title,
        "state": test.state,
        "state_words": test.get_state_display(),
        "content_hash": test.snapshot_hash,
        "welded_on": test.welded_on.isoformat() if test.welded_on else "",
        "laboratory": test.laboratory,
        "report_number": test.report_number,
    }
