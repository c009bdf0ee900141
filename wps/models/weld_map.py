"""Where welds lie on their drawings, and photos taken at them."""

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


class WeldPhoto(models.Model):
    """A photo taken at a weld. It is kept as it came."""

    part = models.ForeignKey(Part, models.PROTECT, related_name="photos")
    token = models.UUIDField()
    """Sent along, so that a photo that arrives twice is kept once."""
    image = models.ImageField(upload_to="welds/photos/")
    caption = models.CharField(max_length=120, blank=True)
    taken_by_name = models.CharField(max_length=160)
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["part", "token"], name="weld_photo_once")]

    def __str__(self) -> str:
        return self.caption or f"Photo of {self.part}"
