"""Limits beyond the code by the shop, a customer or a job: added, judged everywhere, ended."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import AuditEntry, HouseRule, Shop, State
from qualification.records import workflow
from qualification.records.audit_check import first_break
from qualification.rules.core.findings import Verdict
from tests.documents.papers import approved_spec, approved_test
from tests.shop_records import EDITION, job, part, procedure_test, spec
from wps.documents.rederive import rederive
from wps.procedures.approval import judgement_of, obstacles_to_spec
from wps.procedures.procedure_match import ApprovedProcedures, read_part

pytestmark = pytest.mark.django_db
CUSTOMER = "Port Ellery Harbour Trust"


def add(client: Client, variable: str, entry: Any, **more: Any) -> Any:
    data = {
        "owner_kind": "customer",
        "owner_name": CUSTOMER,
        "entry": entry,
        "reason": "Purchase order 7, note 3.",
        "reach": "at_most",
        "units": "us",
        **more,
    }
    return client.post(f"{reverse('house_limit_add')}?variable={variable}", data)


def verdict_of(author: User, **changes: Any) -> Verdict:
    """Verdict on a procedure for the customer that its tests cover by the code alone."""
    test = procedure_test(author)
    made = spec(author, test, customer=CUSTOMER, **changes)
    return judgement_of(made).report.verdict


FOUR = [
    # what is limited, what is allowed, how it is meant, what the procedure says, the verdict
    (
        "transfer_mode",
        ["spray", "pulsed_spray"],
        "",
        {"line": {"transfer_mode": "pulsed_spray"}},
        Verdict.COVERED,
    ),
    (
        "transfer_mode",
        ["short_circuit", "spray"],
        "",
        {"line": {"transfer_mode": "pulsed_spray"}},
        Verdict.NOT_COVERED,
    ),
    ("interpass_max", "150 °F", "at_most", {"joint": {"interpass_max": "149 °F"}}, Verdict.COVERED),
    ("interpass_max", "150 °F", "at_most", {"joint": {"interpass_max": "150 °F"}}, Verdict.COVERED),
    ("interpass_max", "140 °F", "at_most", {"joint": {"interpass_max": "150 °F"}}, Verdict.NOT_COVERED),
    ("interpass_max", "140", "at_most", {"joint": {"interpass_max": "60 °C"}}, Verdict.COVERED),
    ("interpass_max", "140", "at_most", {"joint": {"interpass_max": "60.1 °C"}}, Verdict.NOT_COVERED),
    ("filler_classification", "ER5356; ER5183", "", {}, Verdict.COVERED),
    ("filler_classification", "ER5183; ER5556", "", {}, Verdict.NOT_COVERED),
    ("thickness_thicker", "1/8-3/8 in", "between", {"joint": {"thickness_a": "1/8-3/8"}}, Verdict.COVERED),
    (
        "thickness_thicker",
        "1/8-3/8 in",
        "between",
        {"joint": {"thickness_a": "1/8-1/2"}},
        Verdict.NOT_COVERED,
    ),
    ("thickness_thinner", "1/8", "at_least", {"joint": {"thickness_a": "1/8-3/8"}}, Verdict.COVERED),
    ("thickness_thinner", "3/16", "at_least", {"joint": {"thickness_a": "1/8-3/8"}}, Verdict.NOT_COVERED),
    ("interpass_max", "150 °F", "at_most", {"joint": {"interpass_max": ""}}, Verdict.UNKNOWN),
]


@pytest.mark.parametrize(("variable", "entry", "reach", "claims", "verdict"), FOUR)
def test_a_limit_narrows_on_inside_and_outside(
    variable: str,
    entry: Any,
    reach: str,
    claims: dict[str, Any],
    verdict: Verdict,
    approver_client: Client,
    author: User,
    shop: Shop,
) -> None:
    """Worked by us: the procedure is covered by the code alone, so the verdict is the limit's."""
    assert add(approver_client, variable, entry, reach=reach or "between").status_code == 302
    assert verdict_of(author, **claims) is verdict


def test_without_the_limit_all_of_them_are_covered(author: User) -> None:
    test = procedure_test(author)
    for number, claims in enumerate(
        {str(each[3]): each[3] for each in FOUR if each[4] is not Verdict.UNKNOWN}.values()
    ):
        made = spec(author, test, number=f"W-{number}", **claims)
        assert judgement_of(made).report.verdict is Verdict.COVERED


def test_a_finding_says_whose_limit_it_is_on_page_and_paper(
    approver_client: Client, author: User, shop: Shop
) -> None:
    add(approver_client, "interpass_max", "140 °F")
    made = spec(author, procedure_test(author), customer=CUSTOMER)
    page = approver_client.get(made.get_absolute_url())
    for words in (
        f"Limit of customer {CUSTOMER}",
        "laid over the code",
        "Purchase order 7, note 3.",
        "up to 140 °F",
        f"Not covered: highest interpass temperature (limit of customer {CUSTOMER}).",
    ):
        assertContains(page, words)
    assertNotContains(page, f"Limit of customer {CUSTOMER} (")
    answer = approver_client.get(reverse("document", args=["procedure", made.pk]))
    paper = " ".join(
        " ".join(sheet.extract_text() for sheet in PdfReader(BytesIO(answer.content)).pages).split()
    )
    assert f"Limit of customer {CUSTOMER}" in paper
    assert "up to 140 °F (up to 60 °C)" in paper


def test_approval_outside_a_limit_is_refused_with_it(
    approver_client: Client, author: User, approver: User, shop: Shop
) -> None:
    add(approver_client, "interpass_max", "140 °F")
    made = spec(author, procedure_test(author), customer=CUSTOMER)
    workflow.apply("submit", made, author)
    with pytest.raises(workflow.StepRefused) as refused:
        workflow.apply("approve", made, approver)
    (reason,) = [each for each in refused.value.reasons if "Limit of" in each]
    assert f"Limit of customer {CUSTOMER}: up to 140 °F (up to 60 °C)." in reason
    assert "Purchase order 7, note 3." in reason


def test_no_coupon_is_named_for_a_procedure_outside_a_limit(
    approver_client: Client, author: User, shop: Shop
) -> None:
    made = spec(author, procedure_test(author), customer=CUSTOMER, joint={"thickness_a": "1/8-3/4"})
    assertContains(
        approver_client.get(made.get_absolute_url()), "A procedure test that would cover it, once passed"
    )
    add(approver_client, "interpass_max", "140 °F")
    page = approver_client.get(made.get_absolute_url())
    assertContains(
        page,
        "No test coupon would help: the procedure itself is outside what is allowed of highest interpass"
        " temperature (limit of",
    )
    assertNotContains(page, "A procedure test that would cover it")


def test_other_customers_procedures_are_left_alone(approver_client: Client, author: User, shop: Shop) -> None:
    add(approver_client, "interpass_max", "140 °F")
    made = spec(author, procedure_test(author), customer="Skerry Moorings")
    assert obstacles_to_spec(made) == []
    made.customer = CUSTOMER.upper()
    assert judgement_of(made).report.verdict is Verdict.NOT_COVERED


@pytest.mark.parametrize(
    "owner",
    [
        {"owner_kind": "shop", "owner_name": ""},
        {"owner_kind": "customer", "owner_name": "port ellery"},
        {"owner_kind": "job", "owner_name": "J-3107"},
    ],
)
def test_a_weld_is_held_to_the_limits_of_shop_customer_and_job(
    owner: dict[str, str], approver_client: Client, author_client: Client, author: User, shop: Shop
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    weld = part(job(), spec_number="W-101")
    other = part(job("J-3108", customer="Skerry Moorings"), spec_number="W-101")
    add(approver_client, "interpass_max", "140 °F", **owner)
    for each, held in ((weld, True), (other, owner["owner_kind"] == "shop")):
        shelf = ApprovedProcedures.of(EDITION, each.job.customer, each.job.number)
        fit = shelf.fit(read_part(each), shelf.specs[0], each.units)
        assert fit.verdict is (Verdict.NOT_COVERED if held else Verdict.COVERED)
        page = author_client.get(each.get_absolute_url())
        (assertContains if held else assertNotContains)(page, "Limit of")
        (assertContains if held else assertNotContains)(
            author_client.get(each.job.get_absolute_url()), "limit of"
        )


def test_the_live_check_of_a_procedure_knows_the_customer_typed(
    approver_client: Client, author_client: Client, author: User, shop: Shop
) -> None:
    add(approver_client, "interpass_max", "140 °F")
    made = spec(author, procedure_test(author))
    data = {
        "line_count": "1",
        "edition": EDITION,
        "units": "us",
        "tests": [str(t.pk) for t in made.tests.all()],
    }
    data |= {f"joint-{key}": entry for key, entry in made.joint.items()} | {
        f"line-0-{key}": entry for key, entry in made.lines[0].items()
    }
    url = reverse("procedure_check", args=[made.pk])
    assertNotContains(author_client.post(url, data), "Limit of")
    assertContains(author_client.post(url, {**data, "customer": CUSTOMER}), f"Limit of customer {CUSTOMER}")


def test_a_limit_leaves_processes_and_welds_alone_that_do_not_have_the_property(
    approver_client: Client, author: User, shop: Shop
) -> None:
    add(approver_client, "diameter", "24 in", reach="at_least")
    add(approver_client, "transfer_mode", ["pulsed_spray"])
    assert verdict_of(author) is Verdict.COVERED, "plate has no diameter"


def test_adding_says_what_it_speaks_of_and_which_approved_procedures_are_outside(
    approver_client: Client, author: User, shop: Shop
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED, customer=CUSTOMER)
    add(approver_client, "interpass_max", "140 °F")
    page = approver_client.get(reverse("house_limits"))
    assertContains(page, "It speaks of 1 procedure and 0 jobs on file.")
    assertContains(
        page,
        "Approved and outside it now: W-101 rev 0. Revise or withdraw them; until then they stand on the"
        " Today page.",
    )
    add(approver_client, "interpass_max", "200 °F", owner_name="Port Elery")
    assertContains(
        approver_client.get(reverse("house_limits")), "It speaks of 0 procedures and 0 jobs on file."
    )


def test_a_limit_is_audited_and_ended_with_a_reason(
    approver_client: Client, reader_client: Client, author: User, shop: Shop
) -> None:
    add(approver_client, "interpass_max", "140 °F")
    rule = HouseRule.objects.get()
    url = reverse("house_limit_end", args=[rule.pk])
    assertContains(
        approver_client.post(url, {"reason": ""}), "Write the reason in one sentence.", status_code=422
    )
    assertRedirects(approver_client.post(url, {"reason": "The order is delivered."}), reverse("house_limits"))
    assert approver_client.get(url).status_code == 404
    assert verdict_of(author) is Verdict.COVERED
    assertContains(reader_client.get(reverse("house_limits")), "The order is delivered.")
    assert [e.verb for e in AuditEntry.objects.filter(record_kind="house limit")] == ["limit", "end_limit"]
    assert first_break() is None


@pytest.mark.parametrize(
    ("variable", "entry", "more", "field", "message"),
    [
        ("interpass_max", "", {}, "entry", "Say what is allowed."),
        ("interpass_max", "warm", {}, "entry", "Allowed: “warm”"),
        (
            "interpass_max",
            "100-150 °F",
            {},
            "entry",
            "“100-150 °F” is a range. Write one number, or choose “between”.",
        ),
        ("interpass_max", "9000 °F", {}, "entry", "lies outside what this field takes"),
        ("transfer_mode", [], {}, "entry", "Tick at least one that is allowed."),
        ("transfer_mode", ["jet"], {}, "entry", "Allowed has no “jet”. Tick one of those listed."),
        ("interpass_max", "150 °F", {"owner_name": " "}, "owner_name", "Enter the customer"),
        ("interpass_max", "150 °F", {"owner_kind": "shop"}, "owner_name", "the limit is the shop"),
        ("interpass_max", "150 °F", {"owner_kind": "navy"}, "owner_kind", "Whose limit has no “navy”."),
        ("interpass_max", "150 °F", {"reason": ""}, "reason", "Enter where the limit stands"),
        ("interpass_max", "150 °F", {"reach": "about"}, "reach", "There is no “about”."),
        ("transfer_mode", ["spray"], {"processes": ["GTAW"]}, "processes", "Processes has no “GTAW”."),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field_and_kept(
    variable: str,
    entry: Any,
    more: dict[str, Any],
    field: str,
    message: str,
    approver_client: Client,
    shop: Shop,
) -> None:
    answer = add(approver_client, variable, entry, **more)
    assert answer.status_code == 422
    assert message in str(answer.context["form"].errors[field])
    assert not HouseRule.objects.exists()
    if "reason" not in more:
        assertContains(answer, 'value="Purchase order 7, note 3."', status_code=422)


def test_who_may_what(reader_client: Client, author_client: Client) -> None:
    assert reader_client.get(reverse("house_limits")).status_code == 200
    for client in (reader_client, author_client):
        assert client.get(reverse("house_limit_add")).status_code == 403


def test_the_property_is_asked_for_first(approver_client: Client) -> None:
    url = reverse("house_limit_add")
    assertContains(approver_client.get(url), "Highest interpass temperature")
    assertContains(approver_client.get(url, {"variable": ""}), "Choose what is limited.", status_code=422)
    assertContains(
        approver_client.get(url, {"variable": "weather"}),
        "What is limited has no “weather”.",
        status_code=422,
    )


def test_an_issued_paper_is_derived_again_by_the_limits_it_was_judged_by(
    approver_client: Client, author: User, approver: User, shop: Shop
) -> None:
    add(approver_client, "interpass_max", "200 °F")
    test = approved_test(author, approver)
    made = approved_spec(author, approver, test, customer=CUSTOMER)
    HouseRule.objects.update(ended_because="The order is delivered.")
    add(approver_client, "filler_classification", "ER5183")
    found = rederive({"content": made.snapshot, "evidence": [test.snapshot]})
    assert (found.matches, found.differences) == (True, ())
    without = {**made.snapshot, "house_limits": []}
    assert "Highest interpass temperature differs" in " ".join(
        rederive({"content": without, "evidence": [test.snapshot]}).differences
    )
