"""A weld that is only described: what is on file for it, and what would qualify it."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import State
from tests.shop_records import COUPON_LINE, SPEC_JOINT, procedure_test, spec, welder

pytestmark = pytest.mark.django_db


def described(**joint: str) -> dict[str, object]:
    """The weld of the demo procedures as one would type it, with some entries of the joint changed."""
    entries = {**SPEC_JOINT, "thickness_a": "1/4", "position": ["vertical"], **joint}
    line = {key: text for key, text in COUPON_LINE.items() if key != "layers"}
    return {
        "units": "us",
        "edition": "asme_ix_2023",
        "line_count": "1",
        **{f"joint-{key}": text for key, text in entries.items()},
        **{f"line-0-{key}": text for key, text in line.items()},
    }


def test_a_procedure_that_covers_it_is_named(author_client: Client, author: User) -> None:
    spec(author, procedure_test(author), number="AL-07", state=State.APPROVED)
    answer = author_client.post(reverse("who_may_weld_described"), described())
    assertContains(answer, "AL-07")
    assertNotContains(answer, "No procedure and no test on file covers it.")


def test_a_test_that_would_support_one_is_named_where_no_procedure_is_written(
    author_client: Client, author: User
) -> None:
    procedure_test(author)
    answer = author_client.post(reverse("who_may_weld_described"), described())
    assertContains(answer, "No procedure covers it. These tests would support one:")
    assertContains(answer, "PT-014")


def test_the_coupon_to_weld_is_named_where_nothing_is_on_file(author_client: Client) -> None:
    """QW-451.1: 1/4 in carries up to 1/2 in; 3/4 in takes 3/8 in, and no ready coupon is that thick."""
    answer = author_client.post(reverse("who_may_weld_described"), described(thickness_a="3/4"))
    assertContains(answer, "No procedure and no test on file covers it.")
    assertContains(answer, "3/8 in (9.53 mm) thick")
    assertNotContains(answer, "A ready coupon would support one")
    ready = author_client.post(reverse("who_may_weld_described"), described(thickness_a="1/2"))
    assertContains(ready, "A ready coupon would support one")


def test_who_has_no_welder_is_told_the_coupon_for_one_and_where_to_add_one(author_client: Client) -> None:
    answer = author_client.post(reverse("who_may_weld_described"), described())
    assertContains(answer, "Which coupon would qualify a welder?")
    assertContains(answer, reverse("welder_add"))
    welder()
    with_one = author_client.post(reverse("who_may_weld_described"), described())
    assertNotContains(with_one, "Which coupon would qualify a welder?")


def test_the_advice_names_what_it_costs_what_it_buys_and_what_else_would_do(author_client: Client) -> None:
    answer = author_client.post(reverse("who_may_weld_described"), described(thickness_a="3/4"))
    said = " ".join(answer.content.decode().split())
    assert "Cost " in said
    assert "Would qualify:" in said
    assert "<li>Or " in said.replace("> Or", ">Or")


def test_a_blank_that_keeps_a_coupon_from_being_named_is_named(author_client: Client) -> None:
    """6061 from 1/8 to 3/4 in: without a word on toughness only coupons with impact tests would do (ASME IX
    QW-403.6 limits thickness where toughness is required)."""
    open_one = described(thickness_a="1/8-3/4", toughness_required="")
    answer = author_client.post(reverse("who_may_weld_described"), open_one)
    assertContains(answer, "State toughness required first; then")


def test_before_a_process_is_added_nothing_is_said_of_procedures(author_client: Client) -> None:
    assertNotContains(author_client.get(reverse("who_may_weld_described")), "No procedure and no test")
