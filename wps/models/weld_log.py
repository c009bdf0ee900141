"""What was done to each weld, and the lots of material that went into it."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from qualification.models import ProcessUse, Welder
from wps.models.documents import Attachment
from wps.models.job import Part


class LotKind(models.TextChoices):
    """What a lot is of."""

    FILLER = "filler", "Filler metal"
    METAL = "metal", "Base metal"
    GAS = "gas", "Gas"
    OTHER = "other", "Other material"


class Lot(models.Model):
    """Material as it was received: one lot or heat, with its certificate."""

    KIND = "lot"

    kind = models.CharField(max_length=8, choices=LotKind.choices)
    number = models.CharField(max_length=60)
    """Lot or heat number, as on the material."""
    material = models.CharField(max_length=160)
    supplier = models.CharField(max_length=120, blank=True)
    amount = models.CharField(max_length=60, blank=True)
    received_on = models.DateField(null=True, blank=True)
    certificate = models.ForeignKey(
        Attachment, models.PROTECT, null=True, blank=True, related_name="lots", db_index=True
    )
    used_up = models.BooleanField(default=False)
    """No longer offered at the weld."""
    recorded_by_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["kind", "number"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "number"], name="lot_number_once_per_kind"),
            models.CheckConstraint(condition=models.Q(kind__in=LotKind.values), name="lot_kind_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.material} lot {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("lot", args=[self.pk])


class Step(models.TextChoices):
    """What was done."""

    FIT_UP = "fit_up", "Fit-up"
    WELDED = "welded", "Welded"
    VISUAL = "visual", "Visual"
    NDE_ASKED = "nde_asked", "NDE requested"
    NDE = "nde", "NDE"
    REPAIR = "repair", "Repair"


class Result(models.TextChoices):
    """What was found."""

    ACCEPTED = "accepted", "Accepted"
    REJECTED = "rejected", "Rejected"


METHODS = (
    ("PT", "Penetrant"),
    ("MT", "Magnetic particle"),
    ("RT", "Radiograph"),
    ("UT", "Ultrasonic"),
    ("LT", "Leak test"),
)


class WeldEvent(models.Model):
    """One line of a weld's log. Lines are struck, never edited."""

    KIND = "weld log"

    part = models.ForeignKey(Part, models.PROTECT, related_name="events")
    step = models.CharField(max_length=10, choices=Step.choices)
    done_on = models.DateField()
    welder = models.ForeignKey(Welder, models.PROTECT, null=True, blank=True, related_name="weld_events")
    by_name = models.CharField(max_length=120, blank=True)
    """Who checked the fit-up, looked at it or examined it."""
    spec_reference = models.CharField(max_length=60, blank=True)
    """Number and revision of the WPS it was welded by."""
    method = models.CharField(max_length=4, choices=METHODS, blank=True)
    result = models.CharField(max_length=8, choices=Result.choices, blank=True)
    report = models.CharField(max_length=80, blank=True)
    gas = models.CharField(max_length=80, blank=True)
    lots = models.ManyToManyField(Lot, related_name="events")
    reason = models.CharField(max_length=200, blank=True)
    """Why somebody who is not qualified for it made it."""
    note = models.CharField(max_length=300, blank=True)
    uses = models.ManyToManyField(ProcessUse, related_name="weld_events")
    """Lines of the welder's continuity log that it shows."""
    recorded_by_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    token = models.UUIDField(null=True, blank=True, unique=True)
    """Sent along from a page at the weld, so that what arrives twice is logged once."""
    struck_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["done_on", "id"]
        indexes = [models.Index(fields=["part", "done_on"])]
        constraints = [
            models.CheckConstraint(condition=models.Q(step__in=Step.values), name="weld_event_step_is_known")
        ]

    def __str__(self) -> str:
        return f"{self.part} {self.get_step_display().lower()} {self.done_on}"
