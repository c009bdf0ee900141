"""The shop: the firm that signs every document. There is exactly one."""

from typing import Self

from django.db import models

from qualification.rules.core.quantities import SI, US


class UnitOrder(models.TextChoices):
    """Which unit system stands first where both are shown."""

    INCH_FIRST = "inch_first", "Inch first, metric beside it"
    METRIC_FIRST = "metric_first", "Metric first, inch beside it"


class SecondStep(models.TextChoices):
    """Who has to sign in with a code beside the password."""

    NOBODY = "nobody", "Nobody: whoever wants to may"
    APPROVERS = "approvers", "Approvers and shop administrators"
    EVERYBODY = "everybody", "Everybody"


IDLE_CHOICES = (15, 30, 60, 120, 240, 480)
"""Minutes without doing anything after which a sign-in may be set to end."""


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
    paper_language = models.CharField(max_length=5, default="en")
    """The language papers are issued in where none is named."""
    code_edition = models.CharField(max_length=60, blank=True)
    welder_edition = models.CharField(max_length=60, blank=True)
    """Edition that new tests of welders start under; empty: the one that goes with `code_edition`."""
    editions_used = models.JSONField(default=list, blank=True)
    """Keys of the editions the shop works to; empty: all there are tables for."""
    server_address = models.URLField(blank=True)
    """Where others reach this program, as codes on paper name it; see `server_address.py`."""
    allow_self_approval = models.BooleanField(default=False)
    process_defaults = models.JSONField(default=dict, blank=True)
    """What the shop states by default of a process, as typed: by unit system and process, entries by
    variable; see `forms/usual_entries.py`."""
    unsigned_in_packets = models.BooleanField(default=False)
    """Whether an approved document may go into a packet before its signatures are on it, with a reason."""
    photo_place = models.BooleanField(default=True)
    """Whether a welder's certificate leaves a place for a photo."""
    idle_minutes = models.PositiveSmallIntegerField(default=120)
    """After so long without doing anything a sign-in ends."""
    second_step = models.CharField(max_length=12, choices=SecondStep.choices, default=SecondStep.NOBODY)
    personal_years = models.PositiveSmallIntegerField(null=True, blank=True, default=10)
    """Years after the last work of a former welder when the shop is reminded of what is private; empty:
    never."""
    timestamp_url = models.URLField(blank=True)
    """RFC 3161 server that dates signatures; empty: signatures carry the shop's own clock."""

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="there_is_one_shop"),
            models.CheckConstraint(
                condition=models.Q(unit_order__in=UnitOrder.values), name="shop_unit_order_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(second_step__in=SecondStep.values), name="shop_second_step_is_known"
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
