"""What ends, as a calendar that other programs read (RFC 5545)."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from hashlib import sha256
from secrets import token_urlsafe

from django.db import transaction
from icalendar import Calendar, Event

from qualification.models import Shop
from qualification.records.audit import append, name_of
from qualification.roles import Person, may_read
from wps.jobs.lapses import endings
from wps.models import CalendarFeed

AHEAD = 400
"""Days ahead that the calendar shows: every period of a year or less."""


def new_address(person: Person) -> str:
    """A secret for a new address; whatever address there was before is read no more."""
    secret = token_urlsafe(32)
    with transaction.atomic():
        feed, is_new = CalendarFeed.objects.update_or_create(
            person_id=person.pk, defaults={"digest": _digest(secret)}
        )
        append("create" if is_new else "change", feed.KIND, feed.pk, str(feed), name_of(person), {})
    return secret


def feed_of(secret: str) -> CalendarFeed | None:
    """The feed with that secret, while its person may read in the shop."""
    feed = CalendarFeed.objects.select_related("person").filter(digest=_digest(secret)).first()
    return feed if feed is not None and feed.person.is_active and may_read(feed.person) else None


def calendar_of(today: date, now: datetime) -> bytes:
    """An all-day event on the last day of each qualification that ends."""
    calendar = Calendar()
    calendar.add("prodid", "-//Qualifications that end//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{Shop.current().name}: qualifications that end")
    for welder, standing in endings(today, AHEAD):
        what = f"{standing.process}, {standing.operation_words.lower()}"
        last = standing.answer.holds_until
        assert last is not None
        event = Event()
        event.add(
            "uid", f"{welder.pk}-{standing.record.number}-{standing.process}-{standing.operation}-{last}"
        )
        event.add("dtstamp", now)
        event.add("dtstart", last)
        event.add("dtend", last + timedelta(days=1))
        event.add("summary", f"{welder}: {what} ends")
        event.add("description", f"{standing.words}. {standing.due_words}".strip(" .") + ".")
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return calendar.to_ical()


def _digest(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()
