"""The own password before an act that binds, once the sign-in is not fresh any more."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from qualification import own_password
from qualification.models import ProcedureTest
from qualification.models.audit import AuditEntry
from qualification.models.record import State
from tests.shop_records import procedure_test
from wps.models import PersonalCertificate

PASSWORD = "a gangway of eleven metres"
PASSPHRASE = {"make-passphrase": "rope and seven lanterns", "make-again": "rope and seven lanterns"}

pytestmark = pytest.mark.usefixtures("shop")


@pytest.fixture
def client_long_in(approver: User, approver_client: Client) -> Client:
    """An approver's, who entered the password a quarter of an hour and a second ago."""
    approver.set_password(PASSWORD)
    approver.save()
    approver_client.force_login(approver)
    _age(approver_client, own_password.SITTING_SECONDS + 1)
    return approver_client


def waiting(author: User, number: str = "PT-014") -> ProcedureTest:
    """A test that may be approved."""
    welded = timezone.localdate() - timedelta(days=30)
    return procedure_test(author, number, State.IN_REVIEW, welded_on=welded)


def _age(client: Client, seconds: float) -> None:
    session = client.session
    session[own_password.ENTERED] -= seconds
    session.save()


def test_within_the_sitting_nothing_is_asked(author: User, approver_client: Client) -> None:
    record = waiting(author)
    _age(approver_client, own_password.SITTING_SECONDS - 60)
    page = reverse("procedure_test", args=[record.pk])
    assertNotContains(approver_client.get(page), 'name="own_password"')
    approver_client.post(reverse("procedure_test_step", args=[record.pk]), {"action": "approve"})
    record.refresh_from_db()
    assert record.state == State.APPROVED


def test_after_it_approving_asks_once(author: User, client_long_in: Client) -> None:
    first = waiting(author)
    second = waiting(author, "PT-002")
    step = reverse("procedure_test_step", args=[first.pk])
    assertContains(client_long_in.get(reverse("procedure_test", args=[first.pk])), 'name="own_password"')
    for typed, said in (("", "You signed in a while ago."), ("not it", "The password does not match.")):
        refused = client_long_in.post(step, {"action": "approve", "own_password": typed})
        assertContains(refused, said, status_code=refused.status_code)
        first.refresh_from_db()
        assert first.state == State.IN_REVIEW
    assert AuditEntry.objects.filter(verb="sign_in_failed").count() == 1
    client_long_in.post(step, {"action": "approve", "own_password": PASSWORD})
    client_long_in.post(reverse("procedure_test_step", args=[second.pk]), {"action": "approve"})
    for record in (first, second):
        record.refresh_from_db()
        assert record.state == State.APPROVED


def test_sending_back_is_no_act_that_binds(author: User, client_long_in: Client) -> None:
    record = waiting(author)
    returned = {"action": "return", "reason": "Gas missing."}
    client_long_in.post(reverse("procedure_test_step", args=[record.pk]), returned)
    record.refresh_from_db()
    assert record.state == State.DRAFT


def test_a_certificate_is_made_after_the_password(approver: User, client_long_in: Client) -> None:
    address = reverse("certificate_make")
    refused = client_long_in.post(address, PASSPHRASE)
    assertContains(refused, "Enter your password once more", status_code=422)
    assert not PersonalCertificate.objects.filter(person=approver).exists()
    client_long_in.post(address, PASSPHRASE | {"own_password": PASSWORD})
    assert PersonalCertificate.objects.filter(person=approver).count() == 1


@pytest.mark.parametrize(
    ("passphrase", "said"),
    [
        (PASSWORD, "Passphrase is your password."),
        ("passwordpassword", ""),
        ("1234567890123", "entirely numeric"),
    ],
)
def test_a_passphrase_that_is_easily_known(
    passphrase: str, said: str, approver: User, approver_client: Client
) -> None:
    approver.set_password(PASSWORD)
    approver.save()
    approver_client.force_login(approver)
    entries = {"make-passphrase": passphrase, "make-again": passphrase}
    answer = approver_client.post(reverse("certificate_make"), entries)
    if said:
        assertContains(answer, said, status_code=422)
    assert PersonalCertificate.objects.filter(person=approver).exists() is (not said)
