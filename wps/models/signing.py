"""Personal certificates, and the signatures taken with them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone


class PersonalCertificate(models.Model):
    """What a person signs with: a PKCS#12 file locked by the person's passphrase, which is kept nowhere."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="certificates")
    person_name = models.CharField(max_length=160)
    pkcs12 = models.BinaryField()
    certificate = models.TextField()
    """The certificate alone, PEM."""
    subject = models.CharField(max_length=300)
    issuer = models.CharField(max_length=300)
    serial = models.CharField(max_length=60)
    fingerprint = models.CharField(max_length=64, unique=True)
    """SHA-256 of the certificate, hexadecimal."""
    valid_from = models.DateTimeField()
    valid_until = models.DateTimeField()
    by_shop = models.BooleanField()
    """True when the shop's own authority issued it, false when the person brought it."""
    made_at = models.DateTimeField(auto_now_add=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_because = models.CharField(max_length=200, blank=True)
    revoked_by_name = models.CharField(max_length=160, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    """When a shop administrator accepted a certificate from another authority; empty for the shop's own."""
    accepted_by_name = models.CharField(max_length=160, blank=True)
    accepted_because = models.CharField(max_length=200, blank=True)
    """Why a certificate in another name than the account's is this person's; empty where the names agree."""

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"certificate {self.short_serial} of {self.person_name}"

    @property
    def short_serial(self) -> str:
        return self.serial[:12]

    @property
    def is_accepted(self) -> bool:
        """True for the shop's own, and for another authority's once a shop administrator accepted it."""
        return self.by_shop or self.accepted_at is not None

    @property
    def is_usable(self) -> bool:
        """True while it may sign: accepted, not revoked, within its validity."""
        return (
            self.is_accepted
            and self.revoked_at is None
            and self.valid_from <= timezone.now() <= self.valid_until
        )

    @property
    def waits(self) -> bool:
        """True while a shop administrator has still to accept it."""
        return not self.is_accepted and self.revoked_at is None

    @property
    def fingerprint_words(self) -> str:
        """The fingerprint in groups of four, as people read it to one another."""
        return " ".join(self.fingerprint[at : at + 4] for at in range(0, len(self.fingerprint), 4))

    @property
    def state_words(self) -> str:
        if self.revoked_at is not None:
            return f"Revoked on {timezone.localtime(self.revoked_at):%Y-%m-%d}: {self.revoked_because}"
        if timezone.now() > self.valid_until:
            return f"Expired on {timezone.localtime(self.valid_until):%Y-%m-%d}"
        if not self.is_accepted:
            return "Not accepted by a shop administrator yet"
        return "In use" if self.is_usable else f"Valid from {timezone.localtime(self.valid_from):%Y-%m-%d}"


class SignatureTaken(models.Model):
    """One signature, as this shop took it: which file it made, so that the time does not rest on the file's
    word alone."""

    document = models.ForeignKey(
        "wps.IssuedDocument", models.PROTECT, null=True, blank=True, related_name="signatures"
    )
    packet = models.ForeignKey("wps.Packet", models.PROTECT, null=True, blank=True, related_name="signatures")
    role = models.CharField(max_length=12)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=160)
    certificate = models.ForeignKey(PersonalCertificate, models.PROTECT, related_name="signatures")
    signed_at = models.DateTimeField()
    field = models.CharField(max_length=40, blank=True)
    """Name of the signature field it filled."""
    roles = models.JSONField(null=True)
    """Roles the person held when it was taken; `None` for one taken before they were written down."""
    before_sha256 = models.CharField(max_length=64, blank=True)
    """Of the file that was signed."""
    sha256 = models.CharField(max_length=64, db_index=True)
    """Of the file with this signature."""
    timestamped = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(document__isnull=False, packet__isnull=True)
                | models.Q(document__isnull=True, packet__isnull=False),
                name="signature_on_document_or_packet",
            ),
            models.UniqueConstraint(fields=["document", "role"], name="one_signature_per_role"),
        ]

    def __str__(self) -> str:
        return f"{self.person_name} as {self.role}"
