"""The answer the program last gave of an approved record, to be compared with what a later release says."""

from __future__ import annotations

from django.db import models


class KeptAnswer(models.Model):
    """What one approved record amounted to under one release of the program."""

    kind = models.CharField(max_length=20)
    """As in addresses: `procedure`, `procedure-test` or `welder-test`."""
    record_id = models.PositiveBigIntegerField()
    edition = models.CharField(max_length=60)
    program = models.CharField(max_length=64, blank=True)
    """Mark of the release; empty once the shop changed the tables itself, which is no release's doing."""
    said = models.JSONField(default=dict)
    """As `wps/corrections/upgrades.py` stores it."""

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["kind", "record_id"], name="one_answer_per_record")]

    def __str__(self) -> str:
        return f"{self.kind} {self.record_id}"
