"""Passkeys: keys that lie in a phone, a computer or a security key, and sign in for one address only."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Passkey(models.Model):
    """One of a person's passkeys. The private half never leaves the device."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="passkeys")
    name = models.CharField(max_length=60)
    """What the person calls the device."""
    host = models.CharField(max_length=255)
    """The name of the server it was made for; browsers offer it nowhere else."""
    credential = models.CharField(max_length=1400, unique=True)
    """Its id, base64url."""
    public_key = models.BinaryField()
    sign_count = models.PositiveBigIntegerField(default=0)
    """How often it signed, by its own count; one that counts back was copied."""
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.name
