"""From an empty database to the first printed procedure, counted; `tests/browser/test_first_hour.py` walks a
third way in a browser."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from qualification.first_visit import first_address
from qualification.models import ProcedureTest, Shop, WelderTest
from tests.first_hour import FormsOwner
from wps.models import Spec

pytestmark = pytest.mark.django_db(transaction=True)

TENSION = {"width": "25", "thickness": "10", "load": "130", "broke": "base_metal"}


@pytest.fixture
def owner(client: Client) -> FormsOwner:
    return FormsOwner(client=client, start=first_address())


def test_prequalified_steel(owner: FormsOwner) -> None:
    owner.open_the_shop("aws_d1_1_2020", {})
    owner.press("Use Fillet welds, GMAW spray")
    owner.fill(
        {
            "title": "Stair stringer fillets",
            "joint-fillet_size": "1/4",
            "joint-thickness_a": "1/4-1/2",
            "line-0-amps": "250-270",
            "line-0-volts": "27-28",
            "line-0-wire_feed": "380-410",
            "line-0-travel_speed": "13-16",
            "line-0-shielding_flow": "40",
        }
    )
    owner.press("Save and view")
    owner.press("Submit and approve")
    paper = owner.print()
    owner.assert_goal("Prequalified fillet, AWS D1.1", 18, 12, Spec)
    assert "Stair stringer fillets" in paper
    assert "250" in paper


def test_a_drawing_checked_on_an_empty_shop(author_client: Client, shop: Shop) -> None:
    """Nothing is stored, and the answer is more than that nothing is on file."""
    shop.code_edition = "aws_d1_2_2014"
    shop.save()
    owner = FormsOwner(client=author_client, start=reverse("first_paper"))
    owner.press("Check a weld")
    owner.press("GMAW")
    drawn = {"weld_type": "groove", "base_metal_a": "6061", "temper_a": "T6", "base_metal_b": "same"}
    owner.fill({f"joint-{key}": text for key, text in drawn.items()})
    owner.fill({"joint-thickness_a": "1/2", "joint-thickness_b": "same", "joint-position": "vertical"})
    owner.fill({"line-0-filler_classification": "ER5356", "line-0-transfer_mode": "pulsed_spray"})
    owner.press("Show")
    owner.assert_goal("A drawing checked", 10, 3)
    said = owner.text_of("check")
    assert "No procedure and no test on file covers it." in said
    assert "6061-T6 plate, GMAW pulsed, vertical: 3/8 in plate" in said
    assert "5083-H116" not in said
    assert "Which coupon would qualify a welder?" in said


def test_steel_by_iso(owner: FormsOwner) -> None:
    owner.open_the_shop("iso_15614_1_2017_level2", {"unit_order": "metric_first", "stamp": "IM"})
    begun = owner.fields, owner.clicks
    owner.press("Use S355 plate, process 135, vertical up")
    owner.fill(
        {
            "welded_on": f"{timezone.localdate()}",
            "spec_followed": "pWPS 1",
            "laboratory": "Harbour Test House",
            "report_number": "HT-2231",
            "witness": "Rolf Aune",
            "joint-heat_number_a": "H-4471",
            "joint-preheat_min": "20",
            "joint-interpass_max": "150",
            "line-0-filler_lot": "L-202",
            "line-0-amps": "120",
            "line-0-volts": "18.5",
            "line-0-wire_feed": "4",
            "line-0-travel_speed": "120",
            "line-0-heat_input": "1.1",
        }
    )
    owner.press("Save and enter results")
    owner.press("All 4 as required, no flaw found")
    owner.row(0, {"cracks": "no", "complete_fusion": "yes", "complete_penetration": "yes"})
    owner.row(1, {"accepted": "yes", "report": "PT-31"})
    owner.row(2, {"accepted": "yes", "report": "RT-88", "indications": "none"})
    owner.row(3, TENSION)
    owner.row(4, TENSION)
    owner.row(5, {"cracks": "no", "complete_fusion": "yes"})
    owner.row(6, {"highest": "240"})
    owner.fill({"wanted-minimum_tensile": "470"})
    owner.press("Save results")
    # Each of four bends has five entries: thickness, former, weld in the bend, broken, openings.
    owner.assert_since("Procedure test with four bends", begun, 34, 4)
    owner.press("Submit and approve")
    owner.press("Start a procedure from it")
    owner.press("Submit and approve")
    paper = owner.print()
    owner.press("PT-001 rev 0")
    owner.press("Use this coupon as the welder's test")
    owner.fill(
        {
            "born_on": "1988-04-02",
            "born_at": "Port Ellery",
            "identified_by": "Passport",
            "joint-job_knowledge": "not_tested",
        }
    )
    owner.press("Save and view")
    owner.press("Submit and approve")
    owner.assert_goal("Steel butt weld, ISO 15614-1", 50, 15, ProcedureTest, Spec, WelderTest)
    for words in ("Longshore Frames", "S355J2", "PT-001 rev 0"):
        assert words in paper, words
