"""A comparison of editions as a reader takes it in: what differs for a weld like the coupon comes first.

Editions word the same limit under different circumstances, so that nearly every row of a strict comparison
differs somewhere. Here each edition's limits are told apart by whether they speak of a weld like the coupon,
and a row is sorted by those that do; nothing is left out, only put behind. So are limits that bind only where
toughness is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..core.facts import Facts
from ..core.findings import VariableClass
from ..core.values import Allowed, Anything, NotEncoded
from ..core.words import within_sentence
from ..entries.wording import say_allowed, say_conditions
from ..variables.limits import Limit, Truth
from ..variables.registry import registry
from .compare import Cell, EditionComparison, EditionRow, Likeness


class Contrast(StrEnum):
    """How a row differs, the most telling first."""

    DIFFERENT = "different"
    OTHER_TERMS = "other terms"
    """Limited everywhere, by variables that cannot be compared number by number."""
    SOME = "some"
    """Some editions limit it for a weld like the coupon, others do not."""
    ELSEWHERE = "elsewhere"
    """The same for a weld like the coupon; other welds are limited differently."""
    SAME = "same"

    @property
    def words(self) -> str:
        return {
            Contrast.DIFFERENT: "Different",
            Contrast.OTHER_TERMS: "In other terms",
            Contrast.SOME: "Limited under some only",
            Contrast.ELSEWHERE: "The same for such a weld",
            Contrast.SAME: "The same",
        }[self]


@dataclass(frozen=True)
class EditionStatement:
    """What one edition says on one subject, each limit in one line."""

    edition: str
    here: tuple[str, ...]
    """Of a weld like the coupon; empty where the edition sets it no limit."""
    elsewhere: tuple[str, ...]
    """Of other welds and of toughness, each with its circumstances."""


@dataclass(frozen=True)
class Contrasted:
    row: EditionRow
    said: tuple[EditionStatement, ...]
    contrast: Contrast


def contrasted(comparison: EditionComparison, system: str) -> tuple[Contrasted, ...]:
    """Every row of the comparison, those that differ most tellingly first, else in their order."""
    found = [_contrasted(row, comparison, system) for row in comparison.rows]
    order = list(Contrast)
    return tuple(sorted(found, key=lambda each: (each.row.line, order.index(each.contrast))))


def _contrasted(row: EditionRow, comparison: EditionComparison, system: str) -> Contrasted:
    facts = {
        under.edition.id: next((line.facts for line in under.range.lines if line.line == row.line), Facts())
        for under in comparison.under
    }
    said = tuple(_said(cell, facts[cell.edition], row.label, system) for cell in row.cells)
    return Contrasted(row, said, _contrast(row, said))


def _contrast(row: EditionRow, said: Sequence[EditionStatement]) -> Contrast:
    if row.likeness is Likeness.SAME:
        return Contrast.SAME
    if len({frozenset(each.here) for each in said}) == 1:
        return Contrast.ELSEWHERE
    if not all(each.here for each in said):
        return Contrast.SOME
    return Contrast.OTHER_TERMS if row.likeness is Likeness.OTHER_TERMS else Contrast.DIFFERENT


def _said(cell: Cell, facts: Facts, label: str, system: str) -> EditionStatement:
    here, elsewhere = [], []
    for limit in cell.limits:
        speaks = limit.speaks(facts)[0]
        as_tested = _as_tested(limit, facts)
        if as_tested is not None:
            here.append(
                _line(
                    limit,
                    f"{within_sentence(say_allowed(limit.variable, as_tested, system))}; no rule encoded"
                    " beyond",
                    "",
                    label,
                )
            )
        elif speaks is Truth.NO or limit.standing is VariableClass.SUPPLEMENTARY:
            elsewhere.append(_worded(limit, label, system, circumstances=True))
        elif not isinstance(limit.allowed, Anything):
            here.append(_worded(limit, label, system, circumstances=speaks is Truth.UNKNOWN))
    return EditionStatement(cell.edition, _once(here), _once(elsewhere))


def _as_tested(limit: Limit, facts: Facts) -> Allowed | None:
    """What was tested of a variable whose further limits the tables do not hold; `None` for any other
    limit."""
    if not isinstance(limit.allowed, NotEncoded) or any(
        condition.holds(facts) is Truth.NO for condition in limit.when
    ):
        return None
    for exemption in limit.unless:
        own = [condition for condition in exemption if condition.variable == limit.variable]
        if own and all(condition.holds_for_all(facts) is Truth.YES for condition in exemption):
            return own[0].allowed
    return None


def _worded(limit: Limit, label: str, system: str, *, circumstances: bool) -> str:
    when = say_conditions(limit.when, limit.unless, system) if circumstances else ""
    return _line(limit, within_sentence(say_allowed(limit.variable, limit.allowed, system)), when, label)


def _line(limit: Limit, words: str, when: str, label: str) -> str:
    """One limit in one line, without repeating the name of its row."""
    name = registry()[limit.variable].label
    said = words if name == label else f"{name}: {words}"
    said = f"{said} ({when})" if when else said
    return said[:1].upper() + said[1:]


def _once(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))
