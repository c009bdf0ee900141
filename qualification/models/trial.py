"""Trials: coupons welded to find settings, before there is any record to keep; and what was read while
welding them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from qualification.models.record import UnitSystem
from qualification.models.welder import Welder


class TrialVerdict(models.TextChoices):
    """What the shop made of a trial."""

    OPEN = "open", "Not decided"
    ACCEPTED = "accepted", "Accepted"
    REJECTED = "rejected", "Not accepted"


class Purpose(models.TextChoices):
    """Where the readings were taken."""

    COUPON = "coupon", "Trial coupon"
    PRODUCTION = "production", "Reading in production"


class Trial(models.Model):
    """One coupon on the way to a procedure, or one reading in production, with its settings as typed."""

    KIND = "trial"

    token = models.UUIDField(unique=True, default=uuid4)
    """Made by whoever asks for the trial, so that asking again makes no second one."""
    number = models.CharField(max_length=20, unique=True)
    title = models.CharField(max_length=160, blank=True)
    """The job, or the joint one has in mind."""
    purpose = models.CharField(max_length=12, choices=Purpose.choices, default=Purpose.COUPON)
    welded_on = models.DateField(default=timezone.localdate)
    welder = models.ForeignKey(Welder, models.PROTECT, null=True, blank=True, related_name="trials")
    edition = models.CharField(max_length=60)
    """The code one has in mind; it decides which entries are asked for."""
    units = models.CharField(max_length=2, choices=UnitSystem.choices, default=UnitSystem.US)
    joint = models.JSONField(default=dict, blank=True)
    line = models.JSONField(default=dict, blank=True)
    """Settings and results of the one process line, as typed."""
    verdict = models.CharField(max_length=10, choices=TrialVerdict.choices, default=TrialVerdict.OPEN)
    note = models.TextField(blank=True)
    copied_from = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="copies")
    saved_from = models.CharField(max_length=36, blank=True)
    """Token of the open page that saved last: it may save again although its version is an older one,
    because an answer may have been lost on the way."""
    begun = models.BooleanField(default=True)
    """Whether something of its own was ever in it. One that was only opened is in no list, and goes."""
    archived_at = models.DateTimeField(null=True, blank=True)
    """When it was put out of the list; nothing else about it changes."""
    author = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    author_name = models.CharField(max_length=160)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(verdict__in=TrialVerdict.values), name="trial_verdict_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(purpose__in=Purpose.values), name="trial_purpose_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(units__in=UnitSystem.values), name="trial_units_are_known"
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("trial", args=[self.pk])

    @property
    def lines(self) -> list[dict[str, Any]]:
        """The process line as the one line of a weld."""
        return [self.line]

    @property
    def is_accepted(self) -> bool:
        return self.verdict == TrialVerdict.ACCEPTED


class TrialPass(models.Model):
    """One pass of a trial, its readings as typed."""

    trial = models.ForeignKey(Trial, models.CASCADE, related_name="passes")
    token = models.UUIDField(default=uuid4)
    position = models.PositiveIntegerField()
    entries = models.JSONField(default=dict)
    """`pass_length`, `arc_time`, and `amps` and `volts` as the machine displayed them."""

    class Meta:
        ordering = ["trial", "position"]
        constraints = [models.UniqueConstraint(fields=["trial", "token"], name="trial_pass_once")]

    def __str__(self) -> str:
        return f"{self.trial}, pass {self.position}"


class PhotoShows(models.TextChoices):
    """What a photo shows, so that like is put beside like."""

    FACE = "face", "Face of the bead"
    ROOT = "root", "Root side"
    SECTION = "section", "Section"
    OTHER = "other", "Something else"


class TrialPhoto(models.Model):
    """A picture of a trial, as the camera made it."""

    trial = models.ForeignKey(Trial, models.CASCADE, related_name="photos")
    token = models.UUIDField(default=uuid4)
    image = models.ImageField(upload_to="trials/photos/", width_field="width", height_field="height")
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)
    caption = models.CharField(max_length=160, blank=True)
    shows = models.CharField(max_length=10, choices=PhotoShows.choices, default=PhotoShows.FACE)
    scale = models.JSONField(default=dict, blank=True)
    """`taps` on the ends of something of known `length` (mm, as text), the `zoom` they were made at, and the
    `size` of the picture as it is shown; empty before it is set."""
    measures = models.JSONField(default=dict, blank=True)
    """`taps` and `zoom` by the result they gave."""
    taken_by_name = models.CharField(max_length=160)
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["trial", "token"], name="trial_photo_once"),
            models.CheckConstraint(
                condition=models.Q(shows__in=PhotoShows.values), name="trial_photo_shows_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.caption or f"Photo of {self.trial}"


class LogState(models.TextChoices):
    """How far a waveform file has come."""

    UPLOADED = "uploaded", "Columns not confirmed"
    WAITING = "waiting", "Queued for analysis"
    RUNNING = "running", "Analyzing"
    DONE = "done", "Analyzed"
    FAILED = "failed", "Analysis failed"


class TrialLog(models.Model):
    """A file of voltage and current over time, what was recognised in it, and what follows from it."""

    trial = models.ForeignKey(Trial, models.CASCADE, related_name="logs")
    weld_pass = models.ForeignKey(TrialPass, models.SET_NULL, null=True, blank=True, related_name="logs")
    """The pass it was taken on; its length turns energy into energy per length."""
    file = models.FileField(upload_to="trials/waveforms/")
    filename = models.CharField(max_length=160)
    size = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    settings = models.JSONField(default=dict)
    """Columns, units and sample rate as the person confirmed them."""
    state = models.CharField(max_length=10, choices=LogState.choices, default=LogState.UPLOADED)
    alive_at = models.DateTimeField(null=True, blank=True)
    message = models.CharField(max_length=600, blank=True)
    """Why it was not worked through, when it was not."""
    analysis = models.JSONField(null=True, blank=True)
    added_by_name = models.CharField(max_length=160)
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=LogState.values), name="trial_log_state_is_known"
            )
        ]

    def __str__(self) -> str:
        return self.filename

    def get_absolute_url(self) -> str:
        return reverse("trial_log", args=[self.trial_id, self.pk])

    @property
    def megabytes(self) -> Decimal:
        return (Decimal(self.size) / 1_000_000).quantize(Decimal("0.1"))


class Origin(models.Model):
    """Where one entry of a record came from: the way back to the trial. Never changed; the record may move
    on."""

    record_kind = models.CharField(max_length=40)
    record_id = models.PositiveBigIntegerField()
    line = models.PositiveIntegerField(null=True, blank=True)
    """Process line of the entry; empty for one of the joint."""
    variable = models.CharField(max_length=60)
    entry = models.CharField(max_length=300)
    """The entry as it was taken over."""
    reading = models.CharField(max_length=300)
    """How it came about, in words."""
    trials = models.ManyToManyField(Trial, related_name="origins")

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["record_kind", "record_id"])]

    def __str__(self) -> str:
        return f"{self.variable} of {self.record_kind} {self.record_id}"
