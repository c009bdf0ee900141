"""What all controlled records share: number, revision, state, entries as typed, and the snapshot of an
approval."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models


class State(models.TextChoices):
    """Where a revision stands. `workflow.py` is the only writer."""

    DRAFT = "draft", "Draft"
    IN_REVIEW = "in_review", "In review"
    APPROVED = "approved", "Approved"
    SUPERSEDED = "superseded", "Superseded"
    WITHDRAWN = "withdrawn", "Withdrawn"


class UnitSystem(models.TextChoices):
    """The unit system a record is kept in; it picks which of a code's two sets of limits applies."""

    US = "us", "Inch, °F, lbf"
    SI = "si", "mm, °C, N"


EDITABLE = frozenset({State.DRAFT})
"""A revision in review is what the reviewer reads, so it does not change under the reading either."""


class FrozenRecord(Exception):
    """Somebody tried to change a revision that is no longer a draft."""


UNSIGNED_AMONG: list[Callable[[Sequence[Record]], set[int]]] = []
"""Which of several records of one kind lack a signature on their document, by id: the upper app, which has
the documents, adds it when it starts."""


def mark_unsigned(records: Iterable[Record]) -> None:
    """Look up for records of one kind whether signatures are missing, for all in one go."""
    approved = [each for each in records if each.state == State.APPROVED]
    unsigned = {pk for source in UNSIGNED_AMONG if approved for pk in source(approved)}
    for each in records:
        each._is_unsigned = each.state == State.APPROVED and each.pk in unsigned


class Record(models.Model):
    """One revision of a controlled record. A change after approval is a new row with the next revision."""

    KIND = "record"
    """What people call it, for messages and the audit trail."""
    CONTENT: tuple[str, ...] = (
        "number",
        "revision",
        "title",
        "edition",
        "units",
        "joint",
        "lines",
        "notes",
        "change_note",
    )
    """Fields that are the record's content; they cannot change once it has left the draft state."""
    objects: ClassVar[models.Manager[Self]]
    _is_unsigned: bool

    number = models.CharField(max_length=40)
    revision = models.PositiveIntegerField(default=0)
    title = models.CharField(max_length=120, blank=True)
    edition = models.CharField(max_length=60)
    units = models.CharField(max_length=2, choices=UnitSystem.choices, default=UnitSystem.US)
    state = models.CharField(max_length=12, choices=State.choices, default=State.DRAFT)
    joint = models.JSONField(default=dict, blank=True)
    """Entries of the joint-level variables as typed: key -> text or list of texts."""
    lines = models.JSONField(default=list, blank=True)
    """Entries of each process line, in order."""
    notes = models.TextField(blank=True)
    change_note = models.CharField(max_length=300, blank=True)
    author = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    author_name = models.CharField(max_length=160)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    approved_by_name = models.CharField(max_length=160, blank=True)
    approved_at = models.DateTimeField(null=True, blank=True)
    snapshot = models.JSONField(null=True, blank=True)
    """What was approved: entries, findings, edition and table fingerprint, frozen at approval."""
    snapshot_hash = models.CharField(max_length=64, blank=True)

    class Meta:
        abstract = True
        ordering = ["number", "-revision"]
        indexes = [models.Index(fields=["state", "edition"], name="%(class)s_by_state")]
        constraints = [
            models.UniqueConstraint(fields=["number", "revision"], name="%(class)s_revision_once"),
            models.UniqueConstraint(
                fields=["number"], condition=models.Q(state="approved"), name="%(class)s_one_approved"
            ),
            models.UniqueConstraint(
                fields=["number"],
                condition=models.Q(state__in=["draft", "in_review"]),
                name="%(class)s_one_being_written",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=State.values), name="%(class)s_state_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(units__in=UnitSystem.values), name="%(class)s_units_are_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} rev {self.revision}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Raises FrozenRecord when content would change in a revision that is no longer a draft."""
        if self.pk is not None:
            stored = type(self).objects.filter(pk=self.pk).first()
            if stored is not None and stored.state not in EDITABLE:
                changed = [name for name in self.CONTENT if getattr(stored, name) != getattr(self, name)]
                if changed:
                    raise FrozenRecord(
                        f"{self} is {stored.get_state_display().lower()}; start a new revision to change"
                        f" {', '.join(changed)}."
                    )
        super().save(*args, **kwargs)

    def get_absolute_url(self) -> str:
        """The revision's page; each kind has its own."""
        raise NotImplementedError

    @property
    def state_words(self) -> str:
        """The state in words; of an approved revision also that signatures are missing on its document."""
        if not hasattr(self, "_is_unsigned"):
            mark_unsigned([self])
        words = str(self.get_state_display())
        return f"{words}, unsigned" if self._is_unsigned else words

    @property
    def is_editable(self) -> bool:
        return self.state in EDITABLE

    @property
    def reference(self) -> str:
        """How other records and documents name this revision."""
        return f"{self.number} rev {self.revision}"

    def revisions(self) -> models.QuerySet[Self]:
        """All revisions of this number, newest first."""
        return type(self).objects.filter(number=self.number).order_by("-revision")

    def content(self) -> dict[str, Any]:
        """The record's content as plain JSON values."""
        return {name: _plain(getattr(self, name)) for name in self.CONTENT}

    def put_under(self, edition: str) -> None:
        """Judge it under another edition from now on; nothing is saved."""
        self.edition = edition


def _plain(value: Any) -> Any:
    if isinstance(value, models.Model):
        return str(value)
    if value is None or isinstance(value, (str, int, bool, list, dict)):
        return value
    return str(value)


def spelled(content: dict[str, Any]) -> bytes:
    """The content in one fixed spelling, so that equal content has equal bytes."""
    return json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def content_hash(content: dict[str, Any]) -> str:
    """SHA-256 over the content in its fixed spelling, so that equal content has an equal hash."""
    return hashlib.sha256(spelled(content)).hexdigest()
