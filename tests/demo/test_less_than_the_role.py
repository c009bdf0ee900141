"""Whoever has less than a role changes nothing by it: every form of every page, as the shop administrator
gets it, sent by somebody who has no sign-in or only reads, whether or not a page shows it to them.

Source: OWASP Top Ten 2021, A01: access control is enforced by the server, for each request (from memory)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client

from tests.demo.conftest import DemoShop
from tests.fuzz.targets import Form, addresses, forms_behind

Rows = dict[str, dict[object, tuple[object, ...]]]

OPEN = (
    *("/sign-in/", "/session/", "/phone/", "/verify/", "/shared/", "/first/", "/here/", "/look/"),
    "/certificate/authority.",
)
"""Beginnings of addresses that answer without a sign-in."""
OWN = frozenset(
    {
        "wps.FileCheck",
        "wps.BackgroundTask",
        "wps.CalendarFeed",
        "wps.PersonalCertificate",
        "qualification.AuditEntry",
        "qualification.ChangeMark",
        "qualification.KeptStandings",
        "wps.SearchEntry",
        "otp_totp.TOTPDevice",
    }
)
"""What a reader writes of the own: files brought to be checked, the own certificate, marks of the program."""


def stored() -> Rows:
    """All of the shop."""
    models = [
        model
        for label in ("qualification", "wps", "auth")
        for model in apps.get_app_config(label).get_models(include_auto_created=True)
        if model._meta.label not in OWN
    ]
    return {
        model._meta.label: {
            row[0]: row
            for row in model._base_manager.values_list(
                "pk",
                *(f.attname for f in model._meta.concrete_fields if f.name not in ("last_login", "alive_at")),
            )
        }
        for model in models
    }


def differing(before: Rows, after: Rows) -> list[str]:
    return [
        f"{label} {key}: {before[label].get(key)} became {after[label].get(key)}"[:600]
        for label in before
        for key in {**before[label], **after[label]}
        if before[label].get(key) != after[label].get(key)
    ]


@pytest.fixture
def forms(demo_shop: DemoShop) -> list[Form]:
    client = Client()
    client.force_login(User.objects.get(username="hedda"))
    with transaction.atomic():
        found = forms_behind(client, addresses())
        transaction.set_rollback(True)
    assert len(found) > 100
    return [form for form in found if form.method == "post"]


def sent(client: Client, form: Form) -> int:
    files = {name: SimpleUploadedFile("list.csv", b"Name;Stamp\nAda Holm;AH-9\n") for name in form.files}
    with transaction.atomic():
        return client.post(form.action, {**form.fields, **files}).status_code


def by_twenties(forms: list[Form]) -> Iterator[list[Form]]:
    for at in range(0, len(forms), 20):
        yield forms[at : at + 20]


@pytest.mark.parametrize("who", ["", "ilse"])
def test_nobody_without_the_role_changes_anything(who: str, forms: list[Form]) -> None:
    client, statuses = Client(), []
    if who:
        client.force_login(User.objects.get(username=who))
    before = stored()
    for several in by_twenties(forms):
        statuses += [sent(client, form) for form in several]
        assert differing(before, stored()) == [], [form.action for form in several]
    assert max(statuses) < 500
    assert statuses.count(403 if who else 401) > len(forms) / 2


def test_every_address_asks_for_a_sign_in(demo_shop: DemoShop) -> None:
    client, answered = Client(), []
    for address in addresses():
        for word in ("procedure", "procedure-test", "1"):
            path = address.filled(1, word)
            for answer in (client.get(path), client.post(path)):
                asks = answer.status_code in (401, 404, 405) or (
                    answer.status_code == 302 and answer["Location"].startswith("/sign-in/?next=")
                )
                if not asks and not path.startswith(OPEN):
                    answered.append((path, answer.status_code))
    assert answered == []
