"""The shop: the firm that signs every document. There is exactly one."""

from typing import Self

from django.db import models

from qualification.rules.quantities import SI, US


class UnitOrder(models.TextChoices):
    """Which unit system stands first where both are shown."""

    INCH_FIRST = "inch_first", "Inch first, metric beside it"
    METRIC_FIRST = "metric_first", "Metric first, inch beside it"


class Shop(models.Model):
    """The firm's letterhead and the few choices that hold for all its records."""

    ONLY_ID = 1

    name = models.CharField(max_length=120, default="Our shop")
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    logo = models.ImageField(upload_to="letterhead/", blank=True)
    responsible_person = models.CharField(max_length=120, blank=True)
    unit_order = models.CharField(max_length=20, choices=UnitOrder.choices, default=UnitOrder.INCH_FIRST)
    code_edition = models.CharField(max_length=60, blank=True)
    editions_used = models.JSONField(default=list, blank=True)
    """Keys of the editions the shop works to; empty: all there are tables for."""
    allow_self_approval = models.BooleanField(default=False)
    timestamp_url = models.URLField(blank=True)
    """RFC 3161 server that dates signatures; empty: signatures carry the shop's own clock."""

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="there_is_one_shop"),
            models.CheckConstraint(
                condition=models.Q(unit_order__in=UnitOrder.values), name="shop_unit_order_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Self:
        """Return the one shop; before it has been described, an unsaved one with the defaults."""
        return cls.objects.filter(pk=cls.ONLY_ID).first() or cls(pk=cls.ONLY_ID)

    @property
    def address_lines(self) -> list[str]:
        """The address as it is printed: one entry per line, empty lines left out."""
        return [line.strip() for line in self.address.splitlines() if line.strip()]

    @property
    def inch_first(self) -> bool:
        """True when inch units stand first."""
        return self.unit_order == UnitOrder.INCH_FIRST

    @property
    def units_first(self) -> str:
        """The unit system that stands first where both are shown; a record may be kept in the other one."""
        return US if self.inch_first else SI
