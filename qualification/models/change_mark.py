"""A mark for each table that changes whenever a row of it does."""

from __future__ import annotations

from django.db import models


class ChangeMark(models.Model):
    """Written by triggers of the database alone (`records/change_marks.py`), so that no change goes unseen,
    whoever makes it."""

    name = models.CharField(max_length=120, primary_key=True)
    """The table; or what a row of it belongs to, such as `qualification_processuse/12`."""
    mark = models.CharField(max_length=32)
    """Drawn by lot at each change: one that was there before a change undone never comes again."""

    def __str__(self) -> str:
        return self.name
