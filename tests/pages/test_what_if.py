"""What if a weld were another one; which welds of a job a welder or a procedure could take."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.models import State
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.models import Part

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def drawn(author: User) -> Part:
    spec(author, procedure_test(author), state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"))
    welder("RM", "Rosa Maat")
    made = job("J-1")
    part(made, "B", joint={"thickness_a": "3 in"}, line={"deposit_thickness": "3 in"}, spec_number="W-101")
    return part(made, "A", spec_number="W-101")


def test_nothing_typed_changes_nothing(reader_client: Client, drawn: Part) -> None:
    url = reverse("what_if", args=[drawn.job_id, drawn.pk])
    assert reader_client.get(url).context["asked"] is None
    asked = reader_client.get(url, {"position": drawn.joint["position"]}).context["asked"]
    assert (asked.procedures.gained, asked.procedures.lost) == ((), ())
    assert (asked.welders.before, asked.welders.after) == (2, 2)


@pytest.mark.parametrize(
    ("moved", "lost_procedures", "lost_welders"),
    [
        ({"thickness": "3 in", "deposit": "3 in"}, ("W-101",), True),
        ({"thickness": "1/2"}, (), False),  # twice the coupon's 1/4 in, the end of its range (QW-451)
        ({"thickness": "0.501"}, ("W-101",), True),
        ({"filler": "ER4043"}, ("W-101",), False),
    ],
)
def test_a_move_says_what_is_lost(
    moved: dict[str, str],
    lost_procedures: tuple[str, ...],
    lost_welders: bool,
    reader_client: Client,
    drawn: Part,
) -> None:
    asked = reader_client.get(reverse("what_if", args=[drawn.job_id, drawn.pk]), moved).context["asked"]
    assert not asked.problems
    assert asked.procedures.lost == lost_procedures
    assert bool(asked.welders.lost) is lost_welders


def test_a_moved_weld_is_answered_as_one_drawn_so(reader_client: Client, drawn: Part) -> None:
    kees = welder("KD").pk
    url = reverse("what_if", args=[drawn.job_id, drawn.pk])
    page = reader_client.get(url, {"thickness": "3 in", "welder": kees})
    asked = page.context["asked"]
    other = Part.objects.get(mark="B")
    own = reader_client.get(other.get_absolute_url()).context
    assert [fit.sentence for fit in asked.after.fits] == [fit.sentence for fit in own["view"].fits]
    assert asked.welder[0].words == "May weld"
    assert asked.welder[1] == next(each for each in own["answers"] if each.welder.pk == kees)
    assertContains(page, "Lost: W-101")
    stored = Part.objects.get(pk=drawn.pk)
    assert (stored.joint, stored.lines) == (drawn.joint, drawn.lines)


def test_an_entry_that_cannot_be_read_is_said(reader_client: Client, drawn: Part) -> None:
    page = reader_client.get(reverse("what_if", args=[drawn.job_id, drawn.pk]), {"thickness": "thick"})
    assertContains(page, "There is a problem")


@pytest.mark.parametrize(
    ("taker", "could"), [({"wps": "W-101"}, ["A"]), ({"welder": "KD"}, ["A"]), ({"welder": "RM"}, [])]
)
def test_the_welds_they_could_take(
    taker: dict[str, str], could: list[str], reader_client: Client, drawn: Part
) -> None:
    asked = {key: welder(value).pk if key == "welder" else value for key, value in taker.items()}
    page = reader_client.get(reverse("could_take", args=[drawn.job_id]), asked)
    takes = page.context["takes"]
    assert [each.mark for each in takes.could] == could
    assert len(takes.could) + len(takes.could_not) == 2
    assertContains(page, f"could take {len(could)} of 2 welds")
