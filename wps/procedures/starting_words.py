"""What a ready coupon costs and brings, before anything is stored: specimens to cut, what it would qualify,
and how many entries are left to type."""

from __future__ import annotations

from dataclasses import dataclass, replace

from qualification.evidence.coverage import coupon_of, edition_of, outcome_of
from qualification.forms.results import asked_fields
from qualification.forms.sound_rows import sound_entries
from qualification.models import ProcedureTest
from qualification.rules.core.facts import Side
from qualification.rules.entries.wording import say_allowed
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.required.check import Status
from qualification.rules.required.items import Need
from qualification.rules.testing.requirements import Requirements, Specimen
from qualification.rules.testing.result_fields import FIELDS
from qualification.snapshots.required_items import coupon_items
from wps.procedures.starting_points import StartingPoint, set_up

IDENTITY = ("specimen",)
"""Named by the form."""


@dataclass(frozen=True)
class ReadyCoupon:
    """One ready coupon in the list of those to start from."""

    start: StartingPoint
    cut: str
    qualifies: str
    to_type: int
    """Entries that the code asks for and the set-up does not hold: readings, the day, and results."""


def ready_coupon(start: StartingPoint) -> ReadyCoupon:
    """The coupon as its draft would stand."""
    record = ProcedureTest(number="", **set_up(start))
    required = outcome_of(record).requirements
    ways = [requirement.alternatives[0] for requirement in required.requirements]
    items = [
        item
        for item in coupon_items(record)
        if item.need is Need.REQUIRED
        and item.status in (Status.MISSING, Status.OPEN)
        and item.names[0] not in ("organisation", "number", "results")
    ]
    measured = sum(
        specimen.number * _to_type(record, required, specimen) for way in ways for specimen in way.specimens
    )
    return ReadyCoupon(
        start, "; ".join(way.words for way in ways), _qualifies(start, record.units), len(items) + measured
    )


def _to_type(record: ProcedureTest, required: Requirements, specimen: Specimen) -> int:
    """Fields of one specimen that one press does not fill."""
    asked = asked_fields(record).get(specimen.kind, frozenset())
    is_groove = required.measured.joint.is_only("weld_type", "groove")
    filled = sound_entries(specimen.kind, specimen, record.units, asked, is_groove)
    shown = {f.key for f in FIELDS[specimen.kind] if not f.rare or f.key in asked}
    return len(shown - set(filled) - set(IDENTITY))


def range_if_passed(start: StartingPoint) -> TestRange:
    """What the coupon would qualify, were everything about it passed."""
    record = ProcedureTest(number="", **set_up(start))
    return range_qualified(
        replace(coupon_of(record), refusals=()), edition_of(record.edition), Side.PROCEDURE
    )


def _qualifies(start: StartingPoint, units: str) -> str:
    """The range of thickness, were everything passed."""
    spans = dict.fromkeys(
        say_allowed(limit.variable, limit.allowed, units)
        for line in range_if_passed(start).lines
        for limit in line.limits
        if limit.variable == "thickness_thinner" and not limit.unless
    )
    return next(iter(spans), "")
