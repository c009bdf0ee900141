"""The private address under which somebody's calendar reads what ends."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class CalendarFeed(models.Model):
    """One person's address. Only its digest is kept: the address itself is shown once."""

    KIND = "calendar address"

    person = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="calendar_feed")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"Calendar of {self.person.get_username()}"
