"""Packets: documents put together for one recipient, and each handing over of one."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse


class PacketState(models.TextChoices):
    """How far a packet has come."""

    DRAFT = "draft", "Being put together"
    ASSEMBLING = "assembling", "Being assembled"
    READY = "ready", "Awaiting the issuer's signature"
    ISSUED = "issued", "Issued"


class Packet(models.Model):
    """One packet for one recipient."""

    number = models.CharField(max_length=40, unique=True)
    title = models.CharField(max_length=160)
    recipient = models.CharField(max_length=160)
    job = models.ForeignKey("wps.Job", models.PROTECT, null=True, blank=True, related_name="packets")
    choice = models.JSONField(default=dict)
    """What was chosen: `procedures` and `procedure_tests` and `welder_tests` (record ids), `welders`,
    `attachments` (ids), `asked_for` (kinds)."""
    statement = models.CharField(max_length=600, blank=True)
    """Why the packet is issued in spite of what stands in its way; printed on the cover."""
    obstacles = models.JSONField(default=list)
    """The obstacles the statement answers, as they stood when the packet was assembled."""
    state = models.CharField(max_length=12, choices=PacketState.choices, default=PacketState.DRAFT)
    code = models.CharField(max_length=12, unique=True)
    day = models.DateField(null=True, blank=True)
    """Day of assembly: welders' ranges and expiry are given as on this day."""
    assembled_sha256 = models.CharField(max_length=64, blank=True)
    sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    pages = models.PositiveIntegerField(default=0)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_by_name = models.CharField(max_length=160)
    made_at = models.DateTimeField(auto_now_add=True)
    issued_at = models.DateTimeField(null=True, blank=True)
    issued_by_name = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=PacketState.values), name="packet_state_is_known"
            )
        ]

    def __str__(self) -> str:
        return f"Packet {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("packet", args=[self.pk])

    @property
    def is_open(self) -> bool:
        """True while its content may still change."""
        return self.state in (PacketState.DRAFT, PacketState.READY)


class PacketItem(models.Model):
    """One document or attachment of a packet as assembled. Names stand as text: they are what was handed
    over."""

    packet = models.ForeignKey(Packet, models.CASCADE, related_name="items")
    position = models.PositiveIntegerField()
    section = models.CharField(max_length=20)
    document = models.ForeignKey(
        "wps.IssuedDocument", models.PROTECT, null=True, blank=True, related_name="packet_items"
    )
    attachment = models.ForeignKey(
        "wps.Attachment", models.PROTECT, null=True, blank=True, related_name="packet_items"
    )
    title = models.CharField(max_length=200)
    reference = models.CharField(max_length=60, blank=True)
    """Number and revision of a document; empty for attachments."""
    filename = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, db_index=True)
    pages = models.PositiveIntegerField()
    first_page = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["packet", "position"]
        constraints = [models.UniqueConstraint(fields=["packet", "position"], name="packet_position_once")]

    def __str__(self) -> str:
        return self.reference or self.title


class Transmittal(models.Model):
    """One handing over of an issued packet: to whom, when, how, which file."""

    packet = models.ForeignKey(Packet, models.PROTECT, related_name="transmittals")
    recipient = models.CharField(max_length=160)
    sent_on = models.DateField()
    way = models.CharField(max_length=120)
    """By what way it went: e-mail, portal, paper."""
    revisions = models.JSONField(default=list)
    """References of the documents in it."""
    sha256 = models.CharField(max_length=64)
    recorded_by_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    recalled_on = models.DateField(null=True, blank=True)
    """The day on which the recipient was told that the packet is no longer current; empty while not."""

    class Meta:
        ordering = ["-sent_on", "-id"]

    def __str__(self) -> str:
        return f"{self.packet} to {self.recipient} on {self.sent_on}"
