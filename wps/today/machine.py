"""What stands in the way of work on the computer that the program runs on."""

from __future__ import annotations

from django.urls import reverse

from qualification.roles import Person, may_administer
from wps.conditions import BAD, background_work, clock, data_folder, demo_passwords, room_on_disk
from wps.today.matters import Matter, Rank, Section

LOOKED_AT = (data_folder, room_on_disk, background_work, clock, demo_passwords)
"""Those that cost nothing to look at; the database may keep one waiting."""


def conditions_met(person: Person) -> Section | None:
    """What has to be mended; for shop administrators, who can see the page."""
    if not may_administer(person):
        return None
    url = reverse("conditions")
    found = [look() for look in LOOKED_AT]
    matters = tuple(Matter(each.what, url, each.words) for each in found if each.state == BAD)
    return Section("Computer", "", matters, rank=Rank.STOPPED, button="See all")


SOURCES = (conditions_met,)
