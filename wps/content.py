"""The content of a procedure as plain JSON: what approval freezes and the document prints."""

from __future__ import annotations

from typing import Any

from qualification.content import edition_content, revision_list, shop_content
from qualification.coverage import Judgement
from qualification.house_limits import rule_content, rules_for
from qualification.models import ProcedureTest, Shop
from qualification.rules import wording
from qualification.rules.derive import derive
from qualification.rules.entered import EnteredGroup, entered_groups
from qualification.rules.grouping import explain_groups, group
from qualification.rules.variables import Use
from wps.models import Spec


def spec_content(spec: Spec, judgement: Judgement) -> dict[str, Any]:
    """A procedure: entries, supporting tests, verdict and findings per line."""
    report, shown = judgement.report, Shop.current().units_first
    return {
        **spec.content(),
        "kind": spec.KIND,
        "state": spec.state,
        "shop": shop_content(),
        "code": edition_content(judgement.edition),
        "author_name": spec.author_name,
        "approved_by": spec.approved_by_name,
        "approved_at": spec.approved_at.isoformat() if spec.approved_at else "",
        "shown": shown,
        "entered": [g.as_json() for g in _entered(spec, judgement, shown)],
        "tests": [_test(test) for test in spec.tests.order_by("number", "revision")],
        "verdict": report.verdict.key,
        "verdict_words": report.verdict.words,
        "sentence": wording.say_report(report, shown),
        "house_limits": [rule_content(rule) for rule in rules_for([spec.customer])],
        "problems": [problem.message for problem in judgement.problems],
        "refusals": list(report.refusals),
        "findings": [
            {
                "line": line.line,
                "verdict": line.verdict.key,
                "verdict_words": line.verdict.words,
                "relied_on": list(line.relied_on),
                "rows": [row.as_json() for row in wording.rows_of_line(line, shown)],
            }
            for line in report.lines
        ],
        "revisions": revision_list(spec),
    }


def _entered(spec: Spec, judgement: Judgement, shown: str) -> tuple[EnteredGroup, ...]:
    edition = judgement.edition
    grouped, whole = explain_groups(judgement.weld, edition), derive(group(judgement.weld, edition))
    return entered_groups(spec.joint, spec.lines, Use.SPEC, spec.units, grouped, edition.speaks, shown, whole)


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
