"""Where welds lie on their drawings."""

from __future__ import annotations

from django.db import models

from wps.models.documents import Attachment
from wps.models.job import Part

PARTS = 10_000
"""A place is kept in so many parts of the page's width and height."""


class MapMark(models.Model):
    """A weld's place on one page of a drawing."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="map_marks")
    drawing = models.ForeignKey(Attachment, models.PROTECT, related_name="map_marks")
    page = models.PositiveIntegerField(default=1)
    across = models.PositiveIntegerField()
    down = models.PositiveIntegerField()
    placed_by_name = models.CharField(max_length=160)

    class Meta:
        ordering = ["drawing", "page", "part__mark"]
        constraints = [
            models.UniqueConstraint(fields=["part", "drawing", "page"], name="weld_once_on_a_drawing_page"),
            models.CheckConstraint(
                condition=models.Q(across__lte=PARTS, down__lte=PARTS), name="map_mark_is_on_the_page"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part} on {self.drawing.title}, page {self.page}"
