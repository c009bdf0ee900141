"""Procedures and welders assigned to welds: refused outside coverage, kept with a reason, judged again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import AuditEntry, State, Welder
from qualification.welders.changes import set_active
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.models import Job, Part, Spec

pytestmark = pytest.mark.django_db
BROKEN = "Assigned, but not covered"


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def made(author: User, shop: object) -> Job:
    """A covered weld A and one, B, outside procedure and welder."""
    spec(author, procedure_test(author), state="approved")
    welder_test(author, welder())
    of = job()
    part(of, "A")
    part(of, "B", joint={"thickness_a": "2", "thickness_b": "2"}, line={"deposit_thickness": "2"})
    return of


def assign(client: Client, weld: Part, number: str = "", stamp: str = "", reason: str = "") -> Any:
    who = str(Welder.objects.get(stamp=stamp).pk) if stamp else ""
    data = {"spec_number": number, "welder": who, "reason": reason}
    return client.post(reverse("part_assign", args=[weld.job_id, weld.pk]), data, follow=True)


def today(client: Client) -> Any:
    answer = client.get("/")
    return next(each for each in answer.context["sections"] if each.title == BROKEN)


def test_what_covers_is_assigned_and_told_in_the_trail(author_client: Client, made: Job) -> None:
    weld = made.parts.get(mark="A")
    assertContains(assign(author_client, weld, "W-101", "AB"), "May weld it today")
    weld.refresh_from_db()
    assert (weld.spec_number, weld.welder.stamp, weld.despite) == ("W-101", "AB", {})
    event = AuditEntry.objects.latest("id")
    assert event.data["detail"] == "chosen WPS: none to W-101; welder: none to AB"
    assert not today(author_client).matters


@pytest.mark.parametrize(("number", "stamp"), [("W-101", ""), ("", "AB"), ("W-101", "AB")])
def test_what_does_not_cover_is_refused_without_a_reason(
    author_client: Client, made: Job, number: str, stamp: str
) -> None:
    weld = made.parts.get(mark="B")
    assertContains(assign(author_client, weld, number, stamp), "give a reason for the exception")
    weld.refresh_from_db()
    assert (weld.spec_number, weld.welder) == ("", None)
    kept = assign(author_client, weld, number, stamp, "Engineer agreed, letter of 3 March")
    assertContains(kept, "Engineer agreed, letter of 3 March")
    weld.refresh_from_db()
    assert {each["by"] for each in weld.despite.values()} == {"Maren Oosting"}
    assert "Engineer agreed" in str(AuditEntry.objects.latest("id").data)
    assert not today(author_client).matters
    assign(author_client, weld)
    weld.refresh_from_db()
    assert weld.despite == {}


def test_the_list_of_procedures_asks_for_a_reason_too(author_client: Client, made: Job) -> None:
    weld = made.parts.get(mark="B")
    url = reverse("part_choose", args=[made.pk, weld.pk])
    author_client.post(url, {"spec_number": "W-101"})
    assert Part.objects.get(pk=weld.pk).spec_number == ""
    author_client.post(url, {"spec_number": "W-101", "reason": "Agreed"})
    assert Part.objects.get(pk=weld.pk).spec_number == "W-101"


def test_the_editor_asks_for_a_reason_too(author_client: Client, made: Job) -> None:
    weld = made.parts.get(mark="B")
    url = reverse("part_edit", args=[made.pk, weld.pk])
    shown = author_client.get(url).context["desk"]
    data = {"line_count": 1, "version": shown.version, "do": "save"}
    forms = [shown.forms.joint_form, shown.forms.lines[0].form]
    for form in forms:
        data |= {form.add_prefix(name): form[name].value() or "" for name in form.fields}
    data |= {"mark": "B", "title": "Thick", "units": "us", "spec_number": "W-101"}
    assertContains(author_client.post(url, data), "give a reason for the exception", status_code=422)
    assert author_client.post(url, {**data, "reason": "Agreed"}).status_code == 302
    weld.refresh_from_db()
    assert weld.despite["spec"]["reason"] == "Agreed"


def withdrawn(author: User) -> None:
    Spec.objects.filter(number="W-101").update(state=State.WITHDRAWN)


def narrower(author: User) -> None:
    old = Spec.objects.get(number="W-101")
    Spec.objects.filter(pk=old.pk).update(state=State.SUPERSEDED)
    tests = list(old.tests.all())
    spec(author, *tests, revision=1, state="approved", joint={"thickness_a": "1/8-3/16"})


def left(author: User) -> None:
    set_active(Welder.objects.get(stamp="AB"), False, author)


def changed_weld(author: User) -> None:
    weld = Part.objects.get(mark="A")
    weld.lines = [{**weld.lines[0], "deposit_thickness": "1"}]
    weld.save()


@pytest.mark.parametrize(
    ("happens", "said"),
    [
        (withdrawn, "no approved revision"),
        (narrower, "Outside what W-101 claims"),
        (left, "no longer an active welder"),
        (changed_weld, "may not weld it"),
    ],
)
def test_what_broke_beneath_an_assignment_comes_first_on_today(
    author_client: Client, author: User, made: Job, happens: Any, said: str
) -> None:
    weld = made.parts.get(mark="A")
    assign(author_client, weld, "W-101", "AB")
    assert not today(author_client).matters
    happens(author)
    answer = author_client.get("/")
    first = answer.context["sections"][0]
    assert first.title == BROKEN
    assert any(said in matter.detail for matter in first.matters)
    assert first.matters[0].what.startswith("Job J-3107, weld A: ")


@pytest.mark.parametrize(("day", "broke"), [("2031-09-04", False), ("2031-09-05", True)])
def test_a_welder_who_lapsed_is_told_from_the_day_after(
    author_client: Client, made: Job, day: str, broke: bool
) -> None:
    """Six months from the coupon of 2031-03-04 (ASME IX QW-322.1(a))."""
    assign(author_client, made.parts.get(mark="A"), "W-101", "AB")
    with time_machine.travel(f"{day} 10:00", tick=False):
        author_client.force_login(User.objects.get(username="maren"))
        assert bool(today(author_client).matters) is broke


def test_a_reason_for_one_thing_does_not_excuse_another(
    author_client: Client, author: User, made: Job
) -> None:
    weld = made.parts.get(mark="B")
    assign(author_client, weld, "W-101", reason="Agreed on the thickness")
    assert not today(author_client).matters
    withdrawn(author)
    assertContains(author_client.get("/"), "It was kept for another reason: Agreed on the thickness")
    made.open = False
    made.save()
    assertNotContains(author_client.get("/"), "It was kept for another reason")
