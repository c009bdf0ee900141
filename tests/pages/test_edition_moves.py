"""All records of an edition moved to another in one guided act: seen before, whole or not at all, and told in
the trail."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import AuditEntry, ProcedureTest, State
from qualification.records import workflow
from tests.ellery_works import said
from tests.shop_records import EDITION, job, procedure_test, spec, welder, welder_test
from wps.corrections import moving
from wps.models import Spec

pytestmark = pytest.mark.django_db
NAVY, D12, LIST = "us_navy_248_rev_1", "aws_d1_2_2014", "iso_14732_2013"


def address(target: str) -> str:
    return f"{reverse('edition_move', args=[EDITION])}?to={target}"


def entries(client: Client, target: str, **more: object) -> dict[str, object]:
    """What the page would send with every box ticked."""
    page = client.get(address(target)).content.decode()
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None
    records = re.findall(r'name="record" value="([^"]+)"', page)
    return {"to": target, "token": token[1], "record": records, "note": "The contract says so.", **more}


def test_what_would_change_is_shown_and_nothing_is_saved(author: User, author_client: Client) -> None:
    test = procedure_test(author)
    procedure = spec(author, test)
    job("J-1", edition=EDITION)
    page = author_client.get(address(D12))
    words = said(page)
    assert "PT-014 rev 0" in words
    assert procedure.reference in words
    assert "Open jobs under ASME BPVC Section IX, 2023" in words
    assert [each.edition for each in (*ProcedureTest.objects.all(), *Spec.objects.all())] == [EDITION] * 2


def test_all_move_together_and_procedures_rest_on_the_moved_tests(
    author: User, author_client: Client
) -> None:
    test = procedure_test(author)
    procedure = spec(author, test)
    draft = procedure_test(author, "PT-015", state=State.DRAFT)
    answer = author_client.post(address(D12), entries(author_client, D12), follow=True)
    moved = ProcedureTest.objects.get(number="PT-014", revision=1)
    assert (moved.edition, moved.state, moved.change_note) == (D12, State.DRAFT, "The contract says so.")
    test.refresh_from_db()
    assert (test.edition, test.state) == (EDITION, State.APPROVED)
    draft.refresh_from_db()
    assert (draft.edition, draft.revision) == (D12, 0)
    newest = procedure.revisions()[0]
    assert newest.edition == D12
    assert [each.pk for each in newest.tests.all()] == [moved.pk]
    report = said(answer)
    assert "Records moved to AWS D1.2/D1.2M, 2014" in report
    assert "PT-014 rev 1" in report
    entry = AuditEntry.objects.get(verb=moving.VERB)
    assert [each["made"] for each in entry.data["records"]] == ["PT-014 rev 1", "PT-015 rev 0", str(newest)]
    again = author_client.get(reverse("edition_move_report", args=[entry.pk]))
    assertContains(again, "The contract says so.")
    assertContains(again, "Records moved: 3.")
    assert re.search(r"Required: [^→]*: not asked → ", report)
    assert not re.search(r"Required: [^→]*: no such limit →", report)
    assert "No rule encoded: No rule encoded" not in report


def test_one_that_cannot_move_keeps_all_where_they_were(
    author: User, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    procedure_test(author)
    procedure_test(author, "PT-015")
    real = workflow.move_to_edition

    def refuse_the_second(record: ProcedureTest, *rest: str) -> object:
        if record.number == "PT-015":
            raise workflow.StepRefused("Somebody has begun a revision.")
        return real(record, *rest)

    sent = entries(author_client, D12)
    monkeypatch.setattr(workflow, "move_to_edition", refuse_the_second)
    refused = author_client.post(address(D12), sent)
    assertContains(
        refused, "PT-015 rev 0: Somebody has begun a revision. Nothing was moved.", status_code=409
    )
    assert ProcedureTest.objects.count() == 2
    assert not AuditEntry.objects.filter(verb__in=[moving.VERB, "revise"]).exists()


def test_only_what_is_ticked_moves(author: User, author_client: Client) -> None:
    first, second = procedure_test(author), procedure_test(author, "PT-015")
    author_client.post(address(D12), entries(author_client, D12, record=[f"procedure test:{second.pk}"]))
    assert first.revisions().count() == 1
    assert second.revisions().count() == 2


@pytest.mark.parametrize(
    ("more", "status", "words"),
    [
        ({"note": ""}, 422, "Say in one sentence why the records move"),
        ({"record": []}, 409, "Choose at least one record."),
        ({"token": "another"}, 409, "A record has changed since this was shown."),
    ],
)
def test_a_refusal_says_what_to_do_and_moves_nothing(
    more: dict[str, object], status: int, words: str, author: User, author_client: Client
) -> None:
    procedure_test(author)
    refused = author_client.post(address(D12), entries(author_client, D12, **more))
    assertContains(refused, words, status_code=status)
    assert ProcedureTest.objects.count() == 1


def test_what_changed_since_it_was_shown_is_shown_again(author: User, author_client: Client) -> None:
    draft = procedure_test(author, state=State.DRAFT)
    sent = entries(author_client, D12)
    draft.joint = {**draft.joint, "thickness_a": "3/8"}
    draft.save()
    refused = author_client.post(address(D12), sent)
    assertContains(refused, "A record has changed since this was shown.", status_code=409)
    draft.refresh_from_db()
    assert draft.edition == EDITION


def test_what_has_no_rules_there_or_is_in_review_stays_and_is_named(
    author: User, author_client: Client
) -> None:
    procedure_test(author, "PT-015", state=State.IN_REVIEW)
    procedure_test(author)
    welder_test(author, welder())
    page = said(author_client.get(address("iso_15614_2_2005")))
    assert "It is in review. Approve it or send it back first." in page
    assert "ISO 15614-2, 2005 has no rules for such a record." in page
    only = said(author_client.get(address(LIST)))
    assert "Welder test WT-021 rev 0" in only
    assert "ISO 14732, 2013 has no rules for such a record." in only


def test_an_older_revision_does_not_move(author: User, author_client: Client) -> None:
    test = procedure_test(author)
    workflow.start_revision(test, author, "Corrected.")
    sent = entries(author_client, D12)
    assert len(sent["record"]) == 1  # type: ignore[arg-type]
    author_client.post(address(D12), sent)
    assert [each.edition for each in test.revisions()] == [D12, EDITION]


def test_more_than_one_act_takes_are_counted(
    author: User, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(moving, "MOST", 2)
    for number in range(3):
        procedure_test(author, f"PT-{number}")
    assert "Left for a further act: 1 records of" in said(author_client.get(address(D12)))


def test_a_reader_sees_it_and_only_an_author_moves(
    author: User, author_client: Client, reader_client: Client
) -> None:
    procedure_test(author)
    page = reader_client.get(address(D12))
    assertNotContains(page, "Move them to")
    assert reader_client.post(address(D12), entries(author_client, D12)).status_code == 403
    assert ProcedureTest.objects.count() == 1
