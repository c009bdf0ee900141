"""Files of the vault that belong to no record: found, told of, removed on asking; never one that anything
names."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from qualification.models import AuditEntry
from qualification.records import audit_guard
from tests.documents.papers import approved_spec, approved_test, signed
from wps import conditions
from wps.background import tasks
from wps.documents import issuing, left_over, vault
from wps.documents.left_over import OLD_SECONDS, clear_left_over
from wps.documents.trail import check_shop_trail
from wps.models import BackgroundTask, IssuedDocument, TaskState

pytestmark = pytest.mark.usefixtures("shop", "small_documents")
NOW = 1_800_000_000


def made_for_all(author: User, approver: User) -> IssuedDocument:
    return signed(approved_spec(author, approver, approved_test(author, approver)), author, approver)


@pytest.fixture(autouse=True)
def _two_hours_later(monkeypatch: pytest.MonkeyPatch) -> None:
    later = time.time() + 2 * OLD_SECONDS
    monkeypatch.setattr(left_over.time, "time", lambda: later)


def names() -> set[str]:
    return {each.path.name for each in left_over.left_over()}


def files(settings: Settings) -> set[str]:
    return {path.name for path in Path(settings.ISSUED_DIR).iterdir()}


def render_and_die(monkeypatch: pytest.MonkeyPatch, author: User, approver: User) -> str:
    """The name of the paper whose row was never stored."""

    def die(*said: object) -> None:
        raise KeyboardInterrupt

    approved_test(author, approver, "PT-031")
    before = {path.name for path in vault.path_of("0" * 64).parent.iterdir()}
    with monkeypatch.context() as patch:
        patch.setattr(issuing, "append", die)
        with pytest.raises(KeyboardInterrupt):
            tasks.run_all()
    (made,) = {path.name for path in vault.path_of("0" * 64).parent.iterdir()} - before
    return made


def test_what_records_name_is_not_left_over(document: IssuedDocument, settings: Settings) -> None:
    """Neither the newest file of a paper nor those before each signature."""
    assert len(files(settings)) > 2
    assert names() == set()


def test_a_paper_written_without_its_row_is_found_and_removed(
    author: User, approver: User, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = render_and_die(monkeypatch, author, approver)
    BackgroundTask.objects.filter(state=TaskState.RUNNING).update(alive_at=None)
    tasks.run_all()
    again = IssuedDocument.objects.get(number="PT-031")
    assert again.is_stored
    assert f"{again.sha256}.pdf" != made, "it was made again, with a time and a code of its own"
    assert names() == {made}
    named = files(settings) - names()
    gone, kept = clear_left_over("Hedda Berg")
    assert ({each.path.name for each in gone}, kept) == ({made}, [])
    assert files(settings) == named
    entry = AuditEntry.objects.latest("number")
    assert (entry.verb, entry.actor_name, entry.data) == (
        "clear_left_over",
        "Hedda Berg",
        {"files": [made]},
    )
    assert check_shop_trail().holds
    assert clear_left_over("Hedda Berg") == ([], [])
    assert AuditEntry.objects.latest("number") == entry, "nothing to remove is nothing to note"


@pytest.mark.parametrize(("age", "is_found"), [(-1, False), (0, False), (1, True)])
def test_one_that_may_be_of_somebody_at_work_is_left_alone(
    age: int, is_found: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(left_over.time, "time", lambda: NOW)
    path = vault.path_of(vault.store(b"%PDF-1.7 brought", ".pdf"))
    os.utime(path, (NOW - OLD_SECONDS - age,) * 2)
    assert names() == ({path.name} if is_found else set())


def test_other_files_of_the_folder_are_none_of_it(settings: Settings) -> None:
    folder = Path(settings.ISSUED_DIR)
    (folder / f"{vault.UNFINISHED}x").write_bytes(b"")
    (folder / "notes.txt").write_bytes(b"")
    assert names() == set()


def test_one_that_the_trail_names_had_a_record_once(document: IssuedDocument) -> None:
    entry = AuditEntry.objects.filter(data__sha256=document.rendered_sha256)
    assert entry.exists()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE wps_issueddocument SET sha256 = '', rendered_sha256 = ''")
        cursor.execute("DELETE FROM wps_signaturetaken")
    assert document.rendered_sha256 not in {name[:64] for name in names()}


def test_a_witness_of_what_the_trail_lost_is_never_removed(
    author: User, approver: User, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As with the folder of one shop and the database of another, or an end that was cut off."""
    made = render_and_die(monkeypatch, author, approver)
    head = AuditEntry.objects.latest("number").number
    audit_guard.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM qualification_auditentry WHERE number = %s", [head])
    audit_guard.install(connection)
    before = files(settings)
    gone, kept = clear_left_over("Hedda Berg")
    assert (gone, [each.path.name for each in kept]) == ([], [made])
    assert files(settings) == before


def test_administrator_and_command_line_are_told(
    author: User,
    approver: User,
    administrator_client: Client,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert conditions.papers().state == conditions.GOOD
    call_command("left_over")
    assert capsys.readouterr().out == "No file is left over.\n"
    made = render_and_die(monkeypatch, author, approver)
    assert conditions.papers().state == conditions.OPEN
    page = administrator_client.get(reverse("conditions")).content.decode()
    assert "1 file belongs to no record" in page
    assert "manage.py left_over" in page
    call_command("left_over")
    assert capsys.readouterr().out.startswith(f"{made} ")
    assert names() == {made}, "listing removes nothing"
    call_command("left_over", remove=True)
    assert capsys.readouterr().out.endswith(" removed\n")
    assert names() == set()
