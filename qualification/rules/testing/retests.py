"""What a retest takes. A failed test never counts, whatever follows it; a retest counts only with all its
coupons or specimens, and every one of them has to pass."""

from __future__ import annotations

from dataclasses import replace

from ..core.facts import Side
from ..core.words import within_sentence
from ..variables.limits import Truth
from ..variables.registry import registry
from ..variables.retests import (
    AFTER_A_FAILURE,
    REPAIRED,
    REPEAT,
    REPEATED,
    REPEATED_KIND,
    REPEATS,
    RETEST,
)
from .requirements import Alternative, Measured, Open, Requirement, Specimen, to_state
from .specimen_rows import RetestRow, SpecimenTables

ON_RECORD = {Side.WELDER: (RETEST, AFTER_A_FAILURE), Side.PROCEDURE: (REPEAT, REPEATS)}
"""By side, the entry that says whether the test is a retest, and the choices that say so."""


def rows_for(measured: Measured, tables: SpecimenTables, side: Side) -> tuple[RetestRow, ...]:
    """What a retest of this coupon takes, where it fails."""
    return tuple(
        row for row in tables.retests if row.side == side.value and _fits(row, measured) is not Truth.NO
    )


def retest_of(
    measured: Measured, tables: SpecimenTables, side: Side, edition: str
) -> RetestRow | Open | None:
    """The row for the retest that the record states, or what keeps it from counting; `None` for a first
    test."""
    key, after_a_failure = ON_RECORD[side]
    stated = measured.joint.choices(key)
    if not stated & after_a_failure:
        return None
    (kind,) = stated
    for row in rows_for(measured, tables, side):
        if row.retest == kind:
            missing = [each for each in _needs(row) if not measured.joint.given(each)]
            return to_state(missing, row.because) if missing else row
    label = within_sentence(registry()[key].choice_label(kind))
    return Open(f"{edition}: what a retest takes ({label}) is not encoded here. Judge it by the code.", ())


def _needs(row: RetestRow) -> tuple[str, ...]:
    own = (row.states,) if row.states else ()
    of_specimens = (REPEATED_KIND, REPEATED) if row.for_each else ()
    return (*(spec.variable for spec in row.when), *own, *of_specimens)


def _fits(row: RetestRow, measured: Measured) -> Truth:
    truths = [spec.of(measured.system).holds_for_all(measured.joint) for spec in row.when]
    return min(truths, key=lambda truth: truth.value, default=Truth.YES)


def repaired(measured: Measured, edition: str) -> tuple[Open, ...]:
    """What keeps a coupon that was repaired from counting."""
    if "yes" not in measured.joint.choices(REPAIRED):
        return ()
    return (
        Open(
            f"{edition}: the coupon was repaired before it was tested, and no rule for that is encoded here."
            " Judge it by the code.",
            (),
        ),
    )


def with_retest(requirement: Requirement, row: RetestRow, measured: Measured) -> Requirement:
    """The requirement with all coupons of the retest together, or with the further specimens in place of
    those that failed."""
    changed = replace(
        requirement,
        alternatives=tuple(_after(each, row, measured) for each in requirement.alternatives),
    )
    if changed == requirement:
        return requirement
    return replace(changed, note=" ".join(each for each in (requirement.note, row.because) if each))


def _after(alternative: Alternative, row: RetestRow, measured: Measured) -> Alternative:
    specimens = tuple(_counted(each, row, measured) for each in alternative.specimens)
    return replace(alternative, specimens=specimens)


def _counted(specimen: Specimen, row: RetestRow, measured: Measured) -> Specimen:
    number = specimen.number * row.coupons
    if row.for_each and specimen.kind.value in measured.joint.choices(REPEATED_KIND):
        failed = min(int(measured.joint.number(REPEATED) or 0), specimen.number)
        number += failed * (row.for_each - 1)
    return replace(specimen, number=number)
