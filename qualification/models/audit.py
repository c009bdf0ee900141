"""The audit trail: what happened to what, by whom; each entry sealed together with the one before, never
changed."""

from __future__ import annotations

import hmac
from typing import Any, NoReturn

from django.db import models

from qualification.models.record import content_hash, spelled


class AuditEntries(models.QuerySet["AuditEntry"]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("Audit entries cannot be changed.")

    def delete(self) -> NoReturn:
        raise TypeError("Audit entries cannot be deleted.")


class AuditEntry(models.Model):
    """One event. Names stand as plain text, so that history survives renaming and leaving people."""

    number = models.PositiveBigIntegerField(unique=True)
    """Place in the trail, from 1, without gaps."""
    at = models.DateTimeField()
    actor_name = models.CharField(max_length=160)
    verb = models.CharField(max_length=40)
    record_kind = models.CharField(max_length=40)
    record_id = models.PositiveBigIntegerField()
    record_name = models.CharField(max_length=120)
    data = models.JSONField(default=dict)
    """Before and after, reason, hashes: whatever the verb needs to be understood later."""
    key_name = models.CharField(max_length=16, blank=True)
    """Which key sealed it; empty for an entry from before there was a key."""
    previous_hash = models.CharField(max_length=64, unique=True)
    """Hash of the entry before; unique, so that the chain cannot fork."""
    hash = models.CharField(max_length=64, unique=True)

    objects = AuditEntries.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["record_kind", "record_id"])]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.actor_name}: {self.verb} {self.record_name}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Raises TypeError for an entry that is already stored."""
        stored: int | None = self.pk
        if stored is not None:
            raise TypeError("Audit entries cannot be changed.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("Audit entries cannot be deleted.")

    def expected_hash(self, secret: bytes = b"") -> str:
        """The hash this entry has to carry, from its own content and the hash before it: under the key, or a
        plain one for an entry from before there was a key."""
        content = {
            "at": self.at.isoformat(),
            "actor": self.actor_name,
            "verb": self.verb,
            "kind": self.record_kind,
            "id": self.record_id,
            "name": self.record_name,
            "data": self.data,
            "previous": self.previous_hash,
        }
        if not self.key_name:
            return content_hash(content)
        sealed = {**content, "number": self.number, "key": self.key_name}
        return hmac.new(secret, spelled(sealed), "sha256").hexdigest()
