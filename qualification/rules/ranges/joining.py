"""How several tests together cover what none of them covers alone.

The weld's box is cut along the limits of those variables over which an edition lets tests join, and every
part has to be covered by one test as a whole. It is cut only where a limit that a part fails divides it, so
what no limit tells apart stays in one piece. Where the edition says so, tests may also share one part: those
that agree with it in all else may each bring some of what the coupon's thickness decides, one the thickness
of the base metal, another the toughness; or two tests of one metal group each, with itself, cover the mix of
the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..core.facts import Facts, Side
from ..core.findings import Finding, VariableClass, Verdict
from ..core.values import Allowed, Interval, Stated
from ..tabular.edition import Edition
from ..variables.limits import Condition, Limit
from .box_parts import Box, Part
from .ranges import LineRange

MOST_CELLS = 4096
"""Parts of one box that are looked at; beyond this many the answer is unknown, never a no."""
MOST_WORK = 40_000
"""Limits that are held against parts of one box or looked at for where to cut it, for the same reason."""

Judged = tuple[tuple[Limit, Verdict], ...]
"""What one test's limits say of one part of the box; only those that bind."""


Failing = dict[int, list[Limit]]
"""Limits that a part does not keep within, by number of the test."""
Cut = tuple[int, Allowed]
"""A place of the box and what divides it there."""


class _TooMany(Exception):
    """The box falls into more parts than are looked at."""


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


def join(
    facts: Facts, index: int, fitting: Sequence[LineRange], joins: Joins, most_work: int = MOST_WORK
) -> tuple[Finding, ...] | None:
    """Findings when the tests together leave no part of the box uncovered, else `None`. Where a value that
    the weld leaves out could still let them cover it, or the box falls into too many parts, the findings
    hold that unknown."""
    divisible = frozenset(key for key in joins.along if is_divisible(facts[key]))
    tests = [_Test(candidate, facts, divisible) for candidate in fitting]
    gave_up = False
    # Each verdict in turn, or which of the last two is said would hang on the order of the tests.
    for worst in (Verdict.COVERED, Verdict.NO_RULE, Verdict.UNKNOWN):
        hopeful = [test for test in tests if test.may_help(worst, joins)]
        if not hopeful:
            continue
        try:
            used = _Search(facts, _unlike(hopeful), joins, divisible, worst).run(most_work)
        except _TooMany:
            if worst is Verdict.UNKNOWN:
                return _too_many(index, tests)
            gave_up = True
            continue
        if used:
            return _too_many(index, tests) if gave_up else findings_of(facts, index, used, worst)
    return None


def is_divisible(value: Stated) -> bool:
    """True of a value that holds more than one."""
    return (
        len(value) > 1 if isinstance(value, frozenset) else isinstance(value, Interval) and not value.is_point
    )


def _reads(limit: Limit) -> set[str]:
    """Variables that decide what a limit says."""
    conditions = (*limit.when, *(c for group in limit.unless for c in group))
    return {limit.variable, *(c.variable for c in conditions)}


class _Test:
    """One tested line beside the box as a whole."""

    def __init__(self, candidate: LineRange, facts: Facts, divisible: frozenset[str]) -> None:
        self.candidate, self.facts = candidate, facts
        self.limits = tuple(x for x in candidate.limits if x.standing is not VariableClass.NONESSENTIAL)
        self.whole: Judged = tuple((limit, limit.judge(facts).verdict) for limit in self.limits)
        self.changing = tuple(limit for limit in self.limits if _reads(limit) & divisible)
        """Limits that may say one thing of one part of the box and another of the next."""
        ids = {id(limit) for limit in self.changing}
        self.fixed: Judged = tuple((limit, v) for limit, v in self.whole if id(limit) not in ids)

    def may_help(self, worst: Verdict, joins: Joins) -> bool:
        """False when a limit that no part escapes rules the test out by itself; a test that says nothing
        binding covers nothing."""
        loose = joins.apart | joins.mixes
        return bool(self.limits) and all(v <= worst or x.variable in loose for x, v in self.fixed)

    def failing(self, worst: Verdict) -> list[Limit]:
        """Limits that the box as a whole does not keep within: first those that no part escapes."""
        changing = {id(limit) for limit in self.changing}
        return self.fixed_failing(worst) + [x for x, v in self.whole if id(x) in changing and v > worst]

    def fixed_failing(self, worst: Verdict) -> list[Limit]:
        return [limit for limit, verdict in self.fixed if verdict > worst]

    def asked_apart(self, joins: Joins) -> frozenset[tuple[str, str]]:
        """What the test limits of that which tests may bring apart."""
        return frozenset(share_of(limit) for limit in self.limits if limit.variable in joins.apart)

    @property
    def content(self) -> tuple[object, ...]:
        return tuple((x.variable, x.allowed, x.unruled, x.when, x.unless, x.standing) for x in self.limits)


def _unlike(tests: Sequence[_Test]) -> list[_Test]:
    """The first of each set of tests that qualify the same."""
    return (
        list({test.content: test for test in reversed(tests)}.values())[::-1]
        if len(tests) > 1
        else list(tests)
    )


class _Search:
    """The tests that cover a box part by part, with no verdict worse than `worst`."""

    def __init__(
        self, facts: Facts, tests: list[_Test], joins: Joins, divisible: frozenset[str], worst: Verdict
    ) -> None:
        self.facts, self.tests, self.joins, self.worst = facts, tests, joins, worst
        self.box = Box.of(facts, [limit for test in tests for limit in test.limits], divisible)
        place = {key: at for at, key in enumerate(self.box.variables)}
        self.places = {
            id(limit): tuple(sorted(place[key] for key in _reads(limit) if key in place))
            for test in tests
            for limit in test.changing
        }
        self.place = place
        self.known: dict[tuple[int, tuple[int, ...]], Verdict] = {}
        self.drawn: dict[int, list[tuple[int, Allowed, int]]] = {}
        self.work = 0

    def run(self, most_work: int) -> list[LineRange] | None:
        """Lines of the tests that do it together or part by part, else `None`. Raises _TooMany."""
        used: set[int] = set()
        whole = {n: test.failing(self.worst) for n, test in enumerate(self.tests)}
        parts: list[tuple[Part, Failing]] = [(self.box.whole, whole)]
        seen = 0
        while parts:
            part, failing = parts.pop()
            seen += 1
            if seen > MOST_CELLS or self.work > most_work:
                raise _TooMany
            helping, pieces, still = self._look(part, failing)
            if helping:
                used |= helping
            elif pieces:
                parts += [(piece, still) for piece in reversed(pieces)]
            else:
                return None
        if seen == 1 and len(used) == 1:
            return None  # one test for the box as a whole is no joining; that was asked before
        return [self.tests[n].candidate for n in sorted(used)]

    def _look(self, part: Part, before: Failing) -> tuple[set[int], list[Part], Failing]:
        """Tests that cover the part; else the pieces to look at, and what still fails of the tests that may
        cover any of them. What a larger part keeps within, each smaller one does, so only the rest is held
        against it again."""
        failing: Failing = {}
        for n, limits in before.items():
            fixed = len(self.tests[n].fixed_failing(self.worst))
            open_ones = limits[fixed:]
            failing[n] = limits[:fixed] + [x for x in open_ones if self._verdict(x, part) > self.worst]
            if not failing[n]:
                return {n}, [], {}
        loose = self.joins.apart | self.joins.mixes
        cuts: dict[int, list[Cut | None]] = {}
        for n, limits in failing.items():
            self.work += len(limits)
            found = [self._cut(limit, part) for limit in limits]
            if all(cut or limit.variable in loose for cut, limit in zip(found, limits, strict=True)):
                cuts[n] = found
        if not cuts:
            return set(), [], {}
        still = {n: failing[n] for n in cuts}
        helping = self._together(part, still)
        if helping:
            return helping, [], {}
        nearest = min(
            cuts, key=lambda n: (all(c is None for c in cuts[n]), cuts[n].count(None), len(cuts[n]), n)
        )
        cut = next((each for each in cuts[nearest] if each), None)
        return set(), self.box.cut(part, *cut) if cut else [], still

    def _verdict(self, limit: Limit, part: Part) -> Verdict:
        at = self.places[id(limit)]
        key = (id(limit), tuple(part[n] for n in at))
        self.work += 1
        if key not in self.known:
            self.known[key] = limit.judge(self.box.facts_of(part, at)).verdict
        return self.known[key]

    def _cut(self, limit: Limit, part: Part) -> Cut | None:
        """Where the limit, or one of its conditions, divides the part."""
        key = id(limit)
        if key not in self.drawn:
            conditions: list[Limit | Condition] = [
                limit,
                *limit.when,
                *(c for group in limit.unless for c in group),
            ]
            placed = [(self.place[x.variable], x.allowed) for x in conditions if x.variable in self.place]
            self.drawn[key] = [(at, allowed, self.box.within(at, allowed)) for at, allowed in placed]
        for at, allowed, inside in self.drawn[key]:
            if part[at] & inside and part[at] & ~inside:
                return at, allowed
        return None

    def _together(self, part: Part, failing: Failing) -> set[int]:
        if len(failing) < 2:
            return set()
        return self._sharing(failing) or self._mixing(part, failing)

    def _sharing(self, failing: Failing) -> set[int]:
        """Tests that agree with the part in all but the variables of `apart`, and cover those between them.
        One that asks for something none of them brings is left out, so that it takes nothing from others."""
        agreeing = [n for n, limits in failing.items() if all(x.variable in self.joins.apart for x in limits)]
        if len(agreeing) < 2:
            return set()
        lacks = {n: {share_of(limit) for limit in failing[n]} for n in agreeing}
        asked = {n: self.tests[n].asked_apart(self.joins) for n in agreeing}
        while True:
            wanted = sorted(set().union(*(asked[n] for n in agreeing)))
            able = {
                key: [
                    n for n in agreeing if key not in lacks[n] and (key in asked[n] or is_of_toughness(key))
                ]
                for key in wanted
            }
            self.work += len(wanted) * len(agreeing)
            lacking = {key for key in wanted if not able[key]}
            if not lacking:
                break
            agreeing = [n for n in agreeing if not lacking & asked[n]]
        helping: set[int] = set()
        for key in wanted:
            # One that helps already is taken first, so that no more tests are named than are needed.
            helping.add(next((n for n in able[key] if n in helping), able[key][0]))
        return helping

    def _mixing(self, part: Part, failing: Failing) -> set[int]:
        """Tests that cover the part in all but its pairs of groups, of each of which they hold the halves."""
        helping: set[int] = set()
        for variable in self.joins.mixes:
            agreeing = [n for n, limits in failing.items() if all(x.variable == variable for x in limits)]
            value = (
                self.box.value(self.place[variable], part) if variable in self.place else self.facts[variable]
            )
            for first, second in (
                pair.split("|") for pair in (value if isinstance(value, frozenset) else ())
            ):
                halves = [
                    next((n for n in agreeing if _allows(self.tests[n], variable, f"{half}|{half}")), None)
                    for half in (first, second)
                ]
                if first.split(".")[0] != second.split(".")[0] or None in halves:
                    return set()
                helping |= {half for half in halves if half is not None}
        return helping


def share_of(limit: Limit) -> tuple[str, str]:
    """What has to come from one test as a whole: each essential variable, and all that toughness asks."""
    toughness = limit.standing is VariableClass.SUPPLEMENTARY
    return limit.standing.value, "" if toughness else limit.variable


def is_of_toughness(key: tuple[str, str]) -> bool:
    """A test without a word on an essential variable does not cover it; one without a word on toughness meets
    it."""
    return key[0] == VariableClass.SUPPLEMENTARY.value


def _allows(test: _Test, variable: str, pair: str) -> bool:
    allowed = [limit.allowed for limit in test.candidate.limits if limit.variable == variable]
    return any(isinstance(each, frozenset) and pair in each for each in allowed)


def findings_of(facts: Facts, index: int, used: Sequence[LineRange], worst: Verdict) -> tuple[Finding, ...]:
    """Each used test's findings; where its own range is too narrow for the whole box, the finding says it
    holds for a part and the other tests take the rest, or stays unknown where nothing else tells of it."""
    judged = [(one, [limit.judge(facts, index) for limit in one.limits]) for one in used]
    told = any(
        f.binds and Verdict.COVERED < f.verdict < Verdict.NOT_COVERED for _, all_ in judged for f in all_
    )
    found: list[Finding] = []
    for candidate, findings in judged:
        others = ", ".join(dict.fromkeys(other.record for other in used if other is not candidate))
        for finding in findings:
            softened = worst is Verdict.COVERED or finding.verdict is Verdict.NOT_COVERED
            if finding.binds and finding.verdict > Verdict.COVERED and softened:
                in_part = worst is Verdict.COVERED or told
                finding = _covered_in_part(finding, others) if in_part else _open(finding, OPEN_IN_PART)
            found.append(finding)
    return tuple(found)


OPEN_IN_PART = "Outside the range of this test for a part of what is claimed, and open for another part."
TOO_MANY = (
    "The tests divide what is claimed into too many parts to look at each, so this cannot be determined."
    " Claim less at once, or name fewer tests."
)


def _covered_in_part(finding: Finding, others: str) -> Finding:
    note = (
        f"Covers a part of what is claimed; {others} covers the rest."
        if others
        else "Each part of what is claimed lies inside this test's range."
    )
    return replace(finding, verdict=Verdict.COVERED, needs=(), note=note)


def _open(finding: Finding, note: str) -> Finding:
    return replace(finding, verdict=Verdict.UNKNOWN, needs=(), note=note)


def undetermined(facts: Facts, index: int, fitting: Sequence[LineRange]) -> tuple[Finding, ...]:
    """What is said where a box falls into more parts than are looked at."""
    return _too_many(index, [_Test(candidate, facts, frozenset()) for candidate in fitting])


def _too_many(index: int, tests: Sequence[_Test]) -> tuple[Finding, ...]:
    """The findings of the nearest test, with what it does not cover as a whole left unknown."""
    nearest = min(tests, key=lambda test: sum(v is Verdict.NOT_COVERED for _, v in test.whole))
    findings = [limit.judge(nearest.facts, index) for limit in nearest.candidate.limits]
    return tuple(_open(f, TOO_MANY) if f.binds and f.verdict is Verdict.NOT_COVERED else f for f in findings)
