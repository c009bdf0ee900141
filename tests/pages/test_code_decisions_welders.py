"""A welder's test of which the tables hold no rule for a weld: answered from the weld's page, for every
record."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import CodeDecision, Welder
from tests.shop_records import RESULTS, job, part, welder, welder_test
from wps.models import Part

pytestmark = pytest.mark.django_db

CODE, OPEN = "aws_d1_2_2014", "transfer_mode"
ANSWER = {
    "answer": "covered",
    "clause": "Clause 99.1",
    "copy": "Reading room copy 2",
    "words": "The invented clause lets a pulsed coupon stand for short-circuiting transfer.",
    "scope": "edition",
}
SHORT = {"transfer_mode": "short_circuiting"}


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def tester(author: User) -> Welder:
    who = welder()
    seen = {"craters_filled": "yes", "undercut": "0 in", "reinforcement": "1/16"}
    results = [each | (seen if each["kind"] == "visual" else {}) for each in RESULTS]
    welder_test(author, who, edition=CODE, results=[e for e in results if e["kind"] != "tension"])
    return who


@pytest.fixture
def weld(tester: Welder) -> Part:
    """Short-circuiting transfer beside a thin pulsed coupon: whether one stands for the other, and how far
    its thickness goes, is not in the tables."""
    return part(job(edition=CODE), line=SHORT)


def address(weld: Part, who: Welder, variable: str = OPEN) -> str:
    return reverse("part_decide", args=[weld.job_id, weld.pk, who.pk, 0, variable])


def verdict_of(client: Client, weld: Part) -> str:
    (answer,) = client.get(weld.get_absolute_url()).context["answers"]
    return answer.verdict


def test_only_an_approver_is_offered_the_question(
    weld: Part, tester: Welder, approver_client: Client, author_client: Client
) -> None:
    assert verdict_of(approver_client, weld) == "no_rule"
    page, other = (c.get(weld.get_absolute_url()).content.decode() for c in (approver_client, author_client))
    assert address(weld, tester) in page
    assert address(weld, tester) not in other
    assert author_client.post(address(weld, tester), ANSWER).status_code == 403


@pytest.mark.parametrize(("answer", "verdict"), [("covered", "covered"), ("not_covered", "not_covered")])
def test_the_answer_counts_on_the_welds_page_and_in_the_list(
    weld: Part, tester: Welder, approver_client: Client, answer: str, verdict: str
) -> None:
    approver_client.get(weld.job.get_absolute_url())
    for variable in (OPEN, "thickness_thinner", "thickness_thicker"):
        assert verdict_of(approver_client, weld) == "no_rule"
        said = ANSWER | {"answer": answer if variable == OPEN else "covered"}
        told = approver_client.post(address(weld, tester, variable), said)
        assert told.headers["Location"] == weld.get_absolute_url()
        if answer == "not_covered":
            break
    assert verdict_of(approver_client, weld) == verdict
    (row,) = approver_client.get(weld.job.get_absolute_url()).context["rows"]
    assert row.may == (verdict == "covered")
    made = CodeDecision.objects.first()
    assert made is not None
    assert (made.edition, made.procedure, made.question["side"]) == (CODE, "", "welder")


def test_it_holds_for_no_other_metal(weld: Part, tester: Welder, approver_client: Client) -> None:
    approver_client.post(address(weld, tester), ANSWER)
    other = part(weld.job, "G-13", line=SHORT, joint={"base_metal_a": "6063"})
    assert verdict_of(approver_client, other) == "no_rule"


def test_an_answer_for_one_procedure_cannot_be_given_and_what_is_settled_is_no_question(
    weld: Part, tester: Welder, approver_client: Client
) -> None:
    assert approver_client.post(address(weld, tester), ANSWER | {"scope": "procedure"}).status_code == 422
    for variable in ("process", "invented"):
        assert approver_client.post(address(weld, tester, variable), ANSWER).status_code == 302
    for wrong in ([weld.job_id, weld.pk, 999, 0], [weld.job_id, 999, tester.pk, 0]):
        assert approver_client.get(reverse("part_decide", args=[*wrong, OPEN])).status_code == 404
    line_three = reverse("part_decide", args=[weld.job_id, weld.pk, tester.pk, 2, OPEN])
    assert approver_client.get(line_three).status_code == 302
    assert not CodeDecision.objects.exists()


def test_under_a_content_list_no_question_is_offered_that_leads_nowhere(
    author: User, approver_client: Client
) -> None:
    """No row is there that an answer could stand for; the page says so, not that a test is missing."""
    who = welder()
    welder_test(author, who, edition="aws_b2_1_2021")
    asked = part(job(edition="aws_b2_1_2021"), line=SHORT)
    page = approver_client.get(asked.get_absolute_url()).content.decode()
    assert "is here as a content list only" in page
    assert "A content list only: what a record has to state." in page
    assert "/decide/" not in page
    assert "No approved and passed test" not in page
    told = approver_client.get(address(asked, who, "process"), follow=True)
    assert told.redirect_chain[-1][0] == asked.get_absolute_url()
