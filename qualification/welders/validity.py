"""A welder's qualification that is confirmed and prolonged, as by ISO 9606: the acts on record to the rules,
and in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from qualification.models import ActKind, CouponRecord, ProcessUse, ValidityAct, WelderTest
from qualification.rules.testing.outcome_words import citation_content
from qualification.rules.welders.continuity import Continuity, PassedTest, Revocation
from qualification.rules.welders.validity import Conditions, Prolongation, Weighed, validity, weighed
from qualification.rules.welders.validity_tables import SIGNATORIES, RevalidationMethod, ValidityRules

Acts = Sequence[ValidityAct]


@dataclass(frozen=True)
class ActRow:
    """One act with whether it counts; `why_not` is empty where it does."""

    act: ValidityAct
    why_not: str

    @property
    def counts(self) -> bool:
        return not self.why_not


def acts_of(record: WelderTest) -> list[ValidityAct]:
    """The acts on every revision of the record's number that is of the same welder, struck ones as well."""
    return list(
        ValidityAct.objects.filter(test__number=record.number, test__welder=record.welder).select_related(
            "test"
        )
    )


def counting(acts: Iterable[ValidityAct], edition: str) -> list[ValidityAct]:
    """Acts not struck, done under the edition: a confirmation of one range says nothing of another."""
    return [act for act in acts if not act.struck_because and act.edition == edition]


def way_of(acts: Acts, rules: ValidityRules, edition: str) -> RevalidationMethod | None:
    """The way on record: the one chosen, or the only one there is."""
    chosen = [act.way for act in counting(acts, edition) if act.kind == ActKind.WAY and rules.way(act.way)]
    return rules.way(chosen[-1] if chosen else None)


def answer_of(
    record: CouponRecord,
    test: PassedTest,
    on: date,
    rules: ValidityRules,
    acts: Acts,
    revocations: Sequence[Revocation],
) -> Continuity:
    """How one process of the record stands on the day, by the acts on record."""
    mine, way = counting(acts, record.edition), way_of(acts, rules, record.edition)
    return validity(
        test,
        on,
        rules,
        way=way.key if way else None,
        confirmed=[act.day for act in _of(mine, ActKind.CONFIRMATION, test.process)],
        prolonged=[_prolongation(act, way) for act in _of(mine, ActKind.PROLONGATION, test.process)],
        conditions=[
            Conditions(act.day, bool(act.met), act.until) for act in mine if act.kind == ActKind.CONDITIONS
        ],
        revocations=revocations,
    )


def _of(acts: Acts, kind: ActKind, process: str) -> list[ValidityAct]:
    return [act for act in acts if act.kind == kind and process in act.processes]


def _prolongation(act: ValidityAct, way: RevalidationMethod | None) -> Prolongation:
    """With the welds that were accepted and examined as the way asks."""
    methods = way.methods if way else ()
    welds = [each for each in act.welds if each["accepted"] == "yes" and each["method"] in methods]
    return Prolongation(act.day, tuple(date.fromisoformat(each["welded_on"]) for each in welds))


def rows_of(record: WelderTest, acts: Acts, rules: ValidityRules) -> list[ActRow]:
    """Every act with why it does not count, newest first."""
    refused = _refused(record, counting(acts, record.edition), way_of(acts, rules, record.edition), rules)
    return [ActRow(act, _why_not(act, record, refused)) for act in reversed(acts)]


def _why_not(act: ValidityAct, record: WelderTest, refused: dict[int, str]) -> str:
    if act.struck_because:
        return f"Struck: {act.struck_because}"
    if act.edition != record.edition:
        return f"It was done while the record was under another edition ({act.edition})."
    return refused.get(act.pk, "")


def _refused(
    record: WelderTest, acts: Acts, way: RevalidationMethod | None, rules: ValidityRules
) -> dict[int, str]:
    """Sentences by the ids of the acts that the rules pass over, with the process where only some are
    concerned."""
    if record.welded_on is None:
        return {}
    found: dict[int, dict[str, str]] = {}
    for process in dict.fromkeys(process for act in acts for process in act.processes):
        confirmed, prolonged = (
            _of(acts, ActKind.CONFIRMATION, process),
            _of(acts, ActKind.PROLONGATION, process),
        )
        weights: Weighed = weighed(
            record.welded_on,
            rules,
            way.key if way else None,
            [act.day for act in confirmed],
            [_prolongation(act, way) for act in prolonged],
        )
        for act, why in (
            *zip(confirmed, weights.confirmed, strict=True),
            *zip(prolonged, weights.prolonged, strict=True),
        ):
            if why:
                found.setdefault(act.pk, {})[process] = why
    return {key: _said(reasons) for key, reasons in found.items()}


def _said(reasons: dict[str, str]) -> str:
    sentences = dict.fromkeys(reasons.values())
    if len(sentences) == 1:
        return next(iter(sentences))
    return " ".join(f"{process}: {why}" for process, why in reasons.items())


def uses_since(
    record: WelderTest, acts: Acts, processes: Sequence[str], operations: Sequence[str]
) -> list[ProcessUse]:
    """Lines of the log that a confirmation may rest on: the same process and kind of operation, since the
    last one."""
    last = max(
        (act.day for act in counting(acts, record.edition) if act.kind == ActKind.CONFIRMATION),
        default=record.welded_on,
    )
    lines = record.welder.uses.filter(struck_because="", process__in=processes, operation__in=operations)
    return list(lines.filter(used_on__gt=last) if last else lines)


def blank_lines(way: RevalidationMethod | None, rules: ValidityRules) -> tuple[int, int]:
    """How many lines a paper leaves for confirmations and for prolongations to come: those of one period, and
    three."""
    months = (
        way.months
        if way and way.months
        else min(each.months for each in rules.ways if each.months is not None)
    )
    is_prolonged = any(each.by == "welds" for each in (rules.ways if way is None else (way,)))
    return max(2, -(-months // rules.months)), 3 if is_prolonged else 0


def validity_content(record: WelderTest, rules: ValidityRules) -> dict[str, Any]:
    """Way, confirmations and prolongations as plain JSON: what approval freezes and papers print."""
    acts = acts_of(record)
    way, rows = way_of(acts, rules, record.edition), rows_of(record, acts, rules)
    confirmations, prolongations = blank_lines(way, rules)
    return {
        "months": rules.months,
        "citation": citation_content(rules.confirmation),
        "way": _way_content(way) if way else None,
        "ways": [_way_content(each) for each in rules.ways],
        "confirmed_by": _signers(rules, "confirmation"),
        "prolonged_by": _signers(rules, "prolongation")
        if any(each.by == "welds" for each in rules.ways)
        else [],
        "acts": [
            _act_content(row)
            for row in reversed(rows)
            if not row.act.struck_because and row.act.kind != ActKind.WAY
        ],
        "blank_confirmations": confirmations,
        "blank_prolongations": prolongations,
    }


def _way_content(way: RevalidationMethod) -> dict[str, Any]:
    return {"key": way.key, "words": way.because, "citation": citation_content(way.citation)}


def _signers(rules: ValidityRules, act: str) -> list[str]:
    return [SIGNATORIES[key] for key in rules.may_sign(act)]


def _act_content(row: ActRow) -> dict[str, Any]:
    act = row.act
    return {
        "kind": act.kind,
        "kind_words": act.get_kind_display(),
        "day": act.day.isoformat(),
        "by": act.by_name,
        "role": act.role_words,
        "evidence": act.evidence,
        "welds": act.weld_words,
        "processes": act.processes,
        "met": act.met,
        "until": act.until.isoformat() if act.until else "",
        "why_not": row.why_not,
    }
