"""What coupons cost this shop: the rates a coupon plan reckons with."""

from __future__ import annotations

from decimal import Decimal
from typing import Self

from django.db import models

from qualification.rules.arithmetic.job_figures import Money
from qualification.rules.plan.costs import Rates


class CouponCosts(models.Model):
    """The shop's own rates; those left out stand as the program begins with them. There is one set."""

    ONLY_ID = 1
    KIND = "coupon costs"

    rates = models.JSONField(default=dict, blank=True)
    """Amount as text by the name of the rate."""
    changed_by_name = models.CharField(max_length=160, blank=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="there_is_one_set_of_costs")]

    def __str__(self) -> str:
        return "Coupon costs"

    @classmethod
    def current(cls) -> Self:
        """The shop's rates; unsaved and empty before any were entered."""
        return cls.objects.filter(pk=cls.ONLY_ID).first() or cls(pk=cls.ONLY_ID)

    def as_money(self) -> Money:
        """The rates that a length of weld costs by."""
        rates = self.as_rates()
        return Money(rates.hour, rates.kg_per_hour, rates.filler_kg)

    def as_rates(self) -> Rates:
        return Rates(**{name: Decimal(self.rates[name]) for name in Rates.names() if name in self.rates})
