"""Procedures that begin from what is on file, and the coupon that is missing."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import AuditEntry, Shop
from qualification.rules.core.findings import Verdict
from tests.shop_records import COUPON_JOINT, COUPON_LINE, RESULTS, job, part, procedure_test, spec
from wps.models import Spec
from wps.procedures.approval import judgement_of
from wps.procedures.drafting import draft_from_test

ALUMINUM_D12: dict[str, Any] = {
    "joint": {"thickness_a": "3/8", "penetration": "complete", "retainer": "", "impact_tested": ""},
    "line": {
        "backing": "metal",
        "backing_material": "6061",
        "amps": "158",
        "volts": "22",
        "wire_feed": "430",
        "travel_speed": "22",
        "shielding_flow": "40 cfh",
    },
    "results": [
        {**row, "load": "9400 lbf", "thickness": "3/8"} if row["kind"] == "tension" else row
        for row in RESULTS
        if row["kind"] != "visual"
    ]
    + [
        {
            "kind": "visual",
            "specimen": "V1",
            "cracks": "no",
            "complete_fusion": "yes",
            "craters_filled": "yes",
            "undercut": "0",
            "reinforcement": "1/16",
        }
    ],
}
"""What makes the coupon of the tests one of AWS D1.2: thicker, on backing, and examined as that code asks."""


def test_a_procedure_from_a_test_claims_what_was_welded_and_the_thickness_the_test_carries(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    answer = author_client.post(reverse("procedure_from_test", args=[test.pk]), follow=True)
    made = Spec.objects.get()
    assertRedirects(answer, reverse("procedure_edit", args=[made.pk]))
    assertContains(
        answer, "It claims the test&#x27;s range of thickness of side A; deposit thickness. All else stands"
    )
    assert list(made.tests.all()) == [test]
    # QW-451.1 (stated on public pages): a 1/4 in coupon carries base metal from 1/16 in to twice its
    # thickness, and twice the thickness deposited.
    assert made.joint["thickness_a"] == "0.0625 to 0.5 in"
    assert made.joint["thickness_b"] == "same"
    assert made.lines[0]["deposit_thickness"] == "0.0625 to 0.5 in"
    assert made.lines[0]["amps"] == COUPON_LINE["amps"], "a wider current is the author's choice"
    assert made.joint["preheat_min"] == COUPON_JOINT["preheat_min"]
    assert "test_position" not in made.joint
    # The coupon was not tested for toughness, so the draft claims no work that asks for it.
    assert made.joint["toughness_required"] == "no"
    assert made.joint["position"] == ["vertical"], "3G"
    assert judgement_of(made).report.verdict is Verdict.COVERED
    assert AuditEntry.objects.filter(record_kind="procedure", record_id=made.pk).exists()


def test_nothing_is_widened_on_a_test_that_qualifies_nothing(author: User) -> None:
    draft = draft_from_test(procedure_test(author, results=[]))
    assert draft.joint["thickness_a"] == COUPON_JOINT["thickness_a"]
    assert draft.widened == ()


def test_a_procedure_like_another_has_its_entries_and_tests_under_a_number_of_its_own(
    author_client: Client, author: User
) -> None:
    pattern = spec(author, procedure_test(author), number="AL-07")
    author_client.post(reverse("procedure_like", args=[pattern.pk]))
    made = Spec.objects.exclude(pk=pattern.pk).get()
    assert (made.number, made.revision, made.state) == ("AL-08", 0, "draft")
    assert (made.joint, made.lines, list(made.tests.all())) == (
        pattern.joint,
        pattern.lines,
        list(pattern.tests.all()),
    )


def test_a_weld_without_a_procedure_names_the_tests_that_would_carry_one(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    procedure_test(
        author, "PT-015", joint={"base_metal_a": "SA-36"}, line={"filler_classification": "ER70S-6"}
    )
    weld = part(job(), joint={"thickness_a": "3/8"})
    answer = author_client.get(weld.get_absolute_url())
    assertContains(answer, "No procedure covers it yet")
    assertContains(answer, "Carries what is drawn. Open:")
    assertNotContains(answer, "PT-015")
    author_client.post(reverse("procedure_from_test", args=[test.pk]), {"part": weld.pk})
    made = Spec.objects.get()
    assert made.title == weld.title
    assert made.customer == weld.job.customer
    assert made.joint["thickness_a"] == "0.0625 to 0.5 in", "the draft claims the drawn 3/8 in already"


@pytest.mark.parametrize(
    ("drawn", "taken"), [("1/2", "0.0625 to 0.5 in"), ("0.5001", "0.5001"), ("12.7 mm", "0.0625 to 0.5 in")]
)
def test_what_the_test_does_not_carry_is_taken_as_drawn(
    drawn: str, taken: str, author_client: Client, author: User
) -> None:
    """On the limit the draft's own span stands; outside it the drawing is what the check has to speak of."""
    test = procedure_test(author)
    weld = part(job(), joint={"thickness_a": drawn})
    author_client.post(reverse("procedure_from_test", args=[test.pk]), {"part": weld.pk})
    assert Spec.objects.get().joint["thickness_a"] == taken


def test_a_weld_drawn_in_other_units_is_taken_over_in_those_of_the_test(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    weld = part(job(), units="si", joint={"thickness_a": "20", "thickness_b": "same"})
    author_client.post(reverse("procedure_from_test", args=[test.pk]), {"part": weld.pk})
    made = Spec.objects.get()
    assert made.units == "us"
    assert made.joint["thickness_a"].endswith(" in")
    assert "0.787" in made.joint["thickness_a"]


def test_a_weld_no_test_carries_starts_from_its_drawing(author_client: Client, author: User) -> None:
    weld = part(job(), joint={"thickness_a": "3/4"})
    assertContains(author_client.get(weld.get_absolute_url()), "No procedure test on file carries it either")
    author_client.post(reverse("procedure_for_part", args=[weld.pk]))
    made = Spec.objects.get()
    assert made.joint["thickness_a"] == "3/4"
    assert not made.tests.exists()


def test_a_draft_that_reaches_too_far_says_which_coupon_would_carry_it(
    reader_client: Client, author: User
) -> None:
    made = spec(
        author,
        procedure_test(author),
        joint={"thickness_a": "1/8-3/4"},
        line={"deposit_thickness": "1/8-3/4"},
    )
    answer = reader_client.get(made.get_absolute_url())
    assertContains(answer, "Which test coupon would qualify it?")
    # QW-451.1: from 3/16 in a coupon carries twice its thickness, so 3/8 in is the thinnest for 3/4 in.
    assertContains(answer, "3/8 in (9.53 mm) thick")
    covered = spec(author, procedure_test(author, "PT-016"), number="WPS-9")
    assert judgement_of(covered).report.verdict is Verdict.COVERED
    assertNotContains(reader_client.get(covered.get_absolute_url()), "Which test coupon would qualify it?")


def test_before_a_coupon_is_named_the_draft_has_to_say_what_it_leaves_open(
    reader_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), joint={"toughness_required": ""})
    assertContains(
        reader_client.get(made.get_absolute_url()),
        "State toughness required first; then",
    )


def test_the_editor_names_the_coupon_for_what_is_typed(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    page = author_client.get(reverse("procedure_edit", args=[made.pk]))
    assertNotContains(page, "Which test coupon would qualify it?")
    wide = spec(author, test, number="WPS-8", joint={"thickness_a": "1/8-3/4"})
    page = author_client.get(reverse("procedure_edit", args=[wide.pk]))
    assertContains(page, "Which test coupon would qualify it?")
    answer = author_client.post(reverse("procedure_coupons"), {"units": "us", "edition": wide.edition})
    assert answer.status_code == 200
    assert not Spec.objects.exclude(pk__in=[made.pk, wide.pk]).exists()


@pytest.mark.parametrize("name", ["procedure_from_test", "procedure_like", "procedure_for_part"])
def test_a_reader_starts_nothing(name: str, reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    target = {
        "procedure_from_test": test,
        "procedure_like": spec(author, test),
        "procedure_for_part": part(job()),
    }[name]
    assert reader_client.post(reverse(name, args=[target.pk])).status_code == 403
    assert Spec.objects.count() == 1


def test_settings_the_code_limits_are_claimed_as_widely_as_the_test_allows(author: User) -> None:
    """AWS D1.2, Table 3.1 as the tables hold it: current 10 %, voltage 7 %, travel 25 % to either side."""
    test = procedure_test(author, edition="aws_d1_2_2014", **ALUMINUM_D12)
    draft = draft_from_test(test)
    assert draft.joint["position"] == ["vertical"]
    assert draft.lines[0]["amps"] == "142.2 to 173.8 A"
    assert draft.lines[0]["volts"] == "20.46 to 23.54 V"
    assert draft.lines[0]["travel_speed"] == "16.5 to 27.5 in/min"
    assert draft.lines[0]["shielding_flow"] == "40 cfh", "what was not asked to be widened stays as welded"


def test_a_draft_nothing_stands_against_opens_as_its_page(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author, edition="aws_d1_2_2014", **ALUMINUM_D12)
    answer = author_client.post(reverse("procedure_from_test", args=[test.pk]))
    made = Spec.objects.get()
    assertRedirects(answer, reverse("procedure", args=[made.pk]))
    assert judgement_of(made).report.verdict is Verdict.COVERED


def test_a_coupon_tested_for_toughness_leaves_it_to_the_author_what_is_required(author: User) -> None:
    draft = draft_from_test(procedure_test(author, joint={"impact_tested": "yes"}))
    assert "toughness_required" not in draft.joint
