"""Where the tables have no rule, an approver answers by the code: recorded, printed as theirs, withdrawn."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from qualification.models import AuditEntry, CodeDecision, Shop
from qualification.models.record import content_hash
from qualification.records.audit_check import first_break
from qualification.rules.core.findings import Provenance, Verdict
from tests.shop_records import RESULTS, procedure_test, spec
from wps.documents.rederive import rederive
from wps.models import Spec
from wps.procedures.approval import judgement_of, obstacles_to_spec
from wps.procedures.snapshot import spec_content

pytestmark = pytest.mark.django_db

CODE = "aws_d1_2_2014"
PIPE = {"product_form": "pipe", "diameter": "8-10 in OD"}
ANSWER = {
    "answer": "covered",
    "clause": "Clause 99.1",
    "copy": "Reading room copy 2",
    "words": "The invented clause lets a plate coupon stand for this pipe.",
    "scope": "procedure",
}


@pytest.fixture
def open_spec(author: User, shop: Shop) -> Spec:
    """Small pipe resting on a plate coupon, of which the tables hold no rule."""
    seen = {"craters_filled": "yes", "undercut": "0 in", "reinforcement": "1/16"}
    results = [each | seen if each["kind"] == "visual" else each for each in RESULTS]
    return spec(author, procedure_test(author, edition=CODE, results=results), edition=CODE, joint=PIPE)


def forms_of(made: Spec) -> list[Verdict]:
    made = Spec.objects.get(pk=made.pk)
    return [f.verdict for f in judgement_of(made).report.findings if f.variable == "product_form"]


def decide(client: Client, made: Spec, **changes: str) -> None:
    answer = client.post(f"/procedures/{made.pk}/decide/0/product_form/", ANSWER | changes)
    assert answer.status_code == 302


def test_the_page_offers_the_question_to_an_approver_and_names_them_to_others(
    open_spec: Spec, approver_client: Client, author_client: Client
) -> None:
    address = f"/procedures/{open_spec.pk}/decide/0/product_form/"
    assert address in approver_client.get(open_spec.get_absolute_url()).content.decode()
    shown = author_client.get(open_spec.get_absolute_url()).content.decode()
    assert address not in shown
    assert "decide-title" in shown
    assert author_client.get(address).status_code == 403
    assert any("Decide by the code" in each for each in obstacles_to_spec(open_spec))


def test_an_answer_counts_as_the_persons_own_and_is_frozen_and_derived_again(
    open_spec: Spec, approver_client: Client
) -> None:
    assert forms_of(open_spec) == [Verdict.NO_RULE]
    decide(approver_client, open_spec)
    judged = judgement_of(open_spec)
    (finding,) = [f for f in judged.report.findings if f.variable == "product_form"]
    assert finding.verdict is Verdict.COVERED
    assert (finding.citation.clause, finding.citation.provenance) == ("Clause 99.1", Provenance.SHOP)
    assert "Tobias Quell" in finding.because
    assert AuditEntry.objects.filter(verb="decide").count() == 1
    assert first_break() is None
    content = spec_content(open_spec, judged)
    assert [each["clause"] for each in content["decisions"]] == ["Clause 99.1"]
    evidence = [test.snapshot for test in open_spec.tests.all()]
    content["tests"][0]["content_hash"] = content_hash(evidence[0])
    CodeDecision.objects.all().delete()
    again = rederive({"content": content, "evidence": evidence})
    assert again.matches, again.differences


def test_an_answer_that_says_not_covered_refuses(open_spec: Spec, approver_client: Client) -> None:
    decide(approver_client, open_spec, answer="not_covered")
    assert forms_of(open_spec) == [Verdict.NOT_COVERED]


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, Verdict.COVERED),
        ({"diameter": "8.5-9 in OD"}, Verdict.COVERED),
        ({"diameter": "8-10.01 in OD"}, Verdict.NO_RULE),
        ({"diameter": "2 in OD"}, Verdict.NO_RULE),
        ({"thickness_a": "1/16-1/2"}, Verdict.NO_RULE),
    ],
)
def test_it_holds_for_what_was_asked_or_less_and_for_nothing_beyond(
    open_spec: Spec, approver_client: Client, changes: dict[str, str], verdict: Verdict
) -> None:
    decide(approver_client, open_spec)
    Spec.objects.filter(pk=open_spec.pk).update(joint=open_spec.joint | changes)
    assert forms_of(open_spec) == [verdict]


@pytest.mark.parametrize(("scope", "verdict"), [("procedure", Verdict.NO_RULE), ("edition", Verdict.COVERED)])
def test_an_answer_for_the_edition_holds_for_the_next_procedure_too(
    open_spec: Spec, author: User, approver_client: Client, scope: str, verdict: Verdict
) -> None:
    decide(approver_client, open_spec, scope=scope)
    other = spec(author, *open_spec.tests.all(), edition=CODE, joint=PIPE, number="W-102")
    assert forms_of(other) == [verdict]


def test_what_a_rule_refuses_is_no_question(open_spec: Spec, approver_client: Client) -> None:
    Spec.objects.filter(pk=open_spec.pk).update(joint=open_spec.joint | {"thickness_a": "3-4 in"})
    decide(approver_client, open_spec)
    before = CodeDecision.objects.count()
    for variable in ("thickness_thinner", "process", "preheat_min"):
        answer = approver_client.post(f"/procedures/{open_spec.pk}/decide/0/{variable}/", ANSWER)
        assert answer.status_code == 302
    assert CodeDecision.objects.count() == before


def test_a_withdrawn_answer_opens_the_question_again(open_spec: Spec, approver_client: Client) -> None:
    decide(approver_client, open_spec)
    made = CodeDecision.objects.get()
    assert "Clause 99.1" in approver_client.get("/shop/decisions/").content.decode()
    address = f"/shop/decisions/{made.pk}/withdraw/"
    assert approver_client.get(address).status_code == 200
    approver_client.post(address, {"reason": "The clause speaks of tube only."})
    assert forms_of(open_spec) == [Verdict.NO_RULE]
    assert approver_client.get(address).status_code == 404


def test_an_empty_answer_is_refused_with_what_to_do(open_spec: Spec, approver_client: Client) -> None:
    answer = approver_client.post(f"/procedures/{open_spec.pk}/decide/0/product_form/", {})
    assert answer.status_code == 422
    assert "Enter the clause you read." in answer.content.decode()
    assert not CodeDecision.objects.exists()
