"""What stands behind the weld list of a job: its details, and lists that come in from a spreadsheet."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse

from qualification.models import UnitSystem
from wps.models.job import Job


class Detail(models.Model):
    """One way of joining that many welds of a job share: `D-12`, a 1/4 in fillet of 6061 in 2F."""

    KIND = "detail"

    job = models.ForeignKey(Job, models.CASCADE, related_name="details")
    number = models.CharField(max_length=40)
    title = models.CharField(max_length=160, blank=True)
    units = models.CharField(max_length=2, choices=UnitSystem.choices, default=UnitSystem.US)
    joint = models.JSONField(default=dict, blank=True)
    lines = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["job", "number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="detail_number_once_per_job")]

    def __str__(self) -> str:
        return f"{self.job.number} / {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("detail", args=[self.job_id, self.pk])


class ImportColumns(models.Model):
    """How the shop's lists are headed: which heading stands for what, as it was matched last."""

    target = models.CharField(max_length=12, unique=True)
    """What is imported: `welds`, `details` or `log`."""
    matches = models.JSONField(default=dict)
    """Key of what a column holds, by its heading in small letters; empty where it is left out."""

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"Columns of {self.target}"


class WeldImport(models.Model):
    """A list as it was read from a file, until it is imported. Nothing of the job changes before that."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="imports")
    target = models.CharField(max_length=12)
    filename = models.CharField(max_length=160)
    sheet = models.CharField(max_length=80, blank=True)
    units = models.CharField(max_length=2, choices=UnitSystem.choices)
    """For numbers without a unit."""
    heads = models.JSONField()
    """The headings, from the left."""
    rows = models.JSONField()
    """`[row number in the file, cell, cell, ...]` for each row that is not empty; a cell is a text, or a pair
    of a text and what the spreadsheet made of it."""
    columns = models.JSONField()
    """Key of what each column holds."""
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.filename} for {self.job.number}"

    def get_absolute_url(self) -> str:
        return reverse("weld_import", args=[self.job_id, self.pk])
