"""What to check on a stored record by common sense, beside what its code says: entries that do not go
together, days out of order, a welder who was not there. Nothing of it decides anything."""

from __future__ import annotations

from datetime import date

from qualification.codes.quiet_checks import with_quiet
from qualification.evidence.coverage import USES, read_record
from qualification.models import AuditEntry, CouponRecord, Welder
from qualification.rules.trials.combinations import CombinationCheck, check_of_record, checks_of
from qualification.rules.trials.practice import practice

WELDER_KIND = "welder"
"""What the audit trail calls a welder."""


def checks_of_test(record: CouponRecord, system: str) -> tuple[CombinationCheck, ...]:
    """What to check on a test record, in words with the unit system `system` first."""
    entries = checks_of(read_record(record), USES[type(record)], system)
    return with_quiet((*entries, *checks_of_head(record)))


def checks_of_head(record: CouponRecord) -> tuple[CombinationCheck, ...]:
    """What to check of a test's days and welder."""
    day, found = record.welded_on, []
    if day is None:
        return ()
    approved = record.approved_at.date() if record.approved_at else None
    if approved is not None and approved < day:
        found.append(check_of_record("welded_after_approval", f"Welded on {day}; approved on {approved}"))
    welder: Welder | None = record.welder
    if welder is not None and welder.pk:
        if _was_inactive(welder, day):
            found.append(check_of_record("welder_inactive", f"Welder {welder}; welded on {day}"))
        if welder.born_on is not None and _years(welder.born_on, day) < _youngest():
            found.append(
                check_of_record("welder_too_young", f"Welder born on {welder.born_on}; welded on {day}")
            )
    return tuple(found)


def _was_inactive(welder: Welder, day: date) -> bool:
    """By what was last said of it before that day; what was said later holds from then on only."""
    said = AuditEntry.objects.filter(
        record_kind=WELDER_KIND,
        record_id=welder.pk,
        verb__in=("activate", "deactivate"),
        at__date__lt=day,
    ).order_by("-number")
    last = said.first()
    return last is not None and last.verb == "deactivate"


def _years(born: date, day: date) -> int:
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def _youngest() -> int:
    years = practice().combinations.of_records["welder_too_young"].years
    assert years is not None
    return int(years)
