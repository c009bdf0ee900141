"""A procedure without a test, under a code that knows such: written, approved, printed, and used for a weld.

D1.1:2020 clause 5, Table 5.1: a single-pass horizontal fillet by SMAW may have a leg up to 5/16 in, and GTAW
always needs a test (the public pages stand in the table of the edition).
"""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import Shop, State
from qualification.records.approving import frozen_content
from qualification.rules.core.findings import Verdict
from tests.rules.readers.case_files import bases
from tests.shop_records import job, part, spec
from wps.documents.rederive import rederive
from wps.models import Spec
from wps.procedures.approval import judgement_of, obstacles_to_spec
from wps.procedures.procedure_match import ApprovedProcedures, read_part

EDITION = "aws_d1_1_2020"
WELD = bases()["d11_fillet"]["weld"]
WIRE_ONLY = ("transfer_mode", "shielding_gas", "shielding_flow", "electrodes", "wire_feed")
LINE = {
    **{key: value for key, value in WELD["lines"][0].items() if key not in WIRE_ONLY},
    "process": "SMAW",
    "filler_classification": "E7018",
    "filler_diameter": "1/8 in",
    "progression": "up",
}


def fillet(author: User, **changes: Any) -> Spec:
    made = spec(author, edition=EDITION, prequalified=True, **changes)
    made.joint = {**WELD["joint"], **changes.get("joint", {})}
    made.lines = [{**LINE, **changes.get("line", {})}]
    made.save()
    return made


def sentences_of_coverage(made: Spec) -> list[str]:
    """What keeps it from approval, but for what the paper does not state yet."""
    return [each for each in obstacles_to_spec(made) if "not covered" in each or "test" in each.lower()]


@pytest.mark.parametrize(
    ("leg", "verdict"),
    [("5/16 in", Verdict.COVERED), ("1/4 in", Verdict.COVERED), ("0.3126 in", Verdict.NOT_COVERED)],
)
def test_it_is_held_against_the_limits_of_the_code(
    leg: str, verdict: Verdict, author: User, shop: Shop
) -> None:
    made = fillet(author, joint={"fillet_size": leg})
    assert judgement_of(made).report.verdict is verdict
    assert bool(sentences_of_coverage(made)) == (verdict is Verdict.NOT_COVERED)


def test_without_the_tick_it_needs_a_test(author: User, shop: Shop) -> None:
    made = fillet(author)
    made.prequalified = False
    assert "Name at least one supporting procedure test." in obstacles_to_spec(made)
    assert (
        judgement_of(made).report.verdict is Verdict.UNKNOWN
        or judgement_of(made).report.verdict is Verdict.NOT_COVERED
    )


def test_a_process_that_needs_a_test_is_not_covered_whatever_is_ticked(author: User, shop: Shop) -> None:
    made = fillet(author, line={"process": "GTAW", "filler_classification": "ER70S-6"})
    assert "process" in [f.variable for f in judgement_of(made).report.obstacles]


def test_a_code_that_knows_none_refuses_the_tick_and_keeps_what_was_typed(
    author_client: Client, shop: Shop
) -> None:
    typed = {
        "number": "ST-07",
        "title": "Bracket fillet",
        "edition": "asme_ix_2023",
        "units": "us",
        "prequalified": "on",
        "do": "save",
    }
    answer = author_client.post(reverse("procedure_new"), typed)
    assertContains(answer, "has no procedures without a test. Take the tick away", status_code=422)
    assertContains(answer, "Bracket fillet", status_code=422)
    assert not Spec.objects.exists()
    answer = author_client.post(reverse("procedure_new"), {**typed, "edition": EDITION})
    made = Spec.objects.get()
    assertRedirects(answer, reverse("procedure_edit", args=[made.pk]))
    assert made.prequalified
    page = author_client.get(reverse("procedure_edit", args=[made.pk]))
    assertNotContains(page, "No supporting test is chosen")


def test_page_and_paper_say_that_no_test_is_asked_and_the_findings_can_be_derived_again(
    reader_client: Client, author: User, shop: Shop
) -> None:
    made = fillet(author)
    page = reader_client.get(made.get_absolute_url())
    assertContains(page, "Within the limits of procedures that need no test.")
    assertContains(page, "Prequalified: the code asks for no test.")
    content = frozen_content(made)
    assert content["prequalified"] is True
    assert rederive({"content": content, "evidence": []}).matches
    assert rederive({"content": {**content, "prequalified": False}, "evidence": []}).matches is False


def test_a_weld_of_a_job_may_be_made_by_it(author: User, shop: Shop) -> None:
    made = fillet(author)
    made.snapshot, made.state = frozen_content(made), State.APPROVED
    made.save()
    keys = ("weld_type", "product_form", "base_metal_a", "base_metal_b", "thickness_a", "thickness_b")
    drawn = {key: WELD["joint"][key] for key in (*keys, "fillet_size", "position", "toughness_required")}
    weld = part(job(edition=EDITION))
    weld.joint, weld.lines = drawn, [{"process": "SMAW", "filler_classification": "E7018"}]
    shelf = ApprovedProcedures.for_job(weld.job)
    (fit,) = shelf.fits(read_part(weld), "us")
    assert (fit.verdict, fit.sentence) == (
        Verdict.COVERED,
        "Inside W-101. Within the limits of procedures that need no test.",
    )
    weld.joint = {**drawn, "fillet_size": "3/8 in"}
    assert [fit.verdict for fit in shelf.fits(read_part(weld), "us")] == [Verdict.NOT_COVERED]
