"""The help: its subjects, its glossary, its search, and the ways that lead there."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.help.subjects import find, subject_of_group, subjects, terms
from qualification.models import State
from qualification.rules.variables.registry import registry
from tests.shop_records import procedure_test

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("group", sorted({variable.group for variable in registry().values()}))
def test_every_group_of_fields_has_its_page(group: str) -> None:
    assert subject_of_group(group)


def test_every_term_leads_to_a_subject_and_none_is_told_twice() -> None:
    keys = {each.key for each in subjects()}
    assert {term.subject for term in terms()} <= keys
    assert len({term.name for term in terms()}) == len(terms())
    assert len(keys) == len(subjects())


@pytest.mark.parametrize("key", [each.key for each in subjects()])
def test_a_subject_says_what_it_is_gives_an_example_and_explains_its_fields(
    key: str, reader_client: Client
) -> None:
    subject = next(each for each in subjects() if each.key == key)
    answer = reader_client.get(reverse("help_subject", args=[key]))
    assertContains(answer, "Example, invented:")
    for field in subject.fields:
        assertContains(answer, f'<div id="{field.key}">')
        assert field.says


@pytest.mark.parametrize(
    ("sought", "page", "term"),
    [
        ("interpass", "heat", "Interpass temperature"),
        ("contact tube", "technique", ""),
        ("FORMER", "results", "Former"),
    ],
)
def test_it_is_found_by_the_trades_words_and_by_the_names_of_fields(
    sought: str, page: str, term: str, reader_client: Client
) -> None:
    pages, found = find(sought)
    assert page in [each.key for each in pages]
    assert not term or term in [each.name for each in found]
    assertContains(reader_client.get(reverse("help"), {"q": sought}), reverse("help_subject", args=[page]))


def test_what_is_not_found_says_what_to_try(reader_client: Client) -> None:
    assertContains(reader_client.get(reverse("help"), {"q": "zeppelin"}), "Nothing holds “zeppelin”.")
    assert reader_client.get(reverse("help_subject", args=["zeppelin"])).status_code == 404


def test_the_forms_lead_to_the_help_of_each_group(author_client: Client, author: User) -> None:
    draft = procedure_test(author, state=State.DRAFT)
    page = author_client.get(reverse("procedure_test_edit", args=[draft.pk]))
    for key in ("joint", "base-metals", "filler", "electrical"):
        assertContains(page, reverse("help_subject", args=[key]))
    assertContains(page, f'<a href="{reverse("help")}">Help</a>')


@pytest.mark.parametrize(
    "name",
    [
        "procedure_list",
        "procedure_test_list",
        "welder_test_list",
        "welder_list",
        "job_list",
        "packet_list",
        "trial_list",
    ],
)
def test_an_empty_list_teaches_with_one_example(
    name: str, author_client: Client, reader_client: Client
) -> None:
    assertContains(author_client.get(reverse(name)), "Example, invented:")
    mine = reader_client.get(reverse(name))
    assertContains(mine, "Help on this")
    assertNotContains(mine, f'href="{reverse("first_paper")}"')


def test_the_glossary_lists_the_terms(reader_client: Client) -> None:
    assertContains(reader_client.get(reverse("glossary")), "Deposit thickness")


def test_a_field_without_help_of_its_own_says_its_units_or_its_choices() -> None:
    says = {each.key: each.says for subject in subjects() for each in subject.fields}
    assert says["travel_speed"] == "A number or a range. Units: in/min or mm/min."
    assert says["current_type"].startswith("One of: DC, electrode positive;")
