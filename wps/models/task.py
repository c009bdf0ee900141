"""Work done in the background: one row per task, so that a restart loses nothing."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse


class TaskState(models.TextChoices):
    """How a task stands."""

    WAITING = "waiting", "Waiting"
    RUNNING = "running", "Under way"
    DONE = "done", "Done"
    FAILED = "failed", "Not done"


class BackgroundTask(models.Model):
    """Something that takes longer than a page may: what, for which thing, how far, how it ended."""

    kind = models.CharField(max_length=30)
    """Name in the table of `wps/background/tasks.py`."""
    subject_id = models.PositiveBigIntegerField()
    label = models.CharField(max_length=200)
    """What it does, in words."""
    back_url = models.CharField(max_length=200)
    """Where its result is seen."""
    state = models.CharField(max_length=10, choices=TaskState.choices, default=TaskState.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    message = models.CharField(max_length=600, blank=True)
    """Why it was not done, when it was not."""
    attempts = models.PositiveIntegerField(default=0)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    asked_at = models.DateTimeField(auto_now_add=True)
    alive_at = models.DateTimeField(null=True, blank=True)
    """Last sign of life of whoever works on it."""
    worker = models.CharField(max_length=32, blank=True, default="")
    """Name of the worker process that took it up last (`wps/background/alive.py`)."""
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=TaskState.values), name="task_state_is_known"
            ),
            models.UniqueConstraint(
                fields=["kind", "subject_id"],
                condition=models.Q(state__in=["waiting", "running"]),
                name="task_open_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} ({self.get_state_display().lower()})"

    def get_absolute_url(self) -> str:
        return reverse("background_task", args=[self.pk])
