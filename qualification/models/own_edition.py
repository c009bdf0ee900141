"""Editions that the shop wrote itself: a book it owns, copied row by row from its pages."""

from __future__ import annotations

from django.db import models
from django.urls import reverse


class OwnEdition(models.Model):
    """One edition of the shop's own. Its tables are stored whole, so that no upgrade of the program touches
    them. A draft may be changed; once published it stays as it is, and only another edition can follow it."""

    KIND = "edition"

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        PUBLISHED = "published", "Published"
        WITHDRAWN = "withdrawn", "Withdrawn"

    key = models.CharField(max_length=60, unique=True)
    """As records name it; never used again for another."""
    name = models.CharField(max_length=200)
    """Code and edition, as `edition.toml` has them."""
    book = models.CharField(max_length=120)
    """Which copy of the book the rows were read in: title, printing, number of the copy."""
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    files = models.JSONField(default=dict)
    """The tables: TOML by file name."""
    cases = models.TextField(blank=True)
    """The shop's cases, as TOML (`codes/own_cases.py`)."""
    fingerprint = models.CharField(max_length=64)
    """Of the tables as stored, `Edition.fingerprint`."""
    parent = models.CharField(max_length=60, blank=True)
    """The edition it was copied from; empty where it began empty."""
    parent_name = models.CharField(max_length=200, blank=True)
    parent_fingerprint = models.CharField(max_length=64, blank=True)
    parent_files = models.JSONField(default=dict)
    """The parent's tables as they were copied, TOML by file name."""
    received = models.JSONField(default=dict, blank=True)
    """Of an edition of another shop: who signed it and when, and the fingerprints of tables and authority."""
    proof = models.JSONField(default=dict, blank=True)
    """What publishing ran: number of cases, of random documents, and the seed they were drawn from."""
    made_by = models.CharField(max_length=160)
    made_at = models.DateTimeField(auto_now_add=True)
    changed_by = models.CharField(max_length=160)
    changed_at = models.DateTimeField(auto_now=True)
    published_by = models.CharField(max_length=160, blank=True)
    published_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=160, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["draft", "published", "withdrawn"]), name="own_edition_state"
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("own_edition", args=[self.pk])

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    @property
    def tables(self) -> list[str]:
        """Names of its files without their ending."""
        return sorted(name.removesuffix(".toml") for name in self.files)

    @property
    def version(self) -> str:
        """Names what is stored now, for pages open in two places."""
        return f"{self.changed_at:%Y%m%d%H%M%S%f}"
