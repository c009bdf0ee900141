"""Welders, and the days on which they used a process."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from qualification.rules.variables.definition import PROCESSES
from qualification.rules.variables.registry import registry

OPERATIONS = tuple((choice.key, choice.label) for choice in registry()["operation"].choices)


class Welder(models.Model):
    """A welder or operator of the shop."""

    name = models.CharField(max_length=120)
    stamp = models.CharField(max_length=20, unique=True)
    """The mark the welder puts beside a weld."""
    born_on = models.DateField(null=True, blank=True)
    born_at = models.CharField(max_length=120, blank=True)
    identified_by = models.CharField(max_length=120, blank=True)
    """How the examiner made sure who it was. Like day and place of birth, some codes want it on the
    certificate."""
    active = models.BooleanField(default=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name} ({self.stamp})"

    def get_absolute_url(self) -> str:
        return reverse("welder", args=[self.pk])

    @property
    def birth(self) -> str:
        """Day and place of birth as one text; empty unless both are known."""
        return f"{self.born_on}, {self.born_at}" if self.born_on and self.born_at else ""


class ProcessUse(models.Model):
    """Evidence that a welder used a process on a day: the continuity log, a line each. Lines are struck,
    never edited."""

    welder = models.ForeignKey(Welder, models.PROTECT, related_name="uses")
    process = models.CharField(max_length=8, choices=[(p, p) for p in PROCESSES])
    operation = models.CharField(max_length=16, choices=OPERATIONS)
    """By hand or by machine: the one does not keep a qualification for the other."""
    used_on = models.DateField()
    evidence = models.CharField(max_length=200)
    """Job, weld map or report that shows it."""
    recorded_by_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    struck_because = models.CharField(max_length=200, blank=True)
    """Why the line does not count; an entry made in error stays readable."""

    class Meta:
        ordering = ["-used_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(process__in=PROCESSES), name="process_use_process_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(operation__in=[key for key, _ in OPERATIONS]),
                name="process_use_operation_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.welder.stamp} {self.process} {self.used_on}"
