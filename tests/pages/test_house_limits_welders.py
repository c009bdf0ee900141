"""Limits beyond the code, held against who may weld: a weld outside one may be made by nobody."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.codes.house_limits import add_rule, end_rule
from qualification.models import HouseRule, State, Welder
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.models import Packet, Part
from wps.packets.contents import Makers, contents_of
from wps.packets.obstacles import obstacles_to

pytestmark = pytest.mark.django_db
CUSTOMER, DAY = "Port Ellery", date(2031, 4, 1)


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    """Four weeks after the coupons of `shop_records` were welded."""
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def limit(author: User, variable: str, entry: Any, **changes: Any) -> HouseRule:
    rule = HouseRule(
        **{
            "owner_kind": "customer",
            "owner_name": CUSTOMER,
            "variable": variable,
            "entry": entry,
            "reason": "Purchase order 7, note 3.",
            **changes,
        }
    )
    add_rule(rule, author)
    return rule


def ask(client: Client, drawn: Part) -> tuple[str, str]:
    """Verdict and words on Kees Dorrit."""
    found = client.get(reverse("who_may_weld"), {"part": drawn.pk}).context["answers"]
    (answer,) = [each for each in found if each.welder.stamp == "KD"]
    return answer.verdict, answer.words


MAY, OUTSIDE, OPEN = (
    "May weld",
    "Qualified, but the weld is outside a limit",
    "Qualified; a limit cannot be determined",
)


@pytest.mark.parametrize(
    ("variable", "entry", "more", "words"),
    [
        # on and inside the limit, and outside it; the weld is 1/4 in, vertical, pulsed spray, ER5356. Worked
        # by us.
        ("transfer_mode", ["pulsed_spray"], {}, MAY),
        ("transfer_mode", ["pulsed_spray", "spray"], {}, MAY),
        ("transfer_mode", ["spray"], {}, OUTSIDE),
        ("position", ["flat", "horizontal", "vertical"], {}, MAY),
        ("position", ["flat", "horizontal"], {}, OUTSIDE),
        ("filler_classification", "ER5356", {}, MAY),
        ("filler_classification", "ER5183; ER5556", {}, OUTSIDE),
        ("thickness_thicker", "1/4 in", {"at_most": True}, MAY),
        ("thickness_thicker", "5/16 in", {"at_most": True}, MAY),
        ("thickness_thicker", "15/64 in", {"at_most": True}, OUTSIDE),
        ("interpass_max", "150 °F", {"at_most": True}, OPEN),
        # limits that do not speak of it
        ("transfer_mode", ["spray"], {"processes": ["FCAW"]}, MAY),
        ("transfer_mode", ["spray"], {"owner_name": "Skerry Moorings"}, MAY),
        ("transfer_mode", ["spray"], {"owner_kind": "shop", "owner_name": ""}, OUTSIDE),
        ("transfer_mode", ["spray"], {"owner_kind": "job", "owner_name": "J-3107"}, OUTSIDE),
        ("transfer_mode", ["spray"], {"owner_kind": "job", "owner_name": "J-3108"}, MAY),
        ("diameter", "24 in", {"at_least": True}, MAY),
    ],
)
def test_who_may_weld_is_held_to_a_limit(
    variable: str, entry: Any, more: dict[str, Any], words: str, reader_client: Client, author: User
) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    drawn = part(job())
    assert ask(reader_client, drawn) == ("covered", MAY)
    limit(author, variable, entry, **more)
    assert ask(reader_client, drawn) == (
        {MAY: "covered", OUTSIDE: "not_covered", OPEN: "unknown"}[words],
        words,
    )


def test_the_pages_name_whose_limit_it_is_and_that_no_coupon_helps(
    reader_client: Client, author: User
) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    welder("RM", "Rosa Maat")
    drawn = part(job())
    limit(author, "transfer_mode", ["spray"])
    for page in (
        reader_client.get(reverse("who_may_weld"), {"part": drawn.pk}),
        reader_client.get(drawn.get_absolute_url()),
    ):
        assertContains(page, "The weld against limits laid over the code")
        assertContains(
            page,
            f"the weld is Pulsed spray; allowed is Spray. Limit of customer {CUSTOMER}: Purchase order 7,"
            " note 3.",
        )
        assertContains(page, "holds until 2031-09-04")
        assertContains(page, f"{reverse('weld_coupons')}?part={drawn.pk}")
    assertContains(
        reader_client.get(reverse("weld_coupons"), {"part": drawn.pk}),
        "No test coupon would help: the weld itself is outside what is allowed of transfer mode (limit of"
        " customer Port Ellery).",
    )
    assertContains(reader_client.get(drawn.job.get_absolute_url()), "No welder qualified")
    assert [a.words for a in page.context["answers"]] == [OUTSIDE, "May not weld"]


def test_a_limit_never_lets_anybody_weld_and_its_end_restores_the_answer(
    reader_client: Client, author: User
) -> None:
    welder_test(
        author,
        welder("KD", "Kees Dorrit"),
        line={"transfer_mode": "short_circuit", "current_programme": "steady"},
    )
    drawn = part(job())
    before = ask(reader_client, drawn)
    rule = limit(author, "transfer_mode", ["pulsed_spray", "spray", "short_circuit"])
    assert before[0] == "not_covered"
    assert ask(reader_client, drawn) == before
    end_rule(rule, "The order is delivered.", author)
    assert ask(reader_client, drawn) == before


def test_the_weld_is_asked_about_as_its_procedure_makes_it_and_under_that_procedures_customer(
    reader_client: Client, author: User
) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    spec(author, procedure_test(author), state=State.APPROVED, customer="Skerry Moorings")
    drawn = part(job(), spec_number="W-101")
    limit(author, "interpass_max", "150 °F", at_most=True)
    assert ask(reader_client, drawn) == ("covered", MAY)
    limit(author, "interpass_max", "140 °F", at_most=True, owner_name="Skerry Moorings")
    assert ask(reader_client, drawn) == ("not_covered", OUTSIDE)


def test_a_limit_left_open_asks_to_state_it_before_any_coupon(reader_client: Client, author: User) -> None:
    welder("RM", "Rosa Maat")
    drawn = part(job())
    limit(author, "interpass_max", "150 °F", at_most=True)
    page = reader_client.get(drawn.get_absolute_url())
    assertContains(
        reader_client.get(reverse("weld_coupons"), {"part": drawn.pk}),
        "First state what decides on highest interpass temperature (limit of customer Port Ellery)",
    )
    assertContains(page, "Enter highest interpass temperature to settle this.")


def test_a_described_weld_is_held_to_the_shops_own_limits(reader_client: Client, author: User) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    drawn = part(job())
    data = {"line_count": "1", "edition": drawn.job.edition, "units": "us", "day": "2031-04-01", "do": "show"}
    data |= {f"joint-{key}": entry for key, entry in drawn.joint.items()} | {
        f"line-0-{key}": entry for key, entry in drawn.lines[0].items()
    }
    url = reverse("who_may_weld_described")
    assertContains(reader_client.post(url, data), MAY)
    limit(author, "transfer_mode", ["spray"], owner_kind="shop", owner_name="")
    assertContains(reader_client.post(url, data), OUTSIDE)
    assertContains(reader_client.post(url, data), "Limit of the shop")


def test_a_packet_says_which_limit_a_weld_breaks(author: User) -> None:
    who = welder("KD", "Kees Dorrit")
    welder_test(author, who)
    made = spec(author, procedure_test(author), state=State.APPROVED)
    drawn = part(job(), spec_number="W-101")
    packet = Packet(
        number="P-1",
        title="Gangway",
        recipient=CUSTOMER,
        job=drawn.job,
        choice={"procedures": [made.pk], "welders": [who.pk]},
        made_by=author,
    )
    packet.save()
    assert Makers(drawn.job, [who], DAY).of(drawn) == {who.pk}
    assert not [each for each in obstacles_to(packet, contents_of(packet, DAY)) if "Weld G-12" in each]
    limit(author, "filler_classification", "ER5183")
    assert Makers(drawn.job, Welder.objects.all(), DAY).of(drawn) == set()
    (said,) = [each for each in obstacles_to(packet, contents_of(packet, DAY)) if "Weld G-12" in each]
    assert (
        said
        == "Weld G-12 of job J-3107 does not keep within limits laid over the code: filler classification"
        " (limit of customer Port Ellery)."
    )
