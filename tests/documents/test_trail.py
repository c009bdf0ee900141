"""The audit trail against the papers in the vault: each remembers the end the trail had when it was made."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

from qualification.models import AuditEntry
from qualification.records import audit_guard
from qualification.records.audit import append, head_from
from qualification.records.audit_key import key_path
from tests.documents.papers import approved_spec, approved_test, bytes_of, issued, signed
from wps import upkeep
from wps.background import tasks
from wps.documents import vault
from wps.documents.trail import check_shop_trail
from wps.models import BackgroundTask, IssuedDocument, TaskState
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


def by_sql(statement: str) -> None:
    """Change the table past the guard, as somebody who may drop triggers can."""
    audit_guard.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute(statement)
    audit_guard.install(connection)


def made_for_all(author: User, approver: User) -> IssuedDocument:
    return signed(approved_spec(author, approver, approved_test(author, approver)), author, approver)


def test_a_paper_names_the_end_of_the_trail_it_was_made_at(author: User, approver: User) -> None:
    before = issued(approved_test(author, approver, "PT-015"))
    stated = json.loads(attached_files(bytes_of(before))["record.json"])["audit"]
    end = AuditEntry.objects.filter(verb="approve").latest("number")
    assert (stated["entries"], stated["end"]) == (end.number, end.hash)
    found = head_from(stated)
    assert found is not None
    assert found.words == f"{end.number} entries, end {end.hash[:8]} {end.hash[8:16]}"


@pytest.mark.parametrize(
    "change",
    [
        {"entries": 1},
        {"end": "0" * 64},
        {"seal": "0" * 64},
        {"seal": "ſ"},
        {"entries": "2"},
        {"seal": None},
    ],
)
def test_what_this_shop_did_not_seal_is_no_witness(
    change: dict[str, object], document: IssuedDocument
) -> None:
    stated = json.loads(attached_files(bytes_of(document))["record.json"])["audit"]
    assert head_from(stated) is not None
    assert head_from({**stated, **change}) is None
    assert head_from([stated]) is None


def test_the_command_says_of_a_whole_trail_how_long_it_is(
    document: IssuedDocument, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("audit")
    printed = capsys.readouterr().out
    assert printed.startswith(f"The audit trail holds: {AuditEntry.objects.count()} entries, end ")
    assert "issued papers agree." in printed


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "UPDATE qualification_auditentry SET actor_name = 'Somebody Else' WHERE number = 2",
            "Entry 2 (",
        ),
        (
            "DELETE FROM qualification_auditentry WHERE number > 3",
            "The end is missing: the trail stops after 3",
        ),
        ("DELETE FROM qualification_auditentry", "The end is missing: the trail stops after 0 entries"),
    ],
)
def test_the_command_finds_a_trail_changed_and_shortened(
    statement: str, said: str, document: IssuedDocument, capsys: pytest.CaptureFixture[str]
) -> None:
    by_sql(statement)
    with pytest.raises(SystemExit) as ended:
        call_command("audit")
    assert ended.value.code == 1
    printed = capsys.readouterr().out
    assert printed.startswith("The audit trail does not hold.")
    assert said in printed


def test_a_paper_is_a_witness_even_when_its_row_is_gone(document: IssuedDocument) -> None:
    by_sql("DELETE FROM qualification_auditentry WHERE number > 3")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE wps_issueddocument SET sha256 = '', rendered_sha256 = ''")
    assert check_shop_trail().first_break is not None


def test_a_copy_that_a_customer_holds_is_a_witness_where_the_shops_own_is_gone(
    document: IssuedDocument, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.pdf"
    copy.write_bytes(bytes_of(document))
    call_command("audit", str(copy))
    assert "The audit trail holds" in capsys.readouterr().out
    for path in vault.path_of("0" * 64).parent.iterdir():
        path.unlink()
    by_sql("DELETE FROM qualification_auditentry WHERE number > 3")
    assert check_shop_trail().first_break is None
    with pytest.raises(SystemExit):
        call_command("audit", str(copy))
    assert "the trail stops after 3 entries" in capsys.readouterr().out


def test_what_is_no_paper_of_this_shop_is_refused_as_a_witness(
    document: IssuedDocument, tmp_path: Path
) -> None:
    other = tmp_path / "other.pdf"
    other.write_bytes(b"no pdf at all")
    for path in (other, tmp_path / "absent.pdf"):
        with pytest.raises(CommandError, match="no paper of this shop"):
            call_command("audit", str(path))


def test_files_that_are_no_papers_of_this_shop_are_passed_over(document: IssuedDocument) -> None:
    vault.store(b"no pdf at all")
    assert check_shop_trail().holds


def test_it_is_checked_once_a_day_in_the_background_and_today_shows_what_came_of_it(
    document: IssuedDocument, approver: User, signed_in: Callable[[User], Client]
) -> None:
    upkeep.queue_what_is_due()
    upkeep.queue_what_is_due()
    task = BackgroundTask.objects.get(kind="audit")
    tasks.run_all()
    upkeep.queue_what_is_due()
    assert BackgroundTask.objects.get(kind="audit").state == TaskState.DONE
    assert "The audit trail held when it was last checked" in signed_in(approver).get("/").content.decode()
    by_sql("DELETE FROM qualification_auditentry WHERE number = 2")
    BackgroundTask.objects.filter(pk=task.pk).update(asked_at="2020-01-01T00:00:00Z")
    upkeep.queue_what_is_due()
    tasks.run_all()
    page = signed_in(approver).get("/").content.decode()
    assert "The audit trail does not hold" in page
    assert "Entry 2 is missing: entry 3 follows entry 1." in page
    assert "Background work that failed" not in page


def test_the_key_is_readable_by_its_owner_only_and_is_made_once(document: IssuedDocument) -> None:
    before = key_path().read_text()
    append("change", "welder", 1, "Anouk", "Maren Oosting", {})
    assert key_path().read_text() == before
    assert key_path().stat().st_mode & 0o777 == 0o600
