"""Who may open which page of tests, welders and code tables."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertRedirects

from qualification.models import ProcessUse, State
from tests.shop_records import procedure_test, welder, welder_test

READ, WRITE, APPROVE = "reader", "author", "approver"
PAGES = [
    ("procedure_test_list", "", READ),
    ("procedure_test_add", "", WRITE),
    ("procedure_test", "test", READ),
    ("procedure_test_edit", "test", WRITE),
    ("procedure_test_results", "test", WRITE),
    ("procedure_test_passes", "test", WRITE),
    ("welder_list", "", READ),
    ("welder_add", "", WRITE),
    ("welder", "welder", READ),
    ("welder_edit", "welder", WRITE),
    ("use_add", "welder", WRITE),
    ("use_strike", "use", WRITE),
    ("month", "", WRITE),
    ("welder_test_list", "", READ),
    ("welder_test_add", "", WRITE),
    ("welder_test", "welder_test", READ),
    ("welder_test_edit", "welder_test", WRITE),
    ("welder_test_results", "welder_test", WRITE),
    ("welder_test_question", "approved", APPROVE),
    ("code_tables", "", READ),
]
POSTS = [
    ("procedure_test_check", "test", WRITE),
    ("procedure_test_step", "test", READ),
    ("procedure_test_revise", "test", WRITE),
    ("welder_test_check", "welder_test", WRITE),
    ("welder_test_step", "welder_test", READ),
    ("welder_test_revise", "welder_test", WRITE),
    ("welder_active", "welder", WRITE),
]


@pytest.fixture
def things(author: User) -> dict[str, int]:
    who = welder()
    use = ProcessUse.objects.create(
        welder=who,
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2026, 5, 2),
        evidence="Job J-3107",
        recorded_by_name="Maren Oosting",
    )
    return {
        "test": procedure_test(author, state=State.DRAFT).pk,
        "welder": who.pk,
        "use": use.pk,
        "welder_test": welder_test(author, who, state=State.DRAFT).pk,
        "approved": welder_test(author, who, "WT-030").pk,
    }


def address(name: str, what: str, things: dict[str, int]) -> str:
    return reverse(name, args=[things[what]] if what else [])


@pytest.mark.parametrize(("name", "what", "role"), PAGES)
def test_a_page_opens_for_its_role_and_names_the_role_to_others(
    name: str,
    what: str,
    role: str,
    things: dict[str, int],
    author_client: Client,
    approver_client: Client,
    reader_client: Client,
    client: Client,
) -> None:
    url = address(name, what, things)
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")
    for held, each in (("author", author_client), ("approver", approver_client), ("reader", reader_client)):
        answer = each.get(url)
        if role in (READ, held):
            assert answer.status_code == 200, f"{held} should see {name}"
        else:
            assertContains(answer, f"the role <strong>{role}</strong>", status_code=403)


@pytest.mark.parametrize(("name", "what", "role"), POSTS)
def test_an_act_is_taken_by_post_and_from_its_role_only(
    name: str,
    what: str,
    role: str,
    things: dict[str, int],
    author_client: Client,
    approver_client: Client,
    reader_client: Client,
) -> None:
    url = address(name, what, things)
    assert author_client.get(url).status_code == 405
    for each in (approver_client, reader_client):
        answer = each.post(url, {"action": "submit"})
        if role == READ:
            assertContains(answer, "“Submit for review” takes an author", status_code=409)
        else:
            assertContains(answer, f"the role <strong>{role}</strong>", status_code=403)


@pytest.mark.parametrize("name", ["procedure_test", "welder", "welder_test", "use_strike"])
def test_what_was_never_made_is_not_found(name: str, author_client: Client) -> None:
    assert author_client.get(reverse(name, args=[999])).status_code == 404


def test_the_navigation_leads_to_the_lists(reader_client: Client) -> None:
    page = reader_client.get(reverse("today"))
    for name in ("procedure_test_list", "welder_list", "code_tables"):
        assertContains(page, f'href="{reverse(name)}"')
