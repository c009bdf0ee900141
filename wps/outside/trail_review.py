"""Reviewing the audit trail: what is looked for in it, and who has looked at it until where."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.dateparse import parse_date

from qualification.models.audit import AuditEntry
from qualification.records.audit import append, name_of
from qualification.roles import Person

KIND, VERB = "audit trail", "review_trail"
"""A review is an entry of the trail itself: nobody can take it back, or move it."""


class CannotReview(Exception):
    """The review is not recorded; the message says why."""


def last_review() -> AuditEntry | None:
    """The newest one; its `record_id` is the number of the last entry that was looked at."""
    return AuditEntry.objects.filter(verb=VERB).order_by("-number").first()


def review_until(number: int, note: str, person: Person) -> AuditEntry:
    """Record that the person has looked at the trail as far as that entry. Raises CannotReview."""
    with transaction.atomic():
        entry, before = AuditEntry.objects.filter(number=number).first(), last_review()
        if entry is None:
            raise CannotReview(f"The trail has no entry {number}. Load the page again.")
        if before is not None and before.record_id >= number:
            raise CannotReview(
                f"The trail was reviewed to entry {before.record_id} by {before.actor_name} meanwhile."
                " Load the page again."
            )
        data = {"end": entry.hash, "detail": note or f"entries up to {number}"}
        return append(VERB, KIND, number, f"entries up to {number}", name_of(person), data)


def found_in_trail(asked: Mapping[str, str]) -> tuple[QuerySet[AuditEntry], list[str]]:
    """Entries by `who`, `kind`, `verb`, `q` (name of the record), `since` and `until` (days) and `new` (after
    the last review), newest first; and a sentence for each day that cannot be read."""
    found, problems = AuditEntry.objects.order_by("-number"), []
    exact = {"who": "actor_name", "kind": "record_kind", "verb": "verb"}
    for key, field in exact.items():
        if asked[key]:
            found = found.filter(**{field: asked[key]})
    for word in asked["q"].split():
        found = found.filter(record_name__icontains=word)
    for key, label in (("since", "Since"), ("until", "Until")):
        if not asked[key]:
            continue
        if (moment := _midnight(asked[key])) is None:
            problems.append(f"{label}: “{asked[key]}” is not a day. Write year, month and day.")
        else:
            day = timedelta(days=1) if key == "until" else timedelta()
            found = found.filter(**{"at__lt" if key == "until" else "at__gte": moment + day})
    if asked["new"] and (review := last_review()) is not None:
        found = found.filter(number__gt=review.record_id)
    return found, problems


def choices() -> dict[str, list[str]]:
    """What stands in the trail, for the filters."""
    return {
        name: list(AuditEntry.objects.order_by(field).values_list(field, flat=True).distinct())
        for name, field in (("people", "actor_name"), ("kinds", "record_kind"), ("verbs", "verb"))
    }


def _midnight(typed: str) -> datetime | None:
    """The beginning of a day in the shop's time; years a database can hold, with room for a day more."""
    try:
        day = parse_date(typed)
    except ValueError:
        return None
    if day is None or not 1950 <= day.year <= 9000:
        return None
    return timezone.make_aware(datetime.combine(day, time()))
