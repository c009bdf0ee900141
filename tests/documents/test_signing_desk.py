"""Signing several documents with one passphrase."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.roles import APPROVER, AUTHOR, grant_roles
from tests.documents.papers import AUTHOR_PASSPHRASE, approved_spec, approved_test, certificates, issued
from wps.models import BackgroundTask, IssuedDocument, Stage

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
    assertContains(author_client.get(reverse("today")), "2 documents wait for my signature")
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


def test_all_that_wait_are_signed_without_a_tick(
    waiting: list[IssuedDocument], author_client: Client
) -> None:
    assertContains(author_client.get(reverse("signing_desk")), "Sign all 2 that wait")
    author_client.post(reverse("signing_desk"), {"all": "1", "passphrase": AUTHOR_PASSPHRASE})
    assert stages() == [Stage.APPROVER, Stage.APPROVER]


def test_who_wrote_and_approved_signs_once_for_both(
    waiting: list[IssuedDocument], author: User, author_client: Client
) -> None:
    """Each role keeps a signature of its own; the next person's turn stays with the next person."""
    IssuedDocument.objects.filter(pk=waiting[0].pk).update(approver=author)
    grant_roles(author, [AUTHOR, APPROVER])
    assertContains(author_client.get(reverse("signing_desk")), "Author and approver")
    author_client.post(reverse("signing_desk"), {"all": "1", "passphrase": AUTHOR_PASSPHRASE})
    both = IssuedDocument.objects.get(pk=waiting[0].pk)
    assert both.stage == Stage.SIGNED
    assert [each.role for each in both.signatures.order_by("pk")] == [Stage.AUTHOR, Stage.APPROVER]
    assert IssuedDocument.objects.get(pk=waiting[1].pk).stage == Stage.APPROVER


def test_a_paper_that_is_being_made_is_waited_for_and_opens_by_itself(
    author: User, approver: User, author_client: Client
) -> None:
    test = approved_test(author, approver)
    answer = author_client.get(reverse("document", args=["procedure-test", test.pk]), follow=True)
    assertContains(answer, "The PDF opens here as soon as it is made.")
    task = BackgroundTask.objects.get(kind="issue")
    watched = f"{reverse('background_task', args=[task.pk])}?then=open"
    assertContains(answer, watched)
    assert "HX-Redirect" not in author_client.get(watched, headers={"HX-Request": "true"})
    issued(test)
    done = author_client.get(watched, headers={"HX-Request": "true"})
    assert done["HX-Redirect"] == reverse("document", args=["procedure-test", test.pk])
    plain = author_client.get(watched.partition("?")[0], headers={"HX-Request": "true"})
    assert plain["HX-Redirect"] == task.back_url
