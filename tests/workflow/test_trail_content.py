"""What has to be in the audit trail beside the life of records: people, settings, exports, old and new
values."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from qualification.codes.house_limits import add_rule, end_rule
from qualification.models import AuditEntry, HouseRule, OwnerKind, Shop
from qualification.records.audit_check import first_break
from qualification.records.drafts import save_draft, version_of
from qualification.records.value_changes import changes_between
from tests.shop_records import procedure_test, spec, welder
from wps.models import Job

pytestmark = pytest.mark.usefixtures("shop")
PASSWORD = "brass-oar-slipway"


def entries(verb: str, kind: str = "") -> list[AuditEntry]:
    found = AuditEntry.objects.filter(verb=verb).order_by("number")
    return list(found.filter(record_kind=kind) if kind else found)


def only(verb: str, kind: str = "") -> AuditEntry:
    (found,) = entries(verb, kind)
    return found


@pytest.mark.parametrize(
    ("before", "after", "changes"),
    [
        ({"a": 1}, {"a": 1}, {}),
        ({"a": 1}, {"a": 2}, {"a": [1, 2]}),
        ({"a": 1}, {}, {"a": [1, None]}),
        ({}, {"a": {"b": "x"}}, {"a.b": [None, "x"]}),
        ({"lines": [{"amps": "120"}]}, {"lines": [{"amps": "130"}]}, {"lines.0.amps": ["120", "130"]}),
        ({"lines": [{"amps": "1"}]}, {"lines": []}, {"lines.0.amps": ["1", None], "lines": [None, []]}),
        (
            {"position": ["flat"]},
            {"position": ["flat", "vertical"]},
            {"position": [["flat"], ["flat", "vertical"]]},
        ),
    ],
)
def test_a_change_is_old_and_new_value_by_place(
    before: dict[str, Any], after: dict[str, Any], changes: dict[str, list[Any]]
) -> None:
    assert changes_between(before, after) == changes


def test_sign_ins_and_failures(author: User, client: Client) -> None:
    author.set_password(PASSWORD)
    author.save()
    client.post("/sign-in/", {"username": "maren", "password": "wrong"})
    client.post("/sign-in/", {"username": "maren", "password": PASSWORD})
    failed, done = only("sign_in_failed"), only("sign_in")
    assert (failed.record_name, failed.actor_name) == ("maren", "Not signed in")
    assert (done.record_id, done.actor_name) == (author.pk, "Maren Oosting")
    assert "wrong" not in str(failed.data)


def test_guessing_does_not_fill_the_trail(author: User, client: Client) -> None:
    for _ in range(12):
        client.post("/sign-in/", {"username": "maren", "password": "wrong"})
    assert len(entries("sign_in_failed")) == 8


ACCOUNT = {"username": "jelle", "first_name": "Jelle", "last_name": "Hoekstra", "is_active": "on"}


def test_accounts_roles_and_passwords_set_by_another(administrator_client: Client) -> None:
    administrator_client.post("/shop/people/new/", {**ACCOUNT, "password": PASSWORD, "roles": ["reader"]})
    made = only("create", "person")
    assert made.actor_name == "Hedda Brandsma"
    assert made.data["changes"]["roles"] == [None, ["reader"]]
    person = User.objects.get(username="jelle")
    address = f"/shop/people/{person.pk}/"
    administrator_client.post(address, {**ACCOUNT, "roles": ["reader", "approver"], "is_superuser": "on"})
    changed = only("change", "person")
    assert changed.data["changes"] == {
        "administrator": [False, True],
        "roles": [["reader"], ["approver", "reader"]],
    }
    assert entries("set_password") == []
    administrator_client.post(
        address,
        {**ACCOUNT, "roles": ["reader", "approver"], "is_superuser": "on", "password": "lamp-crane-harbor"},
    )
    assert only("set_password").record_id == person.pk
    assert "lamp-crane-harbor" not in str(list(AuditEntry.objects.values_list("data")))


def test_the_own_password(author: User, author_client: Client) -> None:
    author.set_password(PASSWORD)
    author.save()
    author_client.force_login(author)
    author_client.post(
        "/password/",
        {
            "old_password": PASSWORD,
            "new_password1": "lamp-crane-harbor",
            "new_password2": "lamp-crane-harbor",
        },
    )
    assert only("change_password").actor_name == "Maren Oosting"


def test_shop_settings(approver_client: Client, shop: Shop) -> None:
    said = {"name": shop.name, "address": shop.address, "code_edition": "", "unit_order": "inch_first"}
    said |= {"photo_place": "on"}
    approver_client.post("/shop/", {**said, "responsible_person": "Tobias Quell"})
    assert entries("change", "shop") == []
    approver_client.post("/shop/", {**said, "responsible_person": "Ilse Varga", "allow_self_approval": "on"})
    assert only("change", "shop").data["changes"] == {
        "responsible_person": ["Tobias Quell", "Ilse Varga"],
        "allow_self_approval": [False, True],
    }


def test_limits(approver: User) -> None:
    rule = HouseRule(
        owner_kind=OwnerKind.SHOP,
        variable="preheat_min",
        entry="50 °F",
        at_least=True,
        units="us",
        reason="Cold",
    )
    add_rule(rule, approver)
    end_rule(rule, "Heated hall.", approver)
    assert only("limit").data["limit"]["entry"] == "50 °F"
    assert only("end_limit").data["limit"]["entry"] == "50 °F"


def test_a_draft_keeps_old_and_new_values(author: User) -> None:
    made = spec(author, procedure_test(author))
    made.lines = [{**made.lines[0], "amps": "120-170"}]
    save_draft(made, author, version_of(type(made).objects.get()), ["amps"], {"tests": []})
    assert only("change", "procedure").data["changes"] == {
        "lines.0.amps": ["120-180", "120-170"],
        "tests": [["PT-014 rev 0"], []],
    }


WHO = {
    "name": "Anouk Berglund",
    "born_on": "1991-02-17",
    "born_at": "Port Ellery",
    "identified_by": "Identity card",
}
JOB = {"number": "J-1", "title": "Gangway", "customer": "Port Ellery", "edition": "asme_ix_2023"}


def test_a_welder_and_a_job_keep_them_too(author_client: Client) -> None:
    anouk = welder()
    author_client.post(
        f"/welders/{anouk.pk}/edit/",
        {
            "name": anouk.name,
            "stamp": "AL",
            "born_on": "1991-02-17",
            "born_at": "Port Ellery",
            "identified_by": "Identity card",
        },
    )
    assert only("change", "welder").data["changes"] == {"stamp": ["AB", "AL"]}
    job = Job.objects.create(**JOB)
    author_client.post(
        f"/jobs/{job.pk}/edit/",
        {
            "number": "J-1",
            "title": "Long gangway",
            "customer": "Port Ellery",
            "edition": "asme_ix_2023",
            "open": "on",
        },
    )
    assert only("change", "job").data["changes"] == {"title": ["Gangway", "Long gangway"]}


def test_backups(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wps.backups.archive.connection", SimpleNamespace(vendor="sqlite"))
    monkeypatch.setattr(
        "wps.backups.archive._copy_database",
        lambda copy: sqlite3.connect(copy).execute("CREATE TABLE kept (id)"),
    )
    call_command("backup", tmp_path / "kept.tar.gz")
    assert only("backup").data == {"file": "kept.tar.gz"}
    assert first_break() is None
