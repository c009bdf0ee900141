"""How many coupons a welder's retest takes. A failed test never counts, whatever follows it; a retest counts
only with all its coupons, and every one of them has to pass."""

from __future__ import annotations

from dataclasses import replace

from ..core.facts import Side
from ..core.words import within_sentence
from ..variables.registry import registry
from ..variables.retests import AFTER_A_FAILURE, RETEST
from .requirements import Alternative, Measured, Open, Requirement
from .specimen_rows import RetestRow, SpecimenTables


def retest_of(
    measured: Measured, tables: SpecimenTables, side: Side, edition: str
) -> RetestRow | Open | None:
    """The row for the retest that the record states, or what keeps it from counting; `None` for a first
    test."""
    stated = measured.joint.choices(RETEST)
    if side is not Side.WELDER or not stated & AFTER_A_FAILURE:
        return None
    (kind,) = stated
    found = next((row for row in tables.retests if row.retest == kind), None)
    if found is not None:
        return found
    label = within_sentence(registry()[RETEST].choice_label(kind))
    return Open(
        f"{edition}: how many coupons a retest takes ({label}) is not encoded here. Judge it by the code.", ()
    )


def of_every_coupon(requirement: Requirement, row: RetestRow) -> Requirement:
    """The requirement for all coupons of the retest together."""
    if row.coupons == 1:
        return requirement
    note = " ".join(each for each in (requirement.note, row.because) if each)
    return replace(
        requirement,
        alternatives=tuple(_times(each, row) for each in requirement.alternatives),
        note=note,
    )


def _times(alternative: Alternative, row: RetestRow) -> Alternative:
    specimens = tuple(replace(each, number=each.number * row.coupons) for each in alternative.specimens)
    return replace(alternative, specimens=specimens)
