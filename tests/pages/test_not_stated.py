"""What a code wants on a record and the record does not state: on its page, beside its form, and at
approval."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Shop, State, WelderTest
from qualification.records import workflow
from qualification.records.approving import frozen_content
from tests.pages.posts import edit_post
from tests.shop_records import procedure_test, spec, welder, welder_test

LINK = '<a href="{}#{}">{}</a>'


def test_a_procedure_lists_what_it_lacks_with_the_way_to_each_field(
    author_client: Client, author: User, shop: Shop
) -> None:
    made = spec(
        author, procedure_test(author), joint={"root_opening": ""}, line={"cup_size": "", "peening": "n/a"}
    )
    answer = author_client.get(made.get_absolute_url())
    edit = reverse("procedure_edit", args=[made.pk])
    assertContains(answer, LINK.format(edit, "id_joint-root_opening", "Root opening"), html=True)
    assertContains(
        answer, LINK.format(edit, "id_line-0-cup_size", "Process 1: Cup or nozzle bore"), html=True
    )
    assertContains(answer, "Required by the code; required before approval")
    assertNotContains(answer, f'<a href="{edit}#id_line-0-peening')


def test_who_may_not_edit_sees_what_is_missing_without_links(
    reader_client: Client, author: User, shop: Shop
) -> None:
    made = spec(author, procedure_test(author), line={"cup_size": ""})
    answer = reader_client.get(made.get_absolute_url())
    assertContains(answer, "Process 1: Cup or nozzle bore")
    assertNotContains(answer, "id_line-0-cup_size")


def test_a_whole_record_says_so_and_counts_what_does_not_apply(
    reader_client: Client, author: User, shop: Shop
) -> None:
    made = spec(
        author, procedure_test(author), customer="Port Ellery", line={"a_number": "n/a", "peening": "n/a"}
    )
    assertContains(reader_client.get(made.get_absolute_url()), "1 of them stated as not applicable")


def test_the_check_beside_the_form_follows_what_is_typed(
    author_client: Client, author: User, shop: Shop
) -> None:
    made = procedure_test(author, state=State.DRAFT)
    url = reverse("procedure_test_check", args=[made.pk])
    assertNotContains(author_client.post(url, edit_post(made)), "Lowest preheat</a>")
    assertContains(
        author_client.post(url, edit_post(made, {"preheat_min": ""})),
        '<a href="#id_joint-preheat_min">Lowest preheat</a>',
        html=True,
    )


def test_the_check_of_a_procedure_knows_its_head(author_client: Client, author: User, shop: Shop) -> None:
    made = spec(author, procedure_test(author))
    data: dict[str, Any] = {"number": made.number, "edition": made.edition, "units": "us", "line_count": "0"}
    url = reverse("procedure_check", args=[made.pk])
    assertContains(author_client.post(url, data), '<a href="#id_customer">Customer or project</a>', html=True)
    assertNotContains(author_client.post(url, {**data, "customer": "Port Ellery"}), "#id_customer")


def _refused(record: Any, author: User, approver: User) -> str:
    workflow.apply("submit", record, author)
    with pytest.raises(workflow.StepRefused) as refused:
        workflow.apply("approve", record, approver)
    return str(refused.value)


def test_what_the_code_requires_stands_in_the_way_of_approval_in_words(author: User, approver: User) -> None:
    made = spec(author, procedure_test(author), line={"cup_size": ""})
    said = _refused(made, author, approver)
    assert said.startswith("Process 1, cup or nozzle bore: not stated.")
    assert "(QW-410.3 (ASME BPVC Section IX, 2023))" in said


def test_what_is_only_a_habit_does_not(author: User, approver: User) -> None:
    made = spec(author, procedure_test(author), line={"travel_speed": "", "filler_specification": ""})
    workflow.apply("submit", made, author)
    workflow.apply("approve", made, approver)
    assert made.state == State.APPROVED


def test_what_coverage_says_already_is_not_said_twice(author: User, approver: User) -> None:
    said = _refused(spec(author, procedure_test(author), line={"transfer_mode": ""}), author, approver)
    assert said.lower().count("transfer mode") == 2  # once as a label, once in what would settle it
    assert "not stated. A WPS describes" not in said


def test_a_shop_without_a_name_signs_nothing(author: User, approver: User) -> None:
    Shop.objects.all().delete()
    assert "Organization: not stated." in _refused(
        procedure_test(author, state=State.DRAFT), author, approver
    )


def test_a_certificate_to_iso_wants_to_know_the_person_and_one_to_section_nine_does_not(
    author_client: Client, author: User, shop: Shop
) -> None:
    who = welder()
    who.born_on = None
    who.save()
    made = welder_test(author, who, state=State.DRAFT, edition="iso_9606_2_2004")
    edit = reverse("welder_edit", args=[who.pk])
    assertContains(
        author_client.get(made.get_absolute_url()), f'<a href="{edit}">Date and place of birth</a>', html=True
    )
    data = {
        "name": who.name,
        "stamp": who.stamp,
        "born_on": "1988-05-14",
        "born_at": "Port Ellery",
        "identified_by": "Identity card",
    }
    author_client.post(edit, data)
    assertNotContains(author_client.get(made.get_absolute_url()), "Date and place of birth")
    made.refresh_from_db()
    assert frozen_content(made)["welder_birth"] == "1988-05-14, Port Ellery"
    other = WelderTest.objects.get(pk=welder_test(author, who, "WT-022").pk)
    assert "welder_birth" not in frozen_content(other)
