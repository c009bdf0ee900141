"""Test records: procedure tests and welder tests, each a coupon as welded and what the tests said of it."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.urls import reverse

from qualification.models.record import Record
from qualification.models.welder import Welder


class CouponRecord(Record):
    """What both kinds of test record hold beside the shared fields."""

    CONTENT = (
        *Record.CONTENT,
        "welded_on",
        "spec_followed",
        "laboratory",
        "report_number",
        "witness",
        "results",
        "tests_wanted",
        "moved_from",
    )

    welder: Any
    """Who welded it: a field of each kind, since only a test of a welder cannot be without."""
    welded_on = models.DateField(null=True, blank=True)
    """The day on which welding of the coupon was completed."""
    spec_followed = models.CharField(max_length=60, blank=True)
    """Number and revision of the WPS followed, as written on the record: text, so that no link runs
    upwards."""
    laboratory = models.CharField(max_length=120, blank=True)
    report_number = models.CharField(max_length=60, blank=True)
    witness = models.CharField(max_length=120, blank=True)
    results = models.JSONField(default=list, blank=True)
    """Test results as typed, one mapping per specimen or examination."""
    tests_wanted = models.JSONField(default=dict, blank=True)
    """Which of the code's alternatives was chosen, where it leaves a choice (for example four side bends)."""

    moved_from = models.JSONField(default=list, blank=True)
    """Keys of the editions it was under before, when it had results already: what those ask stays on it and
    is not taken for a slip."""

    class Meta(Record.Meta):
        abstract = True

    def put_under(self, edition: str) -> None:
        """As `Record.put_under`, keeping where its results come from."""
        came_from = [*self.moved_from, self.edition] if self.results else self.moved_from
        self.moved_from = [key for key in dict.fromkeys(came_from) if key != edition]
        self.edition = edition


class ProcedureTest(CouponRecord):
    """A procedure qualification test, the record behind a WPS (PQR)."""

    KIND = "procedure test"
    CONTENT = (*CouponRecord.CONTENT, "welder", "passes")

    passes = models.JSONField(default=list, blank=True)
    """What was read while each pass was welded, as typed, one mapping per pass."""

    welder = models.ForeignKey(Welder, models.PROTECT, null=True, blank=True, related_name="procedure_tests")

    def get_absolute_url(self) -> str:
        return reverse("procedure_test", args=[self.pk])


class WelderTest(CouponRecord):
    """A welder performance qualification test (WPQR)."""

    KIND = "welder test"
    CONTENT = (*CouponRecord.CONTENT, "welder")

    welder = models.ForeignKey(Welder, models.PROTECT, related_name="tests")
    questioned_on = models.DateField(null=True, blank=True)
    """The day on which there was specific reason to question the ability this test shows."""
    questioned_because = models.CharField(max_length=200, blank=True)

    def get_absolute_url(self) -> str:
        return reverse("welder_test", args=[self.pk])
