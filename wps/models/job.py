"""Jobs and their parts: the welds a customer wants, each described by the same variables as everything
else."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from qualification.models import UnitSystem, Welder


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
    ends_on = models.DateField(null=True, blank=True)
    """The day by which its welds are to be made; who may weld today may have lapsed by then."""

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
    detail = models.ForeignKey(
        "wps.Detail", models.SET_NULL, null=True, blank=True, related_name="welds", db_index=True
    )
    """The detail whose facts it takes. They are copied here, so that every reader finds a weld whole; what
    differs from the detail is the weld's own (`wps/jobs/details.py`)."""
    drawing = models.CharField(max_length=80, blank=True)
    drawing_revision = models.CharField(max_length=20, blank=True)
    length = models.CharField(max_length=40, blank=True)
    """As typed, without a unit in the unit system of the weld."""
    quantity = models.PositiveIntegerField(default=1)
    inspection_class = models.CharField(max_length=60, blank=True)
    access = models.CharField(max_length=160, blank=True)
    """What makes it hard to reach, in words."""
    welder = models.ForeignKey(
        Welder, models.PROTECT, null=True, blank=True, related_name="assigned_welds", db_index=True
    )
    """Who is to make it."""
    despite = models.JSONField(default=dict, blank=True)
    """Why a procedure or welder outside coverage is kept all the same: `spec` and `welder`, each with reason,
    name, day and what was not covered (`wps/jobs/assignments.py`)."""

    class Meta:
        ordering = ["job", "mark"]
        constraints = [models.UniqueConstraint(fields=["job", "mark"], name="part_mark_once_per_job")]

    def __str__(self) -> str:
        return f"{self.job.number} / {self.mark}"

    def get_absolute_url(self) -> str:
        return reverse("part", args=[self.job_id, self.pk])
