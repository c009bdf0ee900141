"""What a correction of the code tables, or taking one back, changes for the records on file."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from qualification.models import TableCheck


class Rejudging(models.Model):
    """All records of an edition judged again as if its tables read differently: first to be shown, and kept
    with the check once that is saved or taken back."""

    class Cause(models.TextChoices):
        CORRECT = "correct", "Correction"
        TAKE_BACK = "take_back", "Check taken back"
        UPGRADE = "upgrade", "Upgrade of the program"

    edition = models.CharField(max_length=60)
    cause = models.CharField(max_length=10, choices=Cause.choices)
    proposal = models.JSONField(default=dict)
    """Of a correction: `file`, `path`, `row_hash`, `clause`, `day`, `copy` and `changes` as a `TableCheck`
    stores them."""
    check_made = models.ForeignKey(TableCheck, models.PROTECT, null=True, related_name="+")
    """The check taken back; of a correction the check it became, once saved."""
    token = models.CharField(max_length=64, blank=True)
    """Names exactly this change of exactly these tables, as in `qualification/forms/table_check.py`."""
    records = models.PositiveIntegerField(default=0)
    """How many were judged again."""
    changes = models.JSONField(default=list)
    """Those judged differently, as `wps/corrections/rejudging.py` stores them."""
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    """Nobody, where an upgrade of the program is the cause."""
    asked_at = models.DateTimeField(auto_now_add=True)
    judged_at = models.DateTimeField(null=True)
    saved_at = models.DateTimeField(null=True)
    """When the change of the tables took effect; empty while it is only shown."""
    seen_at = models.DateTimeField(null=True)
    """Of an upgrade: when an approver had seen what it changes."""
    seen_by_name = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(cause__in=["correct", "take_back", "upgrade"]),
                name="rejudging_cause_is_known",
            )
        ]

    def __str__(self) -> str:
        if self.cause == self.Cause.UPGRADE:
            return f"{self.get_cause_display()} on {timezone.localtime(self.judged_at):%Y-%m-%d}"
        clause = self.check_made.clause if self.check_made is not None else self.proposal.get("clause", "")
        return (
            f"{self.get_cause_display()} of {clause}"
            if self.cause == self.Cause.CORRECT
            else f"Check of {clause} taken back"
        )

    def get_absolute_url(self) -> str:
        return reverse("rejudging", args=[self.pk])
