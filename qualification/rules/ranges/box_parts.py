"""A weld's box cut into parts, no finer than limits and conditions tell its parts apart.

Every variable that may be cut is laid out in steps: the numbers between two ends of a limit, the end itself,
or the choices that every limit and condition treats alike. A part is a set of steps for each variable, held
as a whole number whose bits are the steps, so that two parts are compared and cut at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ..core.facts import Facts
from ..core.values import Absent, Allowed, Anything, Interval, Stated, Value, lies_within
from ..entries.derive import ALIKE, THICKNESSES, can_be
from ..variables.limits import Condition, Limit

Part = tuple[int, ...]
"""Steps of each variable of the box, in its order."""


@dataclass
class Box:
    """The cuttable variables of one weld line, and the steps of each."""

    facts: Facts
    variables: tuple[str, ...]
    steps: tuple[tuple[Value, ...], ...]
    inside: dict[tuple[int, int], int] = field(default_factory=dict)
    """Steps within what a limit allows, by variable and identity of what is allowed."""
    values: dict[tuple[int, int], Stated] = field(default_factory=dict)
    """What each variable may be, by its steps."""

    @classmethod
    def of(cls, facts: Facts, limits: Sequence[Limit], along: Iterable[str]) -> Box:
        drawn = _drawn(limits)
        if facts.is_only(ALIKE, "yes"):
            both = [allowed for key in THICKNESSES for allowed in drawn.get(key, ())]
            drawn |= dict.fromkeys(THICKNESSES, both)
        found = {key: _steps(facts[key], drawn.get(key, ())) for key in sorted(along)}
        cut = tuple(key for key, steps in found.items() if len(steps) > 1)
        return cls(facts, cut, tuple(found[key] for key in cut))

    @property
    def whole(self) -> Part:
        return tuple((1 << len(steps)) - 1 for steps in self.steps)

    def value(self, at: int, part: Part) -> Stated:
        """What one variable may be in a part."""
        key = (at, part[at])
        if key not in self.values:
            self.values[key] = self._value(at, part)
        return self.values[key]

    def _value(self, at: int, part: Part) -> Stated:
        chosen = [step for bit, step in enumerate(self.steps[at]) if part[at] >> bit & 1]
        if isinstance(chosen[0], Interval):
            first, last = chosen[0], chosen[-1]
            assert isinstance(last, Interval)
            return Interval(first.low, last.high, first.low_open, last.high_open)
        return frozenset().union(*chosen)  # type: ignore[arg-type]

    def facts_of(self, part: Part, at: Iterable[int]) -> Facts:
        """The weld with the variables at those places narrowed to the part."""
        return self.facts.including({self.variables[n]: self.value(n, part) for n in at})

    def within(self, at: int, allowed: Allowed) -> int:
        """Steps of a variable that lie within what a limit or a condition allows."""
        key = (at, id(allowed))
        if key not in self.inside:
            self.inside[key] = sum(
                1 << bit for bit, step in enumerate(self.steps[at]) if _is_within(step, allowed)
            )
        return self.inside[key]

    def cut(self, part: Part, at: int, allowed: Allowed) -> list[Part]:
        """The part in pieces that lie within or without what is allowed, those without first; empty where it
        is not divided."""
        inside = part[at] & self.within(at, allowed)
        outside = part[at] & ~inside
        if not inside or not outside:
            return []
        if not isinstance(self.steps[at][0], Interval):
            pieces = [outside, inside]
        else:
            lowest = inside & -inside
            pieces = [outside & (lowest - 1), outside & ~(lowest - 1), inside]
        made = (self._fitted(part, at, piece) for piece in pieces if piece)
        return [piece for piece in made if piece is not None]

    def _fitted(self, part: Part, at: int, piece: int) -> Part | None:
        """The part with one variable narrowed; `None` where no weld is like that. Sides that are alike are
        narrowed together."""
        steps = list(part)
        steps[at] = piece
        places = [self.variables.index(key) for key in THICKNESSES if key in self.variables]
        if self.facts.is_only(ALIKE, "yes") and at in places:
            for place in places:
                steps[place] &= piece
                if not steps[place]:
                    return None
        narrowed = tuple(steps)
        if at not in places:
            return narrowed
        return narrowed if can_be(self.facts_of(narrowed, places)) else None


def _is_within(step: Value, allowed: Allowed) -> bool:
    return isinstance(allowed, Interval | frozenset | Anything) and lies_within(step, allowed)


def _drawn(limits: Sequence[Limit]) -> dict[str, list[Interval | frozenset[str]]]:
    """What limits and their conditions draw along each variable."""
    found: dict[str, list[Interval | frozenset[str]]] = {}
    for limit in limits:
        speaking: list[Limit | Condition] = [
            limit,
            *limit.when,
            *(c for group in limit.unless for c in group),
        ]
        for drawn in speaking:
            if isinstance(drawn.allowed, Interval | frozenset):
                found.setdefault(drawn.variable, []).append(drawn.allowed)
    return found


def _steps(value: Stated, drawn: Sequence[Interval | frozenset[str]]) -> tuple[Value, ...]:
    if isinstance(value, Absent | str):
        return ()
    if isinstance(value, Interval):
        spans = [span for span in drawn if isinstance(span, Interval)]
        return tuple(value.split({end for span in spans for end in (span.low, span.high) if end is not None}))
    alike: dict[tuple[bool, ...], set[str]] = {}
    sets = [choices for choices in dict.fromkeys(drawn) if isinstance(choices, frozenset)]
    for choice in sorted(value):
        alike.setdefault(tuple(choice in choices for choices in sets), set()).add(choice)
    return tuple(frozenset(choices) for choices in alike.values())
