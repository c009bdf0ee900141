"""What keeps a welder's qualification going beyond its coupon: confirmations, prolongations, and the way they
follow."""

from __future__ import annotations

from typing import Any

from django.db import models

from qualification.models.coupon_records import WelderTest
from qualification.rules.welders.validity_tables import METHODS, SIGNATORIES


class ActKind(models.TextChoices):
    """What was done."""

    WAY = "way", "Revalidation method"
    CONFIRMATION = "confirmation", "Confirmation"
    PROLONGATION = "prolongation", "Prolongation"
    CONDITIONS = "conditions", "Conditions of the way"


class ValidityAct(models.Model):
    """One act, by somebody named, on a welder's test. Acts are struck, never edited: the approved record
    stays as it is under its signatures, and a later revision of it keeps the acts of its number."""

    test = models.ForeignKey(WelderTest, models.PROTECT, related_name="validity_acts")
    """The revision it was done on."""
    edition = models.CharField(max_length=60)
    """The edition it was done under; it says nothing of the range under another one."""
    kind = models.CharField(max_length=12, choices=ActKind.choices)
    day = models.DateField()
    by_name = models.CharField(max_length=120)
    by_role = models.CharField(max_length=12, choices=list(SIGNATORIES.items()), blank=True)
    processes = models.JSONField(default=list)
    """Processes of the test it speaks of; of a way and its conditions, all."""
    evidence = models.CharField(max_length=300, blank=True)
    way = models.CharField(max_length=20, blank=True)
    """Key of the way chosen, in the edition's table."""
    welds = models.JSONField(default=list)
    """Welds a prolongation rests on: `welded_on`, `method`, `report`, `accepted` (`yes` or `no`)."""
    met = models.BooleanField(null=True)
    until = models.DateField(null=True)
    """Last day to which the evidence of the conditions goes, where it names one."""
    recorded_by_name = models.CharField(max_length=160)
    recorded_at = models.DateTimeField(auto_now_add=True)
    struck_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["day", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=ActKind.values), name="validity_act_kind_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(by_role__in=["", *SIGNATORIES]), name="validity_act_role_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.test.number} on {self.day}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Raises TypeError for an act that is stored already, unless it is being struck."""
        if self.pk is not None and set(kwargs.get("update_fields") or ["all"]) != {"struck_because"}:
            raise TypeError("An act is struck, never changed.")
        super().save(*args, **kwargs)

    @property
    def role_words(self) -> str:
        return SIGNATORIES.get(self.by_role, "")

    @property
    def weld_words(self) -> list[str]:
        """`2031-05-02, radiography, report HT-3301`, each weld of a prolongation."""
        return [
            f"Weld of {each['welded_on']}: {METHODS[each['method']].lower()}, report {each['report']}, "
            f"{'accepted' if each['accepted'] == 'yes' else 'not accepted'}"
            for each in self.welds
        ]
