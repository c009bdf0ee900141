"""Checks of large files, done in the background."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse


class FileCheck(models.Model):
    """One file somebody brought to be checked. The file is removed once it is; what was found stays for a
    while."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    """Who brought it: nobody else sees what was found."""
    filename = models.CharField(max_length=200)
    stored_as = models.CharField(max_length=64, blank=True)
    """Name of the file in the folder of files to check; empty where it was checked at once."""
    report = models.JSONField(null=True)
    """What was found, as `report_content` gives it; empty while it is being checked."""
    refusal = models.CharField(max_length=600, blank=True)
    """Why it could not be checked."""
    asked_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"Check of {self.filename}"

    def get_absolute_url(self) -> str:
        return reverse("verify_file", args=[self.pk])

    @property
    def is_over(self) -> bool:
        return self.report is not None or bool(self.refusal)
