"""Welding procedure specifications: what a shop says it will weld, and the tests that support it."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from qualification.models import ProcedureTest, Record


class Spec(Record):
    """One revision of a welding procedure specification (WPS)."""

    KIND = "procedure"
    CONTENT = (*Record.CONTENT, "customer", "joint_note", "prequalified")

    customer = models.CharField(max_length=120, blank=True)
    """Customer or project the procedure is kept for; empty when it serves any job."""
    joint_note = models.CharField(max_length=300, blank=True)
    """A remark printed beside the joint sketch."""
    prequalified = models.BooleanField(default=False)
    """It rests on no test but keeps within the limits the code sets for procedures that need none."""
    tests = models.ManyToManyField(ProcedureTest, related_name="specs", blank=True)
    """Supporting procedure tests; each revision of a test is a row of its own."""

    def get_absolute_url(self) -> str:
        return reverse("procedure", args=[self.pk])
