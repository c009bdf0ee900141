"""What needs attention of personal data: former welders of whom it is held longer than the shop wants."""

from __future__ import annotations

from django.urls import reverse
from django.utils import timezone

from qualification.roles import Person, may_administer
from qualification.welders.personal_data import due
from wps.today.matters import Matter, Section


def personal_data_due(person: Person) -> Section | None:
    """For shop administrators, who remove it."""
    if not may_administer(person):
        return None
    matters = tuple(
        Matter(str(welder), reverse("personal_data_of", args=[welder.pk]), f"last at work {day}")
        for welder, day in due(timezone.localdate())
    )
    return Section("Personal data kept too long", "", matters)


SOURCES = (personal_data_due,)
