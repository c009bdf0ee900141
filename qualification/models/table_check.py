"""Rows of a code edition that the shop held against its own copy of the code, and limits it lays over the
code."""

from __future__ import annotations

from django.db import models

from qualification.models.record import UnitSystem
from qualification.rules.core.words import within_sentence
from qualification.rules.variables.definition import PROCESSES
from qualification.rules.variables.registry import variable


class TableCheck(models.Model):
    """One row confirmed or corrected. A check is taken back, never edited; the last one in force counts."""

    KIND = "table check"

    edition = models.CharField(max_length=60)
    file = models.CharField(max_length=60)
    path = models.JSONField()
    """Keys and list places that lead to the row inside the file."""
    clause = models.CharField(max_length=120)
    row_hash = models.CharField(max_length=64)
    changes = models.JSONField(default=list)
    """Corrections as [path inside the row, value as written in the tables]; empty when the row was
    confirmed."""
    person_name = models.CharField(max_length=160)
    checked_on = models.DateField()
    copy = models.CharField(max_length=120)
    """Which copy it was held against."""
    recorded_at = models.DateTimeField(auto_now_add=True)
    taken_back_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.edition} {self.clause}"

    @property
    def stem(self) -> str:
        """The table's name, as in an address."""
        return self.file.removesuffix(".toml")

    @property
    def place(self) -> str:
        """The row's place in its table, as in an address."""
        return "/".join(map(str, self.path))


class OwnerKind(models.TextChoices):
    """Whose limit it is."""

    SHOP = "shop", "The shop"
    CUSTOMER = "customer", "A customer"
    JOB = "job", "A job"


class HouseRule(models.Model):
    """An extra limit laid over the code for the shop, a customer or a job. Ended, never edited."""

    KIND = "house limit"

    owner_kind = models.CharField(max_length=10, choices=OwnerKind.choices)
    owner_name = models.CharField(max_length=120, blank=True)
    """Customer or job number; empty for the shop."""
    variable = models.CharField(max_length=60)
    entry = models.JSONField()
    """What is allowed, as typed: a text, or a list of choices."""
    at_most = models.BooleanField(default=False)
    """A single number is the upper end of what is allowed."""
    at_least = models.BooleanField(default=False)
    """A single number is the lower end of what is allowed."""
    units = models.CharField(max_length=2, choices=UnitSystem.choices, default=UnitSystem.US)
    processes = models.JSONField(default=list)
    reason = models.CharField(max_length=200)
    author_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    ended_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["owner_kind", "owner_name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(owner_kind__in=OwnerKind.values), name="house_rule_owner_is_known"
            ),
            models.CheckConstraint(
                condition=~models.Q(at_most=True, at_least=True), name="house_rule_one_end"
            ),
        ]

    def __str__(self) -> str:
        return f"Limit of {self.owner} on {within_sentence(variable(self.variable).label)}"

    @property
    def owner(self) -> str:
        """`the shop`, `customer Port Ellery`, `job 2107`."""
        return (
            "the shop"
            if self.owner_kind == OwnerKind.SHOP
            else f"{OwnerKind(self.owner_kind).value} {self.owner_name}"
        )

    @property
    def process_words(self) -> str:
        return ", ".join(p for p in PROCESSES if p in self.processes) or "all processes"
