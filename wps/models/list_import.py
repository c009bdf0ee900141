"""A list of records as it was read from a file, until it is imported."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse

from qualification.models import UnitSystem


class ListImport(models.Model):
    """Welders, uses, tests or procedures that come in from a spreadsheet. Nothing else is stored before the
    list is imported."""

    target = models.CharField(max_length=12)
    filename = models.CharField(max_length=160)
    sheet = models.CharField(max_length=80, blank=True)
    units = models.CharField(max_length=2, choices=UnitSystem.choices)
    """For numbers without a unit; records that are made keep it."""
    edition = models.CharField(max_length=60, blank=True)
    """Of records whose row names no code."""
    heads = models.JSONField()
    rows = models.JSONField()
    """`[row number in the file, cell, cell, ...]`; a cell is a text, or a pair of a text and what the
    spreadsheet made of it."""
    columns = models.JSONField()
    """Key of what each column holds."""
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.filename

    def get_absolute_url(self) -> str:
        return reverse("list_import", args=[self.pk])


class ListScan(models.Model):
    """A scan that waits beside a list until that is imported; its file lies in the vault."""

    listed = models.ForeignKey(ListImport, models.CASCADE, related_name="scans")
    filename = models.CharField(max_length=160)
    media_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField()
    pages = models.PositiveIntegerField()

    class Meta:
        ordering = ["filename"]
        constraints = [models.UniqueConstraint(fields=["listed", "filename"], name="one_scan_of_a_name")]

    def __str__(self) -> str:
        return self.filename
