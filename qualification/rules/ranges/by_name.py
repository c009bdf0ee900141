"""A weld that claims several fillers or metals, asked name by name.

Its box holds pairs no weld has: of E7018 and E308L-16, with their F- and A-Numbers 4, 5 and 1, 8, it also
holds F-4 with A-8. Where a box as a whole is not covered, it is taken apart into the welds it stands for, one
for each name with the groups that are that name's, and is covered where the tests cover each of them. That
changes nothing unless the edition lets tests join along all that the names tell apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import prod

from ..core.facts import Facts, Weld
from ..core.findings import Finding, Verdict
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..variables.metal_systems import SYSTEMS
from .joining import MOST_WORK, Joins, findings_of, join, undetermined
from .ranges import LineRange
from .said import reads

NAMES = ("filler_classification", "base_metal_a", "base_metal_b")
MOST = 12
"""Kinds of names asked one by one; beyond this many the answer is unknown, never a no."""
_OF_FILLERS = frozenset(
    {"f_number", "a_number", "filler_group", "iso_filler", "filler_form", "covering_type"}
)
_OF_METALS = frozenset({"metal_pair", "magnesium_most"}).union(*(each.variables for each in SYSTEMS.values()))
_FOLLOW = _OF_FILLERS | _OF_METALS


def names_several(facts: Facts) -> bool:
    """True where a metal or a filler is stated by more than one name."""
    return any(isinstance(value := facts[key], frozenset) and len(value) > 1 for key in NAMES)


def by_name(
    facts: Facts, index: int, fitting: Sequence[LineRange], joins: Joins, edition: Edition
) -> tuple[Finding, ...] | None:
    """Findings when the tests cover the weld of each name, or might, else `None`. Where the names are of too
    many kinds to ask about each, they are left unknown."""
    if not names_several(facts) or not _may_divide(facts, index, fitting, joins):
        return None
    bare = Facts({key: value for key, value in facts.items() if key not in _FOLLOW})
    kinds = {key: _kinds(key, bare, facts, edition) for key in NAMES if facts.choices(key)}
    if prod(map(len, kinds.values())) > MOST:
        return undetermined(facts, index, fitting)
    welds = [
        _whole(bare.including(dict(zip(kinds, names, strict=True))), edition)
        for names in product(*kinds.values())
    ]
    if len(welds) < 2 or not _hold_together(welds, facts) or not _may_part(welds, fitting, joins):
        return None
    used: list[LineRange] = []
    worst = Verdict.COVERED
    for weld in welds:
        verdict, lines = _covers(weld, index, fitting, joins, MOST_WORK // len(welds))
        if verdict >= Verdict.NOT_COVERED:
            return None
        worst = max(worst, verdict)
        used += [line for line in lines if line not in used]
    return findings_of(facts, index, used, worst)


def _may_divide(facts: Facts, index: int, fitting: Sequence[LineRange], joins: Joins) -> bool:
    """False where each test refuses the box over something that tests may not join along."""
    loose = joins.along | joins.apart | joins.mixes
    return any(
        all(
            {limit.variable, *reads(limit)} & loose
            for limit in line.limits
            if (found := limit.judge(facts, index)).binds and found.verdict is Verdict.NOT_COVERED
        )
        for line in fitting
    )


def _kinds(key: str, bare: Facts, facts: Facts, edition: Edition) -> list[frozenset[str]]:
    """The names of one field, those with the same groups together."""
    alike: dict[tuple[object, ...], set[str]] = {}
    for name in sorted(facts.choices(key) or ()):
        one = _whole(bare.including({key: frozenset({name})}), edition)
        alike.setdefault(tuple(one[each] for each in sorted(_FOLLOW)), set()).add(name)
    return [frozenset(names) for names in alike.values()]


def _hold_together(welds: Sequence[Facts], facts: Facts) -> bool:
    """False where the box states what does not follow from its names alone."""
    for key in _FOLLOW & facts.keys():
        stated, parts = facts[key], [weld.choices(key) for weld in welds]
        if not isinstance(stated, frozenset) or frozenset().union(*(part or () for part in parts)) != stated:
            return False
    return True


def _whole(named: Facts, edition: Edition) -> Facts:
    """With the groups of its names, and what follows from them."""
    joint = derive(group(Weld(named, ()), edition)).joint
    line = derive(group(Weld(Facts(), (named,)), edition)).lines[0]
    return joint.including({key: value for key, value in line.items() if key not in joint})


def _may_part(welds: Sequence[Facts], fitting: Sequence[LineRange], joins: Joins) -> bool:
    """True where tests may join along every variable in which the welds differ and which a limit reads."""
    first = welds[0]
    keys = {key for weld in welds for key in weld if weld[key] != first[key]}
    read = {key for line in fitting for limit in line.limits for key in (limit.variable, *reads(limit))}
    return keys & read <= joins.along | joins.mixes


def _covers(
    facts: Facts, index: int, fitting: Sequence[LineRange], joins: Joins, most_work: int
) -> tuple[Verdict, list[LineRange]]:
    """The best verdict that one test, or several, give the weld of one name, and their lines."""
    best, lines = Verdict.NOT_COVERED, list[LineRange]()
    for line in fitting:
        judged = [limit.judge(facts, index) for limit in line.limits]
        verdict = max((finding.verdict for finding in judged if finding.binds), default=Verdict.UNKNOWN)
        if verdict < best:
            best, lines = verdict, [line]
    if best > Verdict.COVERED and (joined := join(facts, index, fitting, joins, most_work)) is not None:
        verdict = max((finding.verdict for finding in joined if finding.binds), default=Verdict.UNKNOWN)
        if verdict < best:
            records = {finding.record for finding in joined}
            best, lines = verdict, [line for line in fitting if line.record in records]
    return best, lines
