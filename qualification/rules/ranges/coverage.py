"""Is a weld covered by these tests? One question for specs, production joints, parts and planned coupons.

A weld is a box: it may claim ranges and several choices at once. It is covered when every part of it is
covered by at least one test as a whole, or by several that share it as `joining.py` says.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..core.facts import Coupon, Facts, Side, Weld
from ..core.findings import Attempt, Citation, Finding, LineReport, Provenance, Report, VariableClass, Verdict
from ..core.values import Absent
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.decisions import decided
from ..tabular.edition import Edition
from .by_name import by_name
from .joining import Joins, join
from .ranges import LineRange, TestRange, range_qualified, rules_of, without_rules


def coverage(weld: Weld, coupons: Sequence[Coupon], edition: Edition, side: Side) -> Report:
    """Judge `weld` against the tests under one edition."""
    return cover(weld, [range_qualified(coupon, edition, side) for coupon in coupons], edition, side)


def cover(weld: Weld, ranges: Sequence[TestRange], edition: Edition, side: Side) -> Report:
    """As `coverage`, with the ranges of the tests already worked out."""
    return cover_whole(derive(group(weld, edition)), ranges, edition, side)


def cover_whole(whole: Weld, ranges: Sequence[TestRange], edition: Edition, side: Side) -> Report:
    """As `cover`, of a weld that is grouped and derived already, for asking about many sets of tests."""
    if not rules_of(edition, side):
        return Report(tuple(_without_rules(whole, i, edition, side) for i in range(len(whole.lines))))
    candidates = [line for tested in ranges for line in tested.lines]
    refusals = tuple(f"{tested.record}: {reason}" for tested in ranges for reason in tested.refusals)
    joins = Joins.of(edition, side)
    reports = [
        _cover_line(whole.line_facts(i), i, candidates, joins, edition, side) for i in range(len(whole.lines))
    ]
    reports = [
        _again_as_root(whole, i, reports, candidates, joins, edition, side) for i in range(len(whole.lines))
    ]
    return Report(tuple(reports), refusals)


def _again_as_root(
    weld: Weld,
    index: int,
    reports: list[LineReport],
    candidates: list[LineRange],
    joins: Joins,
    edition: Edition,
    side: Side,
) -> LineReport:
    """A root line judged once more, knowing whether the rest of the joint, laid with another process, rests
    on other tests: some codes let a thick coupon supply the root of a joint that another test qualifies."""
    report, others = reports[index], [r for r in reports if r.line != index]
    facts = weld.line_facts(index)
    is_root = facts.is_only("part_of_joint", "root")
    other_process = any(weld.lines[r.line]["process"] != facts["process"] for r in others)
    rest_covered = other_process and all(r.verdict <= Verdict.COVERED for r in others)
    if report.verdict <= Verdict.COVERED or not is_root or not rest_covered:
        return report
    root = facts.including({"root_on_other_test": frozenset({"yes"})})

    def again(own: Sequence[LineRange]) -> LineReport | None:
        return _cover_line(root, index, own, joins, edition, side) if own else None

    found = again([c for c in candidates if all(c.record not in r.relied_on for r in others)])
    if found is not None and found.verdict <= Verdict.COVERED:
        return found
    # Which test the rest rests on is an accident of their order: any that the rest can do without may serve.
    for record in dict.fromkeys(c.record for c in candidates):
        mine = again([c for c in candidates if c.record == record])
        rest = [c for c in candidates if c.record != record]
        if (
            mine is not None
            and mine.verdict <= Verdict.COVERED
            and _covers_lines(weld, others, rest, joins, edition, side)
        ):
            return mine
    return found or report


def _covers_lines(
    weld: Weld,
    lines: Sequence[LineReport],
    candidates: Sequence[LineRange],
    joins: Joins,
    edition: Edition,
    side: Side,
) -> bool:
    return all(
        _cover_line(weld.line_facts(each.line), each.line, candidates, joins, edition, side).verdict
        <= Verdict.COVERED
        for each in lines
    )


def _cover_line(
    facts: Facts,
    index: int,
    candidates: Sequence[LineRange],
    joins: Joins,
    edition: Edition,
    side: Side,
) -> LineReport:
    facts = (
        facts if "root_on_other_test" in facts else facts.including({"root_on_other_test": frozenset({"no"})})
    )
    process = facts.choices("process")
    fitting = [c for c in candidates if process and process <= c.stands_for]
    if not fitting:
        return _without_candidate(facts, index, candidates, edition)
    judged = [
        (c, [decided(limit.judge(facts, index), facts, edition.decisions, side) for limit in c.limits])
        for c in fitting
    ]
    attempts = tuple(_attempt(c.record, findings) for c, findings in judged)
    for (candidate, findings), attempt in zip(judged, attempts, strict=True):
        if attempt.verdict <= Verdict.COVERED:
            return LineReport(index, attempt.verdict, tuple(findings), (candidate.record,), attempts)
    closest, findings = min(judged, key=lambda pair: _distance(pair[1]))
    joined = join(facts, index, fitting, joins)
    if joined is None or _worst(joined) > Verdict.COVERED:
        parted = by_name(facts, index, fitting, joins, edition)
        joined = (
            parted if parted is not None and (joined is None or _worst(parted) < _worst(joined)) else joined
        )
    if joined is not None and _worst(joined) < _worst(findings):
        return LineReport(
            index,
            max(_worst(joined), Verdict.COVERED),
            joined,
            tuple(dict.fromkeys(f.record for f in joined)),
            attempts,
        )
    return LineReport(index, _worst(findings), tuple(findings), (closest.record,), attempts)


def _without_candidate(
    facts: Facts, index: int, candidates: Sequence[LineRange], edition: Edition
) -> LineReport:
    process = facts["process"]
    unknown = isinstance(process, Absent)
    qualified = frozenset(process for c in candidates for process in c.stands_for)
    finding = Finding(
        verdict=Verdict.UNKNOWN if unknown else Verdict.NOT_COVERED,
        variable="process",
        standing=VariableClass.ESSENTIAL,
        found=process,
        qualified=qualified,
        record="",
        citation=_process_citation(edition),
        because="Each welding process has to be qualified by a test made with it.",
        line=index,
        needs=("process",) if unknown else (),
        note="" if qualified else "No test on file issues a range.",
    )
    return LineReport(index, finding.verdict, (finding,), (), ())


def _without_rules(whole: Weld, index: int, edition: Edition, side: Side) -> LineReport:
    """Nobody may take silence for leave: without a rule there is none to keep to, and none to break."""
    finding = Finding(
        verdict=Verdict.NO_RULE,
        variable="process",
        standing=VariableClass.ESSENTIAL,
        found=whole.line_facts(index)["process"],
        qualified=None,
        record="",
        citation=_process_citation(edition),
        because=without_rules(edition, side),
        line=index,
    )
    return LineReport(index, Verdict.NO_RULE, (finding,), (), ())


def _process_citation(edition: Edition) -> Citation:
    for row in (*edition.procedure, *edition.welder):
        if row.variable == "process":
            return row.citation
    return Citation(edition.code, edition.edition, "", Provenance.MEMORY)


def _worst(findings: Sequence[Finding]) -> Verdict:
    """The worst of the findings that bind; a test that says nothing binding covers nothing."""
    return max((f.verdict for f in findings if f.binds), default=Verdict.UNKNOWN)


def _distance(findings: Sequence[Finding]) -> tuple[int, int, Verdict]:
    """How far a test is from covering the line; the verdict itself last, so that the order of the tests never
    decides between two of them."""
    binding = [f for f in findings if f.binds]
    return (
        sum(f.verdict is Verdict.NOT_COVERED for f in binding),
        sum(Verdict.COVERED < f.verdict < Verdict.NOT_COVERED for f in binding),
        _worst(findings),
    )


def _attempt(record: str, findings: Sequence[Finding]) -> Attempt:
    obstacles = sorted(
        (f for f in findings if f.binds and f.verdict > Verdict.COVERED), key=lambda f: -f.verdict
    )
    return Attempt(record, _worst(findings), tuple(obstacles))
