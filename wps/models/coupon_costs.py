"""What coupons cost this shop: the rates a coupon plan reckons with."""

from __future__ import annotations

from typing import Self

from django.db import models

from qualification.rules.arithmetic.job_figures import Money
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.rates_written import read_rate


class CouponCosts(models.Model):
    """The shop's own rates; those left out stand as the program begins with them. There is one set."""

    ONLY_ID = 1
    KIND = "coupon costs"

    rates = models.JSONField(default=dict, blank=True)
    """What was typed, by the name of the rate."""
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

    def written(self, name: str) -> str:
        """One rate as it was typed, or as the program begins with it."""
        return str(self.rates.get(name) or getattr(Rates(), name))

    def as_money(self) -> Money:
        """The rates that a length of weld costs by."""
        rates = self.as_rates()
        return Money(rates.hour, rates.kg_per_hour, rates.filler_kg)

    def as_rates(self) -> Rates:
        typed = {name: self.rates[name] for name in Rates.names() if name in self.rates}
        return Rates(**{name: read_rate(name, text) for name, text in typed.items()})
