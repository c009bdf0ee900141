"""What ends within 30, 60 or 90 days, what work it stops, and the calendar with a private address."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from icalendar import Calendar
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import ProcessUse, State, Welder
from qualification.rules.plan.pairs import Pair
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.jobs.lapses import lapses
from wps.jobs.renewals import Loss, cheapest_renewals
from wps.models import Job

pytestmark = pytest.mark.django_db
URL = "/lapses/"
ENDS = date(2031, 9, 4)
"""Six months after the coupons of `shop_records` were welded."""


@pytest.fixture(autouse=True)
def _in_august() -> Iterator[None]:
    """Thirty days before it ends."""
    with time_machine.travel("2031-08-05 10:00", tick=False):
        yield


@pytest.fixture
def cast(author: User) -> None:
    """Kees may weld until September by his own test; Lena too, and she used the process in August."""
    spec(author, procedure_test(author), state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"))
    welder_test(author, welder("LV", "Lena Voss"), "WT-022")


def test_what_ends_names_the_welds_it_stops_and_those_nobody_else_may_make(
    reader_client: Client, cast: None
) -> None:
    made = job("J-1")
    part(made, "A", spec_number="W-101")
    part(made, "B", joint={"thickness_a": "3 in"}, line={"deposit_thickness": "3 in"})
    found = reader_client.get(URL).context["found"].endings
    assert {(each.welder.stamp, each.ends, each.days) for each in found} >= {
        ("KD", ENDS, 30),
        ("LV", ENDS, 30),
    }
    kees = next(each for each in found if each.welder.stamp == "KD")
    assert [(stop.job, stop.marks, stop.nobody_else) for stop in kees.stops] == [(made, ("A",), ())]
    assert "A of J-1 would do." in kees.renewal.words
    Welder.objects.exclude(stamp="KD").update(active=False)
    answer = reader_client.get(URL)
    (kees,) = answer.context["found"].endings
    assert kees.stops[0].nobody_else == ("A",)
    assertContains(answer, "Nobody else may weld")


def test_a_use_moves_the_end_and_the_weld_goes_on(reader_client: Client, cast: None) -> None:
    part(job("J-1"), "A", spec_number="W-101")
    ProcessUse.objects.create(
        welder=welder("KD"),
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2031, 8, 1),
        evidence="Job 7",
    )
    assert "KD" not in {each.welder.stamp for each in reader_client.get(URL).context["found"].endings}
    later = reader_client.get(URL, {"days": "90"}).context["found"].endings
    assert "KD" not in {each.welder.stamp for each in later}  # until 2032-02-01, 180 days away


def test_the_fewest_acts_keep_all_work_going(reader_client: Client, cast: None, author: User) -> None:
    """Two welders may make A, Lena alone B: her use keeps both, so nobody asks Kees for his."""
    made = job("J-1")
    part(made, "A", spec_number="W-101")
    Welder.objects.exclude(stamp__in=["KD", "LV"]).update(active=False)
    found = reader_client.get(URL).context["found"]
    assert (found.renewals.welds, len(found.to_renew), found.cost) == (1, 1, 0)
    welder_test(
        author, welder("LV"), "WT-023", joint={"thickness_a": "1/2"}, line={"deposit_thickness": "1/2"}
    )
    part(made, "B", joint={"thickness_a": "3/4"}, line={"deposit_thickness": "3/4"})
    answer = reader_client.get(URL)
    found = answer.context["found"]
    ((ending, (kept,)),) = found.to_renew
    assert (ending.welder.stamp, kept.marks, kept.only) == ("LV", ("A", "B"), ("A", "B"))
    assertContains(answer, "nobody may make 2 welds")
    assertContains(answer, "going: 1 of 2.")


def test_a_weld_of_two_processes_needs_both_and_a_coupon_only_where_nothing_else_helps() -> None:
    one, other = Job(pk=1, number="J-1"), Job(pk=2, number="J-2")
    nothing, first = frozenset[int](), frozenset({0})
    both = Loss(one, (("A", "B"),), (nothing, nothing, first), (Pair(0, 1, first),))
    found = cheapest_renewals([both], [1, 1, 40_000])
    assert [(act, kept[0].marks) for act, kept in found.acts] == [(0, ("A", "B")), (1, ("A", "B"))]
    only_dear = Loss(other, (("C",),), (nothing, nothing, first), ())
    found = cheapest_renewals([both, only_dear], [1, 1, 40_000])
    assert [(act, [kept.only for kept in keeps]) for act, keeps in found.acts] == [(2, [("A", "B"), ("C",)])]
    assert (found.welds, found.choice.is_proven) == (3, True)


@pytest.mark.parametrize(("day", "ends"), [("2031-08-04", False), ("2031-08-05", True), ("2031-09-04", True)])
def test_thirty_days_are_thirty(day: str, ends: bool, cast: None) -> None:
    found = lapses(date.fromisoformat(day), 30).endings
    assert any(each.welder.stamp == "KD" for each in found) is ends


def test_what_has_ended_needs_a_coupon_and_says_what_it_costs(cast: None) -> None:
    found = {each.welder.stamp: each for each in lapses(date(2031, 9, 5), 30).ended}
    assert found["KD"].renewal.words == "One passed coupon with GMAW, such as WT-021 again."
    assert found["KD"].renewal.cost is not None
    assert found["KD"].renewal.cost > 0


def test_the_calendar_has_an_address_of_its_own_and_no_other_opens_it(
    author_client: Client, cast: None, author: User
) -> None:
    answer = author_client.post(reverse("calendar_address"))
    address = answer.context["address"]
    secret = address.split("/lapses/")[1]
    anybody = Client()
    read = anybody.get(f"/lapses/{secret}")
    assert read["Content-Type"] == "text/calendar; charset=utf-8"
    events = Calendar.from_ical(read.content).walk("VEVENT")
    kees = [e for e in events if "Kees Dorrit" in e["summary"]]
    assert [(e.decoded("dtstart"), e.decoded("dtend")) for e in kees] == [(ENDS, date(2031, 9, 5))]
    assert len({str(e["uid"]) for e in events}) == len(events)
    assert anybody.get("/lapses/nobody.ics").status_code == 404
    assertNotContains(author_client.get(URL), secret.removesuffix(".ics"))
    author_client.post(reverse("calendar_address"))
    assert anybody.get(f"/lapses/{secret}").status_code == 404
    assert Client().get(URL).status_code == 302


def test_the_calendar_of_somebody_who_left_is_closed(author_client: Client, author: User) -> None:
    address = author_client.post(reverse("calendar_address")).context["address"]
    path = "/lapses/" + address.split("/lapses/")[1]
    assert Client().get(path).status_code == 200
    User.objects.filter(pk=author.pk).update(is_active=False)
    assert Client().get(path).status_code == 404
