"""Jobs and their parts: the welds a customer wants, each described by the same variables as everything
else."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from qualification.models import UnitSystem
from wps.models.spec import Spec


class Job(models.Model):
    """One order."""

    number = models.CharField(max_length=40, unique=True)
    customer = models.CharField(max_length=120, blank=True)
    title = models.CharField(max_length=160)
    edition = models.CharField(max_length=60)
    """Edition of the code the job is welded to."""
    welder_edition = models.CharField(max_length=60, blank=True)
    """Edition its welders are qualified to, where that is a code of its own; empty where one code rules
    both."""
    notes = models.TextField(blank=True)
    open = models.BooleanField(default=True)

    class Meta:
        ordering = ["-open", "-number"]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    def get_absolute_url(self) -> str:
        return reverse("job", args=[self.pk])

    @property
    def edition_for_welders(self) -> str:
        """Key of the edition under which it is asked who may weld."""
        return self.welder_edition or self.edition


class Part(models.Model):
    """One weld of a job, as drawn."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="parts")
    mark = models.CharField(max_length=40)
    """Weld mark on the drawing."""
    title = models.CharField(max_length=160)
    units = models.CharField(max_length=2, choices=UnitSystem.choices, default=UnitSystem.US)
    joint = models.JSONField(default=dict, blank=True)
    lines = models.JSONField(default=list, blank=True)
    spec_number = models.CharField(max_length=40, blank=True)
    """Number of the WPS chosen for the weld; the approved revision of the day is the one that counts."""

    class Meta:
        ordering = ["job", "mark"]
        constraints = [models.UniqueConstraint(fields=["job", "mark"], name="part_mark_once_per_job")]

    def __str__(self) -> str:
        return f"{self.job.number} / {self.mark}"

    def get_absolute_url(self) -> str:
        return reverse("part", args=[self.job_id, self.pk])

    def chosen_spec(self) -> Spec | None:
        """The approved revision of the chosen WPS, if there is one."""
        return (
            Spec.objects.filter(number=self.spec_number, state="approved").first()
            if self.spec_number
            else None
        )
