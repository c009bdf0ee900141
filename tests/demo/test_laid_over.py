"""What the demo shop lays over the code: one row it confirmed, and one limit of a customer."""

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.models import HouseRule, ProcedureTest, TableCheck
from qualification.records.audit_check import first_break
from tests.demo.conftest import DemoShop
from wps.demo.load import EDITION
from wps.models import Part
from wps.procedures.procedure_match import ApprovedProcedures, read_part


def test_the_demo_has_a_confirmed_row_and_a_customers_limit(demo_shop: DemoShop, client: Client) -> None:
    client.force_login(User.objects.get(username="ilse"))
    assert TableCheck.objects.get().changes == []
    rows = [
        row
        for test in ProcedureTest.objects.filter(edition=EDITION).exclude(snapshot=None)
        for row in test.snapshot["range"]
        if row["variable"] == "preheat_min"
    ]
    assert rows
    assert {row["provenance"] for row in rows} == {"shop"}
    rule = HouseRule.objects.get()
    assertContains(client.get(reverse("house_limits")), "It speaks of 0 procedures and 3 jobs on file.")
    weld = Part.objects.get(job__number="2107", mark="G-3")
    shelf = ApprovedProcedures.of(EDITION, weld.job.customer, weld.job.number)
    fit = shelf.fit(read_part(weld), shelf.chosen("AL-01"), weld.units)
    found = [f for f in fit.report.findings if f.citation.clause == f"Limit of {rule.owner}"]
    assert [f.verdict.key for f in found] == ["covered"]
    assert first_break() is None
