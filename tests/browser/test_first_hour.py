"""From an empty database to the first printed procedure and the owner's own welder test, in a browser."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.first_visit import first_address
from qualification.models import ProcedureTest, WelderTest
from tests.first_hour import BrowserOwner
from wps.models import Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TENSION = {"width": "3/4", "thickness": "3/8", "load": "9400", "broke": "base_metal"}


def test_aluminum_butt_weld(open_page: Callable[..., Page]) -> None:
    owner = BrowserOwner(page=open_page(first_address()))
    owner.open_the_shop("aws_d1_2_2014", {"stamp": "IM"})
    owner.press("Use 6061-T6 plate, GMAW pulsed, vertical")
    owner.fill(
        {
            "welded_on": f"{timezone.localdate()}",
            "spec_followed": "Trial sheet 1",
            "laboratory": "Harbour Test House",
            "report_number": "HT-2231",
            "joint-heat_number_a": "H-4471",
            "joint-preheat_min": "70",
            "joint-interpass_max": "150",
            "line-0-filler_lot": "L-202",
            "line-0-amps": "158",
            "line-0-volts": "22",
            "line-0-wire_feed": "430",
            "line-0-travel_speed": "22",
        }
    )
    owner.press("Save and enter results")
    owner.press("All 4 as required, no flaw found")
    owner.row(0, {"cracks": "no", "complete_fusion": "yes", "complete_penetration": "yes"})
    owner.row(0, {"craters_filled": "yes", "undercut": "0", "reinforcement": "1/16"})
    owner.row(1, TENSION)
    owner.row(2, TENSION)
    owner.press("Save results")
    owner.press("Submit and approve")
    owner.press("Start a procedure from it")
    owner.press("Submit and approve")
    paper = owner.print()
    owner.press("PT-001 rev 0")
    owner.press("Use this coupon as the welder's test")
    owner.press("Submit and approve")
    expect(owner.page.locator("header.title-block")).to_contain_text("Approved")
    owner.assert_goal("Aluminum butt weld, AWS D1.2", 40, 12, ProcedureTest, Spec, WelderTest)
    for words in ("Longshore Frames", "Ida Maas", "142.2 to 173.8 A", "Covered by PT-001"):
        assert words in paper, words
