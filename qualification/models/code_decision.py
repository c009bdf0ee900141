"""What the responsible person decided by the code where the tables of the program have no rule."""

from __future__ import annotations

from django.db import models


class CodeDecision(models.Model):
    """One answer to one finding. Withdrawn with a reason, never edited; the latest in force counts."""

    KIND = "decision by the code"

    edition = models.CharField(max_length=60)
    procedure = models.CharField(max_length=60, blank=True)
    """Number of the one procedure it is made for; empty for every record under the edition."""
    question = models.JSONField()
    """The finding, as `rules/tabular/decisions.py` tells it apart."""
    label = models.CharField(max_length=120)
    found = models.CharField(max_length=400)
    qualified = models.CharField(max_length=400)
    """What the finding said when it was answered, in words."""
    covered = models.BooleanField()
    clause = models.CharField(max_length=120)
    copy = models.CharField(max_length=120)
    """The shop's own copy in which the clause was read."""
    words = models.CharField(max_length=400)
    person_name = models.CharField(max_length=160)
    decided_on = models.DateField()
    recorded_at = models.DateTimeField(auto_now_add=True)
    withdrawn_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.label}, {self.edition}, clause {self.clause}"
