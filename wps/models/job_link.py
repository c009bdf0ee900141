"""A private address under which somebody outside the shop reads what one job has to show, without a
sign-in."""

from __future__ import annotations

from datetime import date

from django.db import models

from wps.models.job import Job

LONGEST_DAYS = 366
"""A link ends after so many days at the latest; a new one is made in a minute."""
LONGEST_NAME = 120
"""As much as the audit trail keeps of a record's name."""


class JobLink(models.Model):
    """One address, for one recipient, until a day. Only its digest is kept: it is shown once."""

    KIND = "job link"

    job = models.ForeignKey(Job, models.PROTECT, related_name="links")
    recipient = models.CharField(max_length=160)
    """Whom it is for: an inspector, a customer."""
    digest = models.CharField(max_length=64, unique=True)
    ends_on = models.DateField()
    """The last day on which it opens."""
    made_by_name = models.CharField(max_length=160)
    made_at = models.DateTimeField(auto_now_add=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by_name = models.CharField(max_length=160, blank=True)
    opened_on = models.DateField(null=True, blank=True)
    """The last day on which it was opened."""

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.job.number} for {self.recipient}"[:LONGEST_NAME]

    def opens(self, today: date) -> bool:
        """Whether it shows the job on that day."""
        return self.taken_back_at is None and today <= self.ends_on
