"""Signing several documents with one passphrase."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from tests.documents.papers import AUTHOR_PASSPHRASE, approved_spec, approved_test, certificates, issued
from wps.models import IssuedDocument, Stage

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


@pytest.fixture
def waiting(author: User, approver: User) -> list[IssuedDocument]:
    """Two documents that wait for their author."""
    test = approved_test(author, approver)
    made = [issued(test), issued(approved_spec(author, approver, test))]
    certificates(author, approver)
    return made


def stages() -> list[str]:
    return sorted(IssuedDocument.objects.values_list("stage", flat=True))


def test_the_desk_lists_what_waits_for_the_person_and_today_leads_there(
    waiting: list[IssuedDocument], author_client: Client, approver_client: Client
) -> None:
    page = author_client.get(reverse("signing_desk"))
    for document in waiting:
        assertContains(page, document.reference)
    assertContains(author_client.get(reverse("today")), "All 2 to sign")
    assertContains(approver_client.get(reverse("signing_desk")), "No document waits for your signature.")


def test_what_is_ticked_is_signed_with_one_passphrase(
    waiting: list[IssuedDocument], author_client: Client
) -> None:
    chosen = [document.pk for document in waiting]
    answer = author_client.post(
        reverse("signing_desk"), {"documents": chosen, "passphrase": AUTHOR_PASSPHRASE}, follow=True
    )
    assertContains(answer, "You have signed 2 documents.")
    assert stages() == [Stage.APPROVER, Stage.APPROVER]


def test_what_is_not_ticked_stays(waiting: list[IssuedDocument], author_client: Client) -> None:
    author_client.post(
        reverse("signing_desk"), {"documents": [waiting[0].pk], "passphrase": AUTHOR_PASSPHRASE}
    )
    assert stages() == sorted([Stage.APPROVER, Stage.AUTHOR])
    answer = author_client.post(reverse("signing_desk"), {"passphrase": AUTHOR_PASSPHRASE})
    assertContains(answer, "No document is ticked.", status_code=409)


def test_a_wrong_passphrase_signs_nothing_and_keeps_the_ticks(
    waiting: list[IssuedDocument], author_client: Client
) -> None:
    chosen = [document.pk for document in waiting]
    answer = author_client.post(
        reverse("signing_desk"), {"documents": chosen, "passphrase": "something else"}
    )
    assertContains(answer, "Not everything was signed", status_code=409)
    assertContains(answer, "checked", count=2, status_code=409)
    assertNotContains(answer, "something else", status_code=409)
    assert stages() == [Stage.AUTHOR, Stage.AUTHOR]


def test_one_at_a_time_is_answered_for_the_script(
    waiting: list[IssuedDocument], author_client: Client
) -> None:
    address, first = reverse("signing_desk"), waiting[0].pk
    answer = author_client.post(address, {"one": first, "passphrase": AUTHOR_PASSPHRASE})
    assert answer.status_code == 200
    assert answer.json()["signed"].startswith("Signed.")
    answer = author_client.post(address, {"one": first, "passphrase": AUTHOR_PASSPHRASE})
    assert (answer.status_code, "Load the page again" in answer.json()["refused"]) == (409, True)
    answer = author_client.post(address, {"one": waiting[1].pk, "passphrase": "x"})
    assert answer.status_code == 409
    assert stages() == sorted([Stage.APPROVER, Stage.AUTHOR])


def test_nobody_signs_what_waits_for_another(waiting: list[IssuedDocument], approver_client: Client) -> None:
    answer = approver_client.post(
        reverse("signing_desk"), {"one": waiting[0].pk, "passphrase": "slipway brass oar"}
    )
    assert answer.status_code == 409
    assert stages() == [Stage.AUTHOR, Stage.AUTHOR]
