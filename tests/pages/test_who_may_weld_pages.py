"""The pages that answer who may weld."""

import re
from collections.abc import Iterator
from html import unescape

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import State, Welder
from tests.shop_records import EDITION, job, part, procedure_test, spec, welder, welder_test

URL = "/who-may-weld/"

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    """Four weeks after the coupons of `shop_records` were welded; before any fixture signs in."""
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def cast(author: User) -> None:
    """One who may, one who lapses in September, one for short-circuit only, one without any test."""
    welder_test(author, welder("KD", "Kees Dorrit"))
    welder_test(
        author,
        welder("LV", "Lena Voss"),
        "WT-022",
        line={"transfer_mode": "short_circuit", "current_programme": "steady"},
    )
    welder("RM", "Rosa Maat")


def test_each_welder_is_answered_with_the_reason(reader_client: Client, cast: None) -> None:
    made = part(job())
    answer = reader_client.get(URL, {"part": made.pk})
    assert [(a.welder.stamp, a.words) for a in answer.context["answers"]] == [
        ("KD", "May weld"),
        ("LV", "May not weld"),
        ("RM", "May not weld"),
    ]
    assertContains(answer, "holds until 2031-09-04")
    assertContains(
        answer, "<strong>Transfer mode</strong>: the weld is Pulsed spray; qualified is Short-circuiting."
    )
    assertContains(answer, "No approved and passed test with GMAW is on file.")
    (_, address) = re.findall(r'(hx-get|href)="([^"]*coupons[^"]*)"', answer.content.decode())[0]
    piece = reader_client.get(unescape(address), headers={"HX-Request": "true"})
    assertContains(piece, "A welder test that would cover it, once passed:")
    assertContains(piece, "Would qualify:")
    assertNotContains(piece, "<html")
    assertContains(reader_client.get(unescape(address)), "A welder test that would cover it, once passed:")
    assertContains(answer, reverse("welder", args=[Welder.objects.get(stamp="KD").pk]))


def test_another_day_gives_another_answer(reader_client: Client, cast: None) -> None:
    made = part(job())
    assertContains(reader_client.get(URL, {"part": made.pk, "day": "2031-09-04"}), "May weld")
    lapsed = reader_client.get(URL, {"part": made.pk, "day": "2031-09-05"})
    assertNotContains(lapsed, ">May weld<")
    assertContains(lapsed, "6 months without use ended on 4 September 2031.")


@pytest.mark.parametrize("typed", ["tomorrow", "2031-02-30", "04/09/2031"])
def test_a_day_that_is_none_is_said_and_kept(typed: str, reader_client: Client, cast: None) -> None:
    answer = reader_client.get(URL, {"part": part(job()).pk, "day": typed})
    assertContains(
        answer, f"Day: “{typed}” is not a day. Write year, month and day, such as", count=2, status_code=422
    )
    assertContains(answer, f'value="{typed}"', status_code=422)
    assert answer.context["answers"] is None


def test_a_weld_with_a_procedure_is_asked_about_as_that_procedure_makes_it(
    reader_client: Client, author: User, cast: None
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    made = part(
        job(), spec_number="W-101", line={"transfer_mode": "", "filler_classification": "", "backing": ""}
    )
    answer = reader_client.get(URL, {"part": made.pk})
    assertContains(answer, "made by")
    assert {a.welder.stamp: a.verdict for a in answer.context["answers"]}["KD"] == "covered"
    made.spec_number = ""
    made.save()
    assert {a.welder.stamp: a.verdict for a in reader_client.get(URL, {"part": made.pk}).context["answers"]}[
        "KD"
    ] == "unknown"


def test_a_welder_who_left_is_not_asked(reader_client: Client, cast: None) -> None:
    Welder.objects.filter(stamp="KD").update(active=False)
    assertNotContains(reader_client.get(URL, {"part": part(job()).pk}), "Kees Dorrit")


def test_welds_of_open_jobs_are_offered_and_a_closed_ones_by_its_link(reader_client: Client) -> None:
    shown, closed = part(job("J-1")), part(job("J-2", open=False))
    answer = reader_client.get(URL)
    assertContains(answer, "J-1 / G-12")
    assertNotContains(answer, "J-2 / G-12")
    assertContains(reader_client.get(URL, {"part": closed.pk}), "J-2 / G-12")
    assert shown.pk != closed.pk


@pytest.mark.parametrize("wanted", ["", "0", "99999", "abc", "-1"])
def test_without_a_weld_there_is_no_answer(wanted: str, reader_client: Client, cast: None) -> None:
    answer = reader_client.get(URL, {"part": wanted})
    assert answer.status_code == 200
    assert answer.context["answers"] is None


def test_with_nobody_on_file_that_is_what_it_says(reader_client: Client) -> None:
    assertContains(reader_client.get(URL, {"part": part(job()).pk}), "There is no active welder on file.")
    assertContains(reader_client.get(reverse("who_may_weld_described")), "There is no active welder on file.")


DESCRIBED = {
    "units": "us",
    "edition": EDITION,
    "day": "2031-04-01",
    "line_count": "1",
    "joint-weld_type": "groove",
    "joint-base_metal_a": "6061",
    "joint-base_metal_b": "same",
    "joint-thickness_a": "1/4",
    "joint-thickness_b": "same",
    "joint-product_form": "plate",
    "joint-diameter": "n/a",
    "joint-position": ["flat", "vertical"],
    "line-0-process": "GMAW",
    "line-0-operation": "semiautomatic",
    "line-0-backing": "none",
    "line-0-transfer_mode": "pulsed_spray",
    "line-0-filler_classification": "ER5356",
    "line-0-filler_form": "solid",
    "line-0-deposit_thickness": "1/4",
    "line-0-progression": "up",
}


def test_a_weld_that_is_on_no_job_is_described_and_answered(reader_client: Client, cast: None) -> None:
    answer = reader_client.post(reverse("who_may_weld_described"), DESCRIBED)
    assert [a.welder.stamp for a in answer.context["answers"] if a.verdict == "covered"] == ["KD"]
    assertContains(answer, "1 of 3 may weld it.")
    assertContains(answer, 'value="1/4"')


def test_while_one_types_a_fragment_is_answered(reader_client: Client, cast: None) -> None:
    answer = reader_client.post(reverse("who_may_weld_described"), DESCRIBED, headers={"HX-Request": "true"})
    assertNotContains(answer, "<html")
    assertContains(answer, '<div hx-swap-oob="innerHTML:#verdict">')
    assertContains(answer, "1/4 in (6.35 mm)")


def test_described_entries_that_cannot_be_read_are_said_and_count_as_missing(
    reader_client: Client, cast: None
) -> None:
    answer = reader_client.post(
        reverse("who_may_weld_described"),
        {**DESCRIBED, "joint-position": "sideways", "day": "soon", "units": "cubits", "edition": "x"},
    )
    assertContains(answer, "“sideways” is not one of the choices", status_code=422)
    assertContains(answer, "Day: “soon” is not a day.", status_code=422)
    assert not answer.context.get("answers")
    unknown = reader_client.post(
        reverse("who_may_weld_described"), {**DESCRIBED, "joint-position": "sideways"}
    )
    assert {a.verdict for a in unknown.context["answers"] if a.welder.stamp == "KD"} == {"unknown"}
    assertContains(unknown, "No welder is qualified for the whole weld.")


def test_several_welders_share_a_joint_by_its_lines(reader_client: Client, author: User) -> None:
    root = {
        "process": "GTAW",
        "operation": "manual",
        "current_type": "AC",
        "filler_used": "yes",
        "consumable_insert": "no",
        "transfer_mode": "",
    }
    welder_test(author, welder("KD", "Kees Dorrit"))
    welder_test(author, welder("RM", "Rosa Maat"), "WT-022", line=root)
    two = {
        **DESCRIBED,
        "line_count": "2",
        "line-1-process": "GTAW",
        "line-1-operation": "manual",
        "line-1-backing": "none",
        "line-1-filler_form": "solid",
        "line-1-filler_classification": "ER5356",
        "line-1-filler_used": "yes",
        "line-1-consumable_insert": "no",
        "line-1-deposit_thickness": "1/16",
        "line-1-progression": "up",
        "line-1-current_type": "AC",
        "line-1-backing_gas": "none",
        "line-0-deposit_thickness": "3/16",
    }
    answer = reader_client.post(reverse("who_may_weld_described"), two)
    assert {a.welder.stamp: a.words for a in answer.context["answers"]} == {
        "KD": "May weld GMAW only",
        "RM": "May weld GTAW only",
    }


@pytest.mark.parametrize("url", [URL, "/who-may-weld/described/"])
def test_visitors_and_people_without_a_role_get_no_answer(url: str, client: Client, outsider: User) -> None:
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")
    client.force_login(outsider)
    assert client.get(url).status_code == 403
