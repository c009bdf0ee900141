"""Checks of common sense that the shop leaves aside, each with its reason."""

from __future__ import annotations

from django.db import models


class QuietCheck(models.Model):
    """One check left aside. Taken back with a reason, never edited."""

    KIND = "check of common sense"

    key = models.CharField(max_length=60)
    """Of the row of `tables/practice/combinations.toml`, or of a check by arithmetic."""
    text = models.CharField(max_length=400)
    """What it says, in the words of the day."""
    reason = models.CharField(max_length=200)
    person_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    withdrawn_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.text[:80]
