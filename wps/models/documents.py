"""Issued documents: rendered once from an approved snapshot, then only signed; and papers brought from
outside."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse


class Stage(models.TextChoices):
    """How far an issued document has come."""

    RENDERING = "rendering", "Being rendered"
    AUTHOR = "author", "Awaiting the author's signature"
    APPROVER = "approver", "Awaiting the approver's signature"
    WITNESS = "witness", "Awaiting the witness's signature"
    SIGNED = "signed", "Signed"


SIGNING_STAGES = (Stage.AUTHOR, Stage.APPROVER, Stage.WITNESS)
"""In the order in which signatures are taken."""


class IssuedDocument(models.Model):
    """The one document of one approved revision. Its bytes lie in the vault under their hash."""

    kind = models.CharField(max_length=20)
    """`procedure`, `procedure-test` or `welder-test`, as in addresses."""
    record_id = models.PositiveBigIntegerField()
    number = models.CharField(max_length=40)
    revision = models.PositiveIntegerField()
    title = models.CharField(max_length=120, blank=True)
    code = models.CharField(max_length=12, unique=True)
    """Short code printed on every page; leads to the verification page."""
    language = models.CharField(max_length=5, default="en")
    """The language it is printed in; what it embeds is the record as approved, the same in every language."""
    stage = models.CharField(max_length=12, choices=Stage.choices, default=Stage.RENDERING)
    snapshot_hash = models.CharField(max_length=64)
    rendered_sha256 = models.CharField(max_length=64, blank=True)
    sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    """Of the file as it stands, with the signatures taken so far."""
    pages = models.PositiveIntegerField(default=0)
    author = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    approver = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    witness_name = models.CharField(max_length=120, blank=True)
    witness = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    """The sign-in of the witness, where the witness has one; otherwise the witness signs on paper."""
    approved_at = models.DateTimeField()
    rendered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "number", "revision"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "record_id"], name="one_document_per_revision"),
            models.CheckConstraint(
                condition=models.Q(stage__in=Stage.values), name="document_stage_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} rev {self.revision}"

    def get_absolute_url(self) -> str:
        return reverse("issued_document", args=[self.kind, self.record_id])

    @property
    def reference(self) -> str:
        return f"{self.number} rev {self.revision}"

    @property
    def is_stored(self) -> bool:
        return bool(self.sha256)

    @property
    def signer(self) -> object | None:
        """Whose signature is awaited now."""
        return {Stage.AUTHOR: self.author, Stage.APPROVER: self.approver, Stage.WITNESS: self.witness}.get(
            Stage(self.stage)
        )


class AttachmentKind(models.TextChoices):
    """What an attachment is, in the order in which packets bring them."""

    MILL = "mill", "Mill certificate"
    FILLER = "filler", "Filler certificate"
    NDE = "nde", "NDE report"
    DRAWING = "drawing", "Drawing"
    CALIBRATION = "calibration", "Calibration"
    SCAN = "scan", "Record on paper"
    PHOTO = "photo", "Photo"
    OTHER = "other", "Other paper"


class Attachment(models.Model):
    """A paper brought from outside: kept byte for byte in the vault, linked to what it belongs to."""

    kind = models.CharField(max_length=12, choices=AttachmentKind.choices)
    title = models.CharField(max_length=160)
    heat = models.CharField(max_length=60, blank=True)
    """Heat or lot number the paper is about."""
    job = models.ForeignKey("wps.Job", models.PROTECT, null=True, blank=True, related_name="attachments")
    part = models.ForeignKey("wps.Part", models.SET_NULL, null=True, blank=True, related_name="attachments")
    """The weld it belongs to."""
    lot = models.ForeignKey("wps.Lot", models.SET_NULL, null=True, blank=True, related_name="attachments")
    specimen = models.CharField(max_length=60, blank=True)
    """Name of the specimen a picture shows, as its result names it."""
    record_kind = models.CharField(max_length=20, blank=True)
    record_number = models.CharField(max_length=40, blank=True)
    """Number of the procedure or test the paper belongs to, whatever its revision."""
    filename = models.CharField(max_length=160)
    media_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64, db_index=True)
    size = models.PositiveBigIntegerField()
    pages = models.PositiveIntegerField()
    added_by_name = models.CharField(max_length=160)
    added_at = models.DateTimeField(auto_now_add=True)
    token = models.UUIDField(null=True, blank=True, unique=True)
    """Sent along from a phone, so that a picture that arrives twice is kept once."""
    set_aside_because = models.CharField(max_length=200, blank=True)
    """Why it is no longer offered; empty while it is. The file stays, packets may hold it."""

    class Meta:
        ordering = ["kind", "title", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=AttachmentKind.values), name="attachment_kind_is_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.title}"

    @property
    def is_picture(self) -> bool:
        return self.media_type != "application/pdf"

    @property
    def belongs_to(self) -> str:
        """Heat, record and job in words; empty when it stands alone."""
        found = [
            f"heat {self.heat}" if self.heat else "",
            self.record_number,
            f"specimen {self.specimen}" if self.specimen else "",
            f"weld {self.part.mark}" if self.part else "",
            f"lot {self.lot.number}" if self.lot else "",
            f"job {self.job.number}" if self.job else "",
        ]
        return ", ".join(each for each in found if each)
