"""How several tests together cover what none of them covers alone.

The weld's box is cut along the limits of those variables over which an edition lets tests join, and every
part has to be covered by one test as a whole. Where the edition says so, tests may also share one part: those
that agree with it in all else may each bring some of what the coupon's thickness decides, one the thickness
of the base metal, another the toughness; or two tests of one metal group each, with itself, cover the mix of
the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from .derive import can_be
from .facts import Facts
from .findings import Finding, Standing, Verdict
from .limits import Limit
from .ranges import LineRange, Side
from .tables import Edition
from .values import Interval, Stated

MOST_CELLS = 4096
"""Beyond this many parts a box is judged whole, test by test: stricter, never laxer."""

Judged = tuple[Finding, ...]
"""What one test's limits say of one part of the box; only findings that bind."""


@dataclass(frozen=True)
class Joins:
    """What an edition lets several tests do together, for one side."""

    along: frozenset[str]
    """Variables along which the box may be cut."""
    apart: frozenset[str] = frozenset()
    """Variables of one part that different tests may each cover."""
    mixes: frozenset[str] = frozenset()
    """Variables holding pairs of groups, of which a mix is covered by the two halves."""

    @classmethod
    def of(cls, edition: Edition, side: Side) -> Joins:
        if side is Side.WELDER:
            return cls(edition.joins_welder, edition.apart_welder)
        return cls(edition.joins_procedure, edition.apart_procedure, edition.mixes_procedure)


def join(facts: Facts, index: int, fitting: Sequence[LineRange], joins: Joins) -> tuple[Finding, ...] | None:
    """Findings when the tests together leave no part of the box uncovered, else `None`. Where a value that
    the weld leaves out could still let them cover it, the findings hold that unknown."""
    if len(fitting) < 2:
        return None
    cells = _cells(facts, fitting, joins.along)
    for worst in (Verdict.COVERED, Verdict.UNKNOWN):
        used: set[int] = set()
        for cell in cells:
            helping = _helping(cell, fitting, joins, worst)
            if not helping:
                break
            used |= helping
        else:
            return (
                _findings(facts, index, [fitting[n] for n in sorted(used)], worst) if len(used) > 1 else None
            )
    return None


def _helping(cell: Facts, fitting: Sequence[LineRange], joins: Joins, worst: Verdict) -> set[int]:
    """Numbers of the tests whose verdict on one part of the box is no worse than `worst`, alone if one can do
    it and else together; empty when they cannot."""
    judged = [tuple(f for f in (limit.judge(cell) for limit in c.limits) if f.binds) for c in fitting]
    alone = next(
        (number for number, findings in enumerate(judged) if findings and _all_within(findings, worst)), None
    )
    if alone is not None:
        return {alone}
    return _sharing(judged, joins.apart, worst) or _mixing(cell, fitting, judged, joins.mixes, worst)


def _sharing(judged: Sequence[Judged], apart: frozenset[str], worst: Verdict) -> set[int]:
    """Tests that agree with the part in all but the variables of `apart`, and cover those between them."""
    agreeing = [
        n
        for n, findings in enumerate(judged)
        if _all_within([f for f in findings if f.variable not in apart], worst)
    ]
    helping: set[int] = set()
    for key in sorted({_share(f) for n in agreeing for f in judged[n] if f.variable in apart}):
        able = [
            n
            for n in agreeing
            if _brings([f for f in judged[n] if f.variable in apart and _share(f) == key], key, worst)
        ]
        if not able:
            return set()
        # One that helps already is taken first, so that no more tests are named than are needed.
        helping.add(next((n for n in able if n in helping), able[0]))
    return helping


def _share(finding: Finding) -> tuple[str, str]:
    """What has to come from one test as a whole: each essential variable, and all that toughness asks."""
    toughness = finding.standing is Standing.SUPPLEMENTARY
    return finding.standing.value, "" if toughness else finding.variable


def _brings(findings: Sequence[Finding], key: tuple[str, str], worst: Verdict) -> bool:
    """A test without a word on an essential variable does not cover it; one without a word on toughness meets
    it."""
    return _all_within(findings, worst) and (bool(findings) or key[0] == Standing.SUPPLEMENTARY.value)


def _mixing(
    cell: Facts, fitting: Sequence[LineRange], judged: Sequence[Judged], mixes: frozenset[str], worst: Verdict
) -> set[int]:
    """Tests that cover the part in all but its pairs of groups, of each of which they hold the halves."""
    helping: set[int] = set()
    for variable in mixes:
        agreeing = [
            fitting[n]
            for n, findings in enumerate(judged)
            if _all_within([f for f in findings if f.variable != variable], worst)
        ]
        value = cell[variable]
        for first, second in (pair.split("|") for pair in (value if isinstance(value, frozenset) else ())):
            halves = [
                next((c for c in agreeing if _allows(c, variable, f"{half}|{half}")), None)
                for half in (first, second)
            ]
            if None in halves or first.split(".")[0] != second.split(".")[0]:
                return set()
            helping |= {fitting.index(half) for half in halves if half is not None}
    return helping


def _allows(candidate: LineRange, variable: str, pair: str) -> bool:
    allowed = [limit.allowed for limit in candidate.limits if limit.variable == variable]
    return any(isinstance(each, frozenset) and pair in each for each in allowed)


def _all_within(findings: Sequence[Finding], worst: Verdict) -> bool:
    return all(f.verdict <= worst for f in findings)


def _findings(
    facts: Facts, index: int, used: Sequence[LineRange], worst: Verdict
) -> tuple[Finding, ...] | None:
    """Each used test's findings; where its own range is too narrow for the whole box, the finding says it
    holds for a part and the other tests take the rest. `None` when nothing tells of an unknown they rest
    on."""
    found = []
    for candidate in used:
        others = ", ".join(dict.fromkeys(other.record for other in used if other is not candidate))
        for limit in candidate.limits:
            finding = limit.judge(facts, index)
            softened = worst is Verdict.COVERED or finding.verdict is Verdict.NOT_COVERED
            if finding.binds and finding.verdict > Verdict.COVERED and softened:
                finding = _covered_in_part(finding, others)
            found.append(finding)
    told = worst is Verdict.COVERED or any(f.binds and f.verdict > Verdict.COVERED for f in found)
    return tuple(found) if told else None


def _covered_in_part(finding: Finding, others: str) -> Finding:
    return Finding(
        **{
            **{name: getattr(finding, name) for name in finding.__dataclass_fields__},
            "verdict": Verdict.COVERED,
            "needs": (),
            "note": f"Covers a part of what is claimed; {others} covers the rest.",
        }
    )


def _cells(facts: Facts, fitting: Sequence[LineRange], along: frozenset[str]) -> list[Facts]:
    """The box cut into parts that no limit on a joining variable divides any further."""
    axes: list[list[tuple[str, Stated]]] = []
    for key in sorted(along):
        pieces = _pieces(facts[key], [limit for c in fitting for limit in c.limits], key)
        if len(pieces) > 1:
            axes.append([(key, piece) for piece in pieces])
    count = 1
    for axis in axes:
        count *= len(axis)
    if count > MOST_CELLS:
        return [facts]
    return [cell for cell in (facts.including(dict(choice)) for choice in product(*axes)) if can_be(cell)]


def _pieces(value: Stated, limits: Sequence[Limit], key: str) -> list[Stated]:
    if isinstance(value, frozenset):
        return [frozenset({choice}) for choice in sorted(value)]
    if not isinstance(value, Interval):
        return [value]
    spans = [
        limit.allowed for limit in limits if limit.variable == key and isinstance(limit.allowed, Interval)
    ]
    spans += [
        c.allowed
        for limit in limits
        for c in (*limit.when, *(c for group in limit.unless for c in group))
        if c.variable == key and isinstance(c.allowed, Interval)
    ]
    return list(value.split({end for span in spans for end in (span.low, span.high) if end is not None}))
