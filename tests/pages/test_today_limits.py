"""What the Today page says of limits entered since a procedure was approved or handed in, and of checks that
went stale."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.house_limits import add_rule, end_rule
from qualification.models import HouseRule, Shop, State, TableCheck
from qualification.records import workflow
from tests.pages.test_table_checks import EDITION, post
from tests.shop_records import procedure_test, spec
from wps.models import Spec
from wps.today.limits import checks_without_effect, not_approvable, outside_limits

pytestmark = pytest.mark.django_db
CUSTOMER = "Port Ellery"
TITLE = "Approved, but outside a limit entered since"


def limit(author: User, variable: str = "interpass_max", entry: Any = "140 °F", **changes: Any) -> HouseRule:
    rule = HouseRule(
        **{
            "owner_kind": "customer",
            "owner_name": CUSTOMER,
            "variable": variable,
            "entry": entry,
            "at_most": variable == "interpass_max",
            "reason": "Purchase order 7, note 3.",
            **changes,
        }
    )
    add_rule(rule, author)
    return rule


def named(section: Any) -> list[str]:
    return [matter.what for matter in section.matters] if section is not None else []


@pytest.mark.parametrize(
    ("entry", "owner", "names"),
    [
        # the procedure says 150 °F at most; on, inside and outside the limit. Worked by us.
        ("150 °F", CUSTOMER, []),
        ("151 °F", CUSTOMER, []),
        ("149 °F", CUSTOMER, ["Procedure W-101 rev 0"]),
        ("149 °F", CUSTOMER.upper(), ["Procedure W-101 rev 0"]),
        ("149 °F", "Skerry Moorings", []),
    ],
)
def test_a_limit_entered_since_names_the_approved_procedures_outside_it(
    entry: str, owner: str, names: list[str], author: User, reader: User, outsider: User
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED, customer=CUSTOMER)
    assert named(outside_limits(reader)) == []
    limit(author, entry=entry, owner_name=owner)
    assert named(outside_limits(reader)) == names
    assert outside_limits(outsider) is None


@time_machine.travel("2031-04-01 10:00", tick=False)
def test_it_says_what_is_outside_whose_limit_and_since_when_and_leads_there(
    author: User, reader: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED, customer=CUSTOMER)
    rule = limit(author)
    (matter,) = outside_limits(reader).matters
    assert matter.url == made.get_absolute_url()
    assert (
        matter.detail
        == "Highest interpass temperature: 150 °F (66 °C). Limit of customer Port Ellery, since 2031-04-01,"
        " allows up to 140 °F (up to 60 °C)."
    )
    end_rule(rule, "The order is delivered.", author)
    assert outside_limits(reader).matters == ()


def test_a_limit_that_was_in_force_at_approval_and_one_the_procedure_does_not_state(
    author: User, reader: User
) -> None:
    limit(author, entry="150 °F")
    spec(author, procedure_test(author), state=State.APPROVED, customer=CUSTOMER)
    spec(
        author,
        procedure_test(author, "PT-015"),
        number="W-102",
        state=State.APPROVED,
        customer=CUSTOMER,
        joint={"interpass_max": ""},
    )
    assert named(outside_limits(reader)) == [], "both were approved under it"
    limit(author, entry="145 °F")
    assert named(outside_limits(reader)) == ["Procedure W-101 rev 0", "Procedure W-102 rev 0"]
    assert "Enter highest interpass temperature to settle this." in outside_limits(reader).matters[1].detail


def test_the_page_of_an_approved_procedure_and_the_today_page_say_it(
    reader_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED, customer=CUSTOMER)
    assertContains(reader_client.get("/"), "No limit entered since stands against an approved procedure.")
    assertNotContains(reader_client.get(made.get_absolute_url()), TITLE)
    limit(author)
    assertContains(reader_client.get("/"), f'href="{made.get_absolute_url()}"')
    page = reader_client.get(made.get_absolute_url())
    assertContains(page, TITLE)
    assertContains(page, "Purchase order 7, note 3.")
    made.refresh_from_db()
    assert made.snapshot["house_limits"] == [], "the paper keeps what was approved"


def test_a_procedure_in_review_is_judged_again_and_says_why_it_cannot_be_approved(
    author_client: Client, approver_client: Client, author: User, approver: User, reader: User, shop: Shop
) -> None:
    made = spec(author, procedure_test(author), customer=CUSTOMER)
    with time_machine.travel(timezone.now() - timedelta(days=1)):
        workflow.apply("submit", made, author)
    assert not_approvable(approver) is None
    limit(author)
    for person in (approver, author):
        assert named(not_approvable(person)) == ["Procedure W-101 rev 0"]
    assert not_approvable(reader) is None
    for client in (author_client, approver_client):
        page = client.get(made.get_absolute_url())
        assertContains(page, "Not approvable since a limit was entered")
        assertContains(page, "As it stands, approval will be refused")
        assertContains(page, "Limit of customer Port Ellery: up to 140 °F (up to 60 °C).")
    answer = approver_client.post(reverse("procedure_step", args=[made.pk]), {"action": "approve"})
    assertContains(answer, "Limit of customer Port Ellery: up to 140 °F (up to 60 °C).", status_code=409)
    assert Spec.objects.get().state == State.IN_REVIEW
    workflow.apply("return", made, approver, "Outside the customer's limit.")
    assert not_approvable(approver) is None


def test_a_procedure_without_obstacles_in_review_is_not_warned_of(
    approver_client: Client, author: User, shop: Shop
) -> None:
    made = spec(author, procedure_test(author), customer=CUSTOMER)
    workflow.apply("submit", made, author)
    page = approver_client.get(made.get_absolute_url())
    assertNotContains(page, "approval will be refused")
    assertNotContains(page, "Not approvable")


def test_a_check_whose_row_has_changed_is_named_for_those_who_can_make_it_again(
    approver_client: Client, approver: User, author: User
) -> None:
    post(approver_client)
    assert named(checks_without_effect(approver)) == []
    assertContains(approver_client.get("/"), "Every check of the code tables holds.")
    TableCheck.objects.update(row_hash="0" * 64, recorded_at=timezone.now())
    (matter,) = checks_without_effect(approver).matters
    made = TableCheck.objects.get()
    assert matter.what == f"{made.clause} (ASME BPVC Section IX, 2023)"
    assert matter.url == reverse("table_row", args=[EDITION, "procedure", made.place])
    assert (
        "confirmed by Tobias Quell on 2026-01-15 against 2023 edition, office copy 2; the row has changed"
        " since" in matter.detail
    )
    assert checks_without_effect(author) is None
    assertContains(approver_client.get("/"), matter.url)
    TableCheck.objects.update(path=["row", 9999], recorded_at=timezone.now())
    assert checks_without_effect(approver).matters[0].url == f"{reverse('code_tables')}?edition={EDITION}"
    TableCheck.objects.update(edition="no_such_edition")
    assert named(checks_without_effect(approver)) == [], "nothing is judged by tables that are not here"
