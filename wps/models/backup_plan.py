"""How the running server backs the shop up by itself."""

from __future__ import annotations

from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

MOST_KEPT = 400
LONGEST_DAYS = 365


class BackupPlan(models.Model):
    """Where daily backups go, how many stay, and when Today warns. There is exactly one."""

    ONLY_ID = 1

    folder = models.CharField(max_length=300, blank=True)
    """A further folder to copy each one to, such as another disk; empty: none."""
    kept = models.PositiveSmallIntegerField(
        default=14, validators=[MinValueValidator(2), MaxValueValidator(MOST_KEPT)]
    )
    warn_days = models.PositiveSmallIntegerField(
        default=7, validators=[MinValueValidator(1), MaxValueValidator(LONGEST_DAYS)]
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="there_is_one_backup_plan"),
        ]

    def __str__(self) -> str:
        return "Backups"

    @classmethod
    def current(cls) -> Self:
        """The one plan; before anybody changed it, an unsaved one with the defaults."""
        return cls.objects.filter(pk=cls.ONLY_ID).first() or cls(pk=cls.ONLY_ID)
