"""What every editor of a record with entries does alike: procedure, test, weld and detail of a job."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from lxml import html
from pytest_django.asserts import assertContains

from qualification.models import AuditEntry, State
from tests.shop_records import job, part, procedure_test, spec
from wps.models import Detail

Made = tuple[Any, str]
"""What is stored, and the address of its editor."""


def a_procedure(author: User) -> Made:
    made = spec(author, procedure_test(author))
    return made, reverse("procedure_edit", args=[made.pk])


def a_test(author: User) -> Made:
    made = procedure_test(author, state=State.DRAFT, welded_on=timezone.localdate() - timedelta(days=9))
    return made, reverse("procedure_test_edit", args=[made.pk])


def a_weld(author: User) -> Made:
    made = part(job())
    return made, reverse("part_edit", args=[made.job_id, made.pk])


def a_detail(author: User) -> Made:
    weld = part(job())
    made = Detail.objects.create(
        job=weld.job, number="D-01", title="Deck", units=weld.units, joint=weld.joint, lines=weld.lines
    )
    return made, reverse("detail", args=[made.job_id, made.pk])


EVERY = pytest.mark.parametrize(
    ("make", "what"),
    [
        (a_procedure, "this draft"),
        (a_test, "this draft"),
        (a_weld, "this weld"),
        (a_detail, "this detail"),
    ],
    ids=lambda each: getattr(each, "__name__", ""),
)


def sent(answer: Any, **changes: str) -> dict[str, Any]:
    """What the page's form sends, read from the page as a browser would, with some entries changed."""
    form = next(each for each in html.fromstring(answer.content).forms if "version" in each.fields)
    data: dict[str, Any] = {}
    for name, value in form.form_values():
        data.setdefault(name, []).append(value)
    return {**data, **changes}


@EVERY
def test_who_saves_later_sees_both_and_may_replace(
    make: Callable[[User], Made], what: str, author_client: Client, author: User
) -> None:
    made, address = make(author)
    opened = author_client.get(address)
    first = {"title": "Typed first", "joint-thickness_a": "5/16", "do": "save"}
    second = {"title": "Typed second", "joint-thickness_a": "3/8", "do": "save"}
    assert author_client.post(address, sent(opened, **first)).status_code == 302

    refused = author_client.post(address, sent(opened, **second))
    assertContains(refused, f"Maren Oosting saved {what} at", status_code=409)
    assertContains(refused, ">Typed second</td>", status_code=409)
    assertContains(refused, "5/16 in (7.94 mm)</td>", status_code=409)
    assertContains(refused, 'value="3/8"', status_code=409)
    made.refresh_from_db()
    assert (made.title, made.joint["thickness_a"]) == ("Typed first", "5/16")

    assert author_client.post(address, sent(refused)).status_code == 302
    made.refresh_from_db()
    assert (made.title, made.joint["thickness_a"]) == ("Typed second", "3/8")


@EVERY
def test_a_save_says_how_many_entries_need_a_look(
    make: Callable[[User], Made], what: str, author_client: Client, author: User
) -> None:
    _, address = make(author)
    typed = sent(author_client.get(address), **{"joint-thickness_a": "thick", "do": "save"})
    answer = author_client.post(address, typed, follow=True)
    said = [str(message) for message in answer.context["messages"]]
    assert len(said) == 2
    assert said[0].endswith(" is saved.")
    assert said[1] == "One entry needs a look."


def test_a_save_is_told_in_french_too(author_client: Client, author: User) -> None:
    """A sentence that begins with a number is not found behind another one: each is told by itself."""
    _, address = a_procedure(author)
    typed = {"joint-thickness_a": "thick", "line-0-amps": "many", "do": "save"}
    data = sent(author_client.get(address), **typed)
    author_client.cookies["language"] = "fr"
    answer = author_client.post(address, data, follow=True)
    assertContains(answer, "2 données sont à revoir.")
    assertContains(answer, "W-101 rev 0 est enregistré.")


@EVERY
def test_a_button_that_adds_a_process_keeps_the_head_and_judges_none_of_it(
    make: Callable[[User], Made], what: str, author_client: Client, author: User
) -> None:
    made, address = make(author)
    typed = sent(author_client.get(address), title="x" * 200, units="si", lines="add:GTAW")
    answer = author_client.post(address, typed)
    assert answer.status_code == 200
    assert (answer.context["head"].errors, answer.context["head"]["title"].value()) == ({}, "x" * 200)
    assert answer.context["forms"].system == "si"
    assert [line.process for line in answer.context["forms"].lines] == ["GMAW", "GTAW"]
    made.refresh_from_db()
    assert (len(made.lines), made.units) == (1, "us")


@EVERY
def test_a_title_that_is_only_typed_is_not_yet_in_the_heading(
    make: Callable[[User], Made], what: str, author_client: Client, author: User
) -> None:
    made, address = make(author)
    opened = author_client.get(address)
    author_client.post(address, sent(opened, title="Typed first", do="save"))
    refused = author_client.post(address, sent(opened, title="Typed second", do="save"))
    heading = html.fromstring(refused.content).xpath("//main/header")[0].text_content()
    assert refused.status_code == 409
    assert "Typed second" not in heading


@EVERY
def test_the_history_names_each_entry_that_was_changed(
    make: Callable[[User], Made], what: str, author_client: Client, author: User
) -> None:
    """6.35 mm is 1/4 in exactly (the inch is 25.4 mm: NIST SP 811): said otherwise, and told all the same."""
    _, address = make(author)
    typed = {"title": "Typed first", "joint-thickness_a": "6.35 mm", "line-0-amps": "100-150", "do": "save"}
    author_client.post(address, sent(author_client.get(address), **typed))
    said = AuditEntry.objects.filter(verb="change").latest("number").data
    assert said["changes"]["joint.thickness_a"][1] == "6.35 mm"
    if what != "this detail":
        assert {"title", "current", "thickness of side A"} <= set(said["detail"].split(", "))


def test_a_tick_that_was_taken_away_stays_away_while_a_process_is_added(
    author_client: Client, author: User
) -> None:
    made = spec(author, prequalified=True)
    address = reverse("procedure_edit", args=[made.pk])
    typed = sent(author_client.get(address), lines="add:GTAW")
    del typed["prequalified"]
    answer = author_client.post(address, typed)
    assert answer.context["head"]["prequalified"].value() is False
    assertContains(answer, 'name="prequalified"')
    box = html.fromstring(answer.content).xpath("//input[@name='prequalified']")[0]
    assert "checked" not in box.attrib


@pytest.mark.parametrize("page", ["results", "passes"])
def test_results_and_passes_that_were_saved_meanwhile_can_be_replaced(
    page: str, author_client: Client, author: User
) -> None:
    made = procedure_test(author, state=State.DRAFT)
    address = reverse(f"procedure_test_{page}", args=[made.pk])
    opened = author_client.get(address)
    made.notes = "Another hand."
    made.save()
    refused = author_client.post(address, sent(opened, do="save"))
    assertContains(refused, "saved this draft at", status_code=409)
    assertContains(refused, f'href="{made.get_absolute_url()}" target="_blank"', status_code=409)
    assert author_client.post(address, sent(refused, do="save")).status_code == 302
