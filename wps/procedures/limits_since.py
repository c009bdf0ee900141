"""Limits beyond the code after a procedure was approved or handed in, and what they have against it.

Approval judges by the limits in force on its day and freezes them with the verdict. A limit entered later
does not undo that paper; it is shown wherever the procedure is looked at, until it is revised, withdrawn, or
the limit ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils import timezone

from qualification.codes.house_limits import limit_of, rule_content, rules_for
from qualification.evidence.coverage import edition_of
from qualification.models import HouseRule, State
from qualification.rules.core import words
from qualification.rules.core.findings import Finding, Verdict
from qualification.rules.entries import answer_words
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.house import held_to
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.definition import RecordKind
from qualification.welders.who_may_weld import against
from wps.models import Spec


@dataclass(frozen=True)
class Since:
    """One limit entered since, and what it has against the procedure."""

    rule: HouseRule
    finding: Finding
    sentence: str

    @property
    def is_outside(self) -> bool:
        """False where it cannot be told, since the procedure does not state what the limit speaks of."""
        return self.finding.verdict is Verdict.NOT_COVERED


def limits_since(spec: Spec, rules: Sequence[HouseRule] | None = None) -> list[Since]:
    """What limits entered since its approval, or since it was handed in, have against a procedure; those it
    is outside of first. `rules` are the limits in force for its customer, where they are at hand already."""
    entered = [
        rule for rule in (rules_for([spec.customer]) if rules is None else rules) if _is_new(rule, spec)
    ]
    if not entered:
        return []
    try:
        edition = edition_of(spec.edition)
    except TableError:  # its own page says so
        return []
    weld = read_weld(spec.joint, spec.lines, RecordKind.SPEC, spec.units, spec.reference, edition.speaks).weld
    found = []
    for rule in entered:
        findings = [f for line in held_to(weld, [limit_of(rule)], edition) for f in against(line)]
        if findings:
            worst = max(findings, key=lambda finding: finding.verdict)
            found.append(Since(rule, worst, _said(rule, worst, spec.units)))
    return sorted(found, key=lambda each: not each.is_outside)


def with_limits_since(states: Iterable[State]) -> list[tuple[Spec, list[Since]]]:
    """Procedures in these states that a limit entered since stands against. Their tests are not asked, so
    this is quick enough for a page that is looked at every morning."""
    by_customer: dict[str, list[HouseRule]] = {}
    found = []
    for spec in Spec.objects.filter(state__in=list(states)).order_by("number"):
        if spec.customer not in by_customer:
            by_customer[spec.customer] = rules_for([spec.customer])
        if since := limits_since(spec, by_customer[spec.customer]):
            found.append((spec, since))
    return found


def _is_new(rule: HouseRule, spec: Spec) -> bool:
    if spec.snapshot is not None:
        return rule_content(rule) not in spec.snapshot.get("house_limits", [])
    # Handing in is the last time a revision in review was stored.
    return spec.state == State.IN_REVIEW and rule.recorded_at > spec.updated_at


def _said(rule: HouseRule, finding: Finding, units: str) -> str:
    row, day = answer_words.row_of_finding(finding, units), timezone.localtime(rule.recorded_at).date()
    note = "" if finding.verdict is Verdict.NOT_COVERED else f" {row.note}"
    return (
        f"{row.label}: {words.within_sentence(row.found)}. {row.clause}, since {day}, allows"
        f" {words.within_sentence(row.qualified)}.{note}"
    )
