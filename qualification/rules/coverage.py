"""Is a weld covered by these tests? One question for specs, production joints, parts and planned coupons.

A weld is a box: it may claim ranges and several choices at once. It is covered when every part of it is
covered by at least one test as a whole. The box is cut along the limits of those variables over which the
edition lets tests join (thickness, for example); along all others one test has to cover the box's whole
width.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from .derive import derive
from .facts import Coupon, Facts, Weld
from .findings import Attempt, Citation, Finding, LineReport, Provenance, Report, Standing, Verdict
from .grouping import group
from .limits import Limit
from .ranges import LineRange, Side, TestRange, range_qualified
from .tables import Edition
from .values import Absent, Interval, Stated

MOST_CELLS = 4096
"""Beyond this many parts a box is judged whole, test by test: stricter, never laxer."""


def coverage(weld: Weld, coupons: Sequence[Coupon], edition: Edition, side: Side) -> Report:
    """Judge `weld` against the tests under one edition."""
    return cover(weld, [range_qualified(coupon, edition, side) for coupon in coupons], edition, side)


def cover(weld: Weld, ranges: Sequence[TestRange], edition: Edition, side: Side) -> Report:
    """As `coverage`, with the ranges of the tests already worked out."""
    whole = derive(group(weld, edition))
    candidates = [line for tested in ranges for line in tested.lines]
    refusals = tuple(f"{tested.record}: {reason}" for tested in ranges for reason in tested.refusals)
    joins = edition.joins_procedure if side is Side.PROCEDURE else edition.joins_welder
    reports = [_cover_line(whole.line_facts(i), i, candidates, joins, edition) for i in range(len(whole.lines))]
    reports = [_again_as_root(whole, i, reports, candidates, joins, edition) for i in range(len(whole.lines))]
    return Report(tuple(reports), refusals)


def _again_as_root(
    weld: Weld, index: int, reports: list[LineReport], candidates: list[LineRange], joins: frozenset[str], edition: Edition
) -> LineReport:
    """A root line judged once more, knowing whether the rest of the joint rests on other tests: some codes
    let a thick coupon supply the root of a joint that another test qualifies."""
    report, others = reports[index], [r for r in reports if r.line != index]
    facts = weld.line_facts(index)
    is_root = facts["part_of_joint"] == frozenset({"root"})
    rest_covered = bool(others) and all(r.verdict <= Verdict.COVERED for r in others)
    if report.verdict <= Verdict.COVERED or not is_root or not rest_covered:
        return report
    own = [c for c in candidates if all(c.record not in r.relied_on for r in others)]
    return _cover_line(facts.including({"root_on_other_test": frozenset({"yes"})}), index, own, joins, edition) if own else report


def _cover_line(facts: Facts, index: int, candidates: Sequence[LineRange], joins: frozenset[str], edition: Edition) -> LineReport:
    facts = facts if "root_on_other_test" in facts else facts.including({"root_on_other_test": frozenset({"no"})})
    process = facts["process"]
    fitting = [c for c in candidates if isinstance(process, frozenset) and process and process <= c.stands_for]
    if not fitting:
        return _without_candidate(facts, index, candidates, edition)
    judged = [(c, [limit.judge(facts, index) for limit in c.limits]) for c in fitting]
    attempts = tuple(_attempt(c.record, findings) for c, findings in judged)
    for (candidate, findings), attempt in zip(judged, attempts, strict=True):
        if attempt.verdict <= Verdict.COVERED:
            return LineReport(index, attempt.verdict, tuple(findings), (candidate.record,), attempts)
    joined = _join(facts, index, fitting, joins)
    if joined is not None:
        return LineReport(index, Verdict.COVERED, joined, tuple(dict.fromkeys(f.record for f in joined)), attempts)
    closest, findings = min(judged, key=lambda pair: _distance(pair[1]))
    return LineReport(index, _worst(findings), tuple(findings), (closest.record,), attempts)


def _without_candidate(facts: Facts, index: int, candidates: Sequence[LineRange], edition: Edition) -> LineReport:
    process = facts["process"]
    unknown = isinstance(process, Absent)
    qualified = frozenset(process for c in candidates for process in c.stands_for)
    finding = Finding(
        verdict=Verdict.UNKNOWN if unknown else Verdict.NOT_COVERED, variable="process", standing=Standing.ESSENTIAL,
        found=process, qualified=qualified, record="", citation=_process_citation(edition),
        because="Each welding process has to be qualified by a test made with it.", line=index,
        needs=("process",) if unknown else (), note="" if qualified else "No test on file issues a range.",
    )
    return LineReport(index, finding.verdict, (finding,), (), ())


def _process_citation(edition: Edition) -> Citation:
    for row in (*edition.procedure, *edition.welder):
        if row.variable == "process":
            return row.citation
    return Citation(edition.code, edition.edition, "", Provenance.MEMORY)


def _worst(findings: Sequence[Finding]) -> Verdict:
    """The worst of the findings that bind; a test that says nothing binding covers nothing."""
    return max((f.verdict for f in findings if f.binds), default=Verdict.UNKNOWN)


def _distance(findings: Sequence[Finding]) -> tuple[int, int]:
    binding = [f for f in findings if f.binds]
    return (
        sum(f.verdict is Verdict.NOT_COVERED for f in binding),
        sum(Verdict.COVERED < f.verdict < Verdict.NOT_COVERED for f in binding),
    )


def _attempt(record: str, findings: Sequence[Finding]) -> Attempt:
    obstacles = sorted((f for f in findings if f.binds and f.verdict > Verdict.COVERED), key=lambda f: -f.verdict)
    return Attempt(record, _worst(findings), tuple(obstacles))


def _join(facts: Facts, index: int, fitting: Sequence[LineRange], joins: frozenset[str]) -> tuple[Finding, ...] | None:
    """Findings when the tests together cover every part of the box, else `None`."""
    if len(fitting) < 2:
        return None
    cells = _cells(facts, fitting, joins)
    if len(cells) < 2:
        return None
    used: dict[int, list[Facts]] = {}
    for cell in cells:
        for number, candidate in enumerate(fitting):
            findings = [limit.judge(cell) for limit in candidate.limits]
            if _worst(findings) <= Verdict.COVERED:
                used.setdefault(number, []).append(cell)
                break
        else:
            return None
    return _joined_findings(facts, index, fitting, used)


def _joined_findings(facts: Facts, index: int, fitting: Sequence[LineRange], used: dict[int, list[Facts]]) -> tuple[Finding, ...]:
    """Each used test's findings; where its own range is too narrow for the whole box, the finding says it
    holds for a part and the other tests take the rest."""
    found = []
    for number in used:
        candidate = fitting[number]
        others = ", ".join(fitting[n].record for n in used if n != number)
        for limit in candidate.limits:
            finding = limit.judge(facts, index)
            if finding.binds and finding.verdict > Verdict.COVERED:
                finding = _covered_in_part(finding, others)
            found.append(finding)
    return tuple(found)


def _covered_in_part(finding: Finding, others: str) -> Finding:
    return Finding(**{
        **{name: getattr(finding, name) for name in finding.__dataclass_fields__},
        "verdict": Verdict.COVERED, "needs": (), "note": f"Covers a part of what is claimed; {others} covers the rest.",
    })


def _cells(facts: Facts, fitting: Sequence[LineRange], joins: frozenset[str]) -> list[Facts]:
    """The box cut into parts that no limit on a joining variable divides any further."""
    axes: list[list[tuple[str, Stated]]] = []
    for key in sorted(joins):
        pieces = _pieces(facts[key], [limit for c in fitting for limit in c.limits], key)
        if len(pieces) > 1:
            axes.append([(key, piece) for piece in pieces])
    count = 1
    for axis in axes:
        count *= len(axis)
    if count > MOST_CELLS:
        return []
    return [facts.including(dict(choice)) for choice in product(*axes)]


def _pieces(value: Stated, limits: Sequence[Limit], key: str) -> list[Stated]:
    if isinstance(value, frozenset):
        return [frozenset({choice}) for choice in sorted(value)]
    if not isinstance(value, Interval):
        return [value]
    spans = [limit.allowed for limit in limits if limit.variable == key and isinstance(limit.allowed, Interval)]
    spans += [
        c.allowed for limit in limits for c in (*limit.when, *(c for group in limit.unless for c in group))
        if c.variable == key and isinstance(c.allowed, Interval)
    ]
    return list(value.split({end for span in spans for end in (span.low, span.high) if end is not None}))
