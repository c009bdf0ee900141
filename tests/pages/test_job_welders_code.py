"""A job whose welds are judged under one code and whose welders are qualified under another, as ISO has
it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.editions import editions_for_welders
from tests.shop_records import EDITION, job, part, procedure_test, spec, welder, welder_test
from wps.fitting import Shelf
from wps.models import Job

WELDS, WELDERS = "iso_15614_2_2005", "iso_9606_2_2004"
FILLED = {"number": "J-1", "title": "Handrail", "customer": "", "edition": WELDS, "notes": "", "open": "on"}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def test_editions_without_rules_for_welders_are_not_offered_for_them() -> None:
    offered = dict(editions_for_welders())
    assert {WELDERS, EDITION, "aws_d1_2_2014"} <= set(offered)
    assert not {WELDS, "iso_15614_1_2017_level2"} & set(offered)


def test_a_code_without_rules_for_welders_asks_for_theirs(author_client: Client) -> None:
    answer = author_client.post(reverse("job_new"), FILLED)
    assertContains(
        answer, "has no rules for welders. Choose the code of their tests.", count=2, status_code=422
    )
    assertContains(answer, "Handrail", status_code=422)
    author_client.post(reverse("job_new"), {**FILLED, "welder_edition": WELDERS})
    assert Job.objects.get().edition_for_welders == WELDERS


def test_one_code_for_both_needs_no_second(author_client: Client) -> None:
    author_client.post(reverse("job_new"), {**FILLED, "edition": EDITION})
    assert Job.objects.get().edition_for_welders == EDITION


def test_welders_are_read_under_their_own_code_and_the_pages_say_which(
    reader_client: Client, author: User
) -> None:
    """The coupon counts under Section IX; its record lacks what ISO 9606-2 asks of a welder."""
    tested = procedure_test(author)
    spec(author, tested, state="approved")
    welder_test(author, welder())
    alone = part(job("J-1"), spec_number="W-101")
    other = part(job("J-2", welder_edition=WELDERS), spec_number="W-101")
    assert Shelf.for_job(alone.job).for_welders.id == EDITION
    assert Shelf.for_job(other.job).for_welders.id == WELDERS
    assert Shelf.for_job(other.job).edition.id == EDITION
    same, apart = (reader_client.get(each.get_absolute_url()) for each in (alone, other))
    assertContains(same, "May weld")
    assertNotContains(same, "welders under")
    assertContains(apart, "welders under ISO 9606-2, 2004")
    assertNotContains(apart, "> May weld")
    assertContains(apart, "Covered by PT-014.")
    assertContains(reader_client.get(other.job.get_absolute_url()), "ISO 9606-2, 2004")
