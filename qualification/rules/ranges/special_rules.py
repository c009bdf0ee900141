"""Special welds beside the rows of an edition: what the rows do not name, they hold no rule for.

Rows are written for groove and fillet welds. One of the special welds (`variables/special_welds.py`) is ruled
where a row on the weld type names it, as tested or as what a test covers; otherwise neither a weld nor a
coupon of that kind is judged by rows that were never meant for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..core.facts import Facts
from ..core.findings import Citation, Provenance, VariableClass
from ..core.values import NotEncoded
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..variables.limits import NO_RULE_NOTE, Condition, Limit
from ..variables.special_welds import SPECIAL

KEY = "weld_type"
BECAUSE = "Plug, slot, tack, overlay, tube to tubesheet and stud welds need rules of their own."


def kinds_of_coupon(rows: Iterable[RuleRow], process: str) -> frozenset[str]:
    """Special welds that the rows on the weld type name as what a coupon may be."""
    return SPECIAL & frozenset(
        each
        for row in rows
        if row.variable == KEY and process in row.standing
        for spec in row.test_when
        if spec.variable == KEY
        for each in _choices(spec.of("us").allowed)
    )


def beside_special(
    limits: Sequence[Limit],
    rows: Sequence[RuleRow],
    edition: Edition,
    process: str,
    record: str,
    tested: Facts,
) -> tuple[Limit, ...]:
    """The limits of one tested line, with no rule said wherever the edition does not name the special weld
    that was tested, or that is asked about."""
    found = tuple(map(beside_others, limits))
    kind = tested[KEY]
    if isinstance(kind, frozenset) and kind & SPECIAL - kinds_of_coupon(rows, process):
        return (*found, _no_rule(edition, record, tested))
    if not any(x.variable == KEY and not x.when for x in found):
        return (*found, replace(_no_rule(edition, record, tested), when=(Condition(KEY, SPECIAL),)))
    return found


def beside_others(limit: Limit) -> Limit:
    """A limit on the weld type knows that special welds beside those it allows have no rule."""
    return replace(limit, unruled=SPECIAL) if _is_of_choices(limit) else limit


def without_test(rows: Sequence[RuleRow], edition: Edition, process: str) -> tuple[Limit, ...]:
    """The limit on special welds for procedures that need no test: those that no row names."""
    named = SPECIAL & frozenset(
        each
        for row in rows
        if process in row.standing
        for spec in row.weld_when
        if spec.variable == KEY
        for each in _choices(spec.of("us").allowed)
    )
    return (replace(_no_rule(edition, "", Facts()), when=(Condition(KEY, SPECIAL - named),)),)


def _choices(allowed: object) -> frozenset[str]:
    return allowed if isinstance(allowed, frozenset) else frozenset()


def _is_of_choices(limit: Limit) -> bool:
    return limit.variable == KEY and isinstance(limit.allowed, frozenset)


def _no_rule(edition: Edition, record: str, tested: Facts) -> Limit:
    return Limit(
        KEY,
        NotEncoded(),
        VariableClass.ESSENTIAL,
        Citation(edition.code, edition.edition, "Special welds", Provenance.MEMORY),
        BECAUSE,
        record,
        tested[KEY],
        note=NO_RULE_NOTE,
    )
