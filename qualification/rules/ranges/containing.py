"""Whether what one test qualifies lies wholly inside what another does, read off their limits alone.

True is proven: every weld line that the inner test covers, the outer one covers as well. False says only that
it could not be shown, limit by limit; a list then shows both.
"""

from __future__ import annotations

from ..core.values import Allowed, Anything, Interval
from ..variables.limits import Limit
from .ranges import LineRange, TestRange
from .said import Binding


def contains(outer: TestRange, inner: TestRange) -> bool:
    """True where each line of the inner test lies inside a line of the outer one, both being read under one
    edition for the same side. A test without a range contains nothing and lies in nothing."""
    if (outer.edition, outer.side) != (inner.edition, inner.side) or not (outer.lines and inner.lines):
        return False
    return all(any(_line_contains(wide, line) for wide in outer.lines) for line in inner.lines)


def _line_contains(outer: LineRange, inner: LineRange) -> bool:
    """Each limit of the outer line is kept by whoever keeps one of the inner line."""
    if outer.says is inner.says:
        return True
    if not inner.stands_for <= outer.stands_for:
        return False
    by_variable: dict[str, list[Binding]] = {}
    for binding in inner.binding:
        by_variable.setdefault(binding.variable, []).append(binding)
    return all(
        isinstance(binding.limit.allowed, Anything)
        or any(_keeps(each, binding) for each in by_variable.get(binding.variable, ()))
        for binding in outer.binding
    )


def _keeps(inner: Binding, outer: Binding) -> bool:
    """True where the inner limit speaks whenever the outer one does, and allows no more."""
    if inner.says is outer.says:
        return True
    return _speaks_wherever(inner.limit, outer.limit) and _within(inner.limit.allowed, outer.limit.allowed)


def _speaks_wherever(inner: Limit, outer: Limit) -> bool:
    return set(inner.when) <= set(outer.when) and set(inner.unless) <= set(outer.unless)


def _within(inner: Allowed, outer: Allowed) -> bool:
    """Ranges that are open, or for which the tables hold no rule, lie in nothing but themselves."""
    if isinstance(inner, Interval) and isinstance(outer, Interval):
        return inner.within(outer)
    if isinstance(inner, frozenset) and isinstance(outer, frozenset):
        return inner <= outer
    return inner == outer
