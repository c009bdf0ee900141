"""What a backup is checked for, what is refused, locking it, and those the program makes by itself."""

from __future__ import annotations

import hashlib
import io
import os
import sqlite3
import stat
import tarfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
import time_machine
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.core.management.commands.migrate import Command as DjangoMigrate
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client
from django.urls import reverse
from pytest_django import Settings
from pytest_django.asserts import assertContains

from qualification.models.audit import AuditEntry
from qualification.records.audit import append
from wps.backups import archive, checking, locked, restoring, schedule
from wps.backups.checking import BadBackup
from wps.backups.restoring import CannotRestore, restore
from wps.local_files import hold_for_serving
from wps.management.commands import migrate
from wps.models import BackgroundTask, BackupPlan, TaskState
from wps.today.backups import backups_made
from wps.upkeep import queue_what_is_due

PAPER = b"%PDF-1.7 of AL-04"
PAPER_NAME = f"{hashlib.sha256(PAPER).hexdigest()}.pdf"
PASSPHRASE = "forty stanchions in a row"
TABLES = """
CREATE TABLE django_migrations (app TEXT, name TEXT);
CREATE TABLE wps_issueddocument (sha256 TEXT);
CREATE TABLE wps_attachment (sha256 TEXT);
CREATE TABLE wps_packet (sha256 TEXT);
"""


@pytest.fixture
def local(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop's folder with a small database of its own; the trail of a copy is said to hold."""
    folder = tmp_path / "data"
    (folder / "issued").mkdir(mode=0o700, parents=True)
    settings.LOCAL_DIR = folder
    (folder / "issued" / PAPER_NAME).write_bytes(PAPER)
    (folder / "secret_key").write_text("secret")

    def small_database(copy: Path) -> None:
        made = sqlite3.connect(copy)
        made.executescript(TABLES)
        made.execute("INSERT INTO wps_issueddocument VALUES (?)", [PAPER_NAME[:64]])
        made.commit()
        made.close()

    monkeypatch.setattr(archive, "_copy_database", small_database)
    monkeypatch.setattr(archive, "connection", SimpleNamespace(vendor="sqlite"))
    monkeypatch.setattr(checking, "connection", SimpleNamespace(vendor="sqlite"))
    monkeypatch.setattr(checking, "on_the_copy", lambda folder, *words: (0, "The audit trail holds."))
    return folder


@pytest.fixture
def backup(local: Path, tmp_path: Path, db: None) -> Path:
    archive.back_up(tmp_path / "kept.tar.gz")
    return tmp_path / "kept.tar.gz"


def changed(backup: Path, change: Callable[[str, bytes], bytes | None]) -> Path:
    """The backup with files of it changed, or left out."""
    made = backup.with_name("changed.tar.gz")
    with tarfile.open(backup) as old, tarfile.open(made, "w:gz") as new:
        for entry in old:
            content = change(entry.name, old.extractfile(entry).read())
            if content is not None:
                entry.size = len(content)
                new.addfile(entry, io.BytesIO(content))
    return made


def problems_of(file: Path, passphrase: str = "") -> list[str]:
    with checking.opened(file, passphrase, file.parent) as found:
        checking.check(found)
    return found.problems


def test_a_whole_backup_has_no_problem_and_leaves_nothing(backup: Path) -> None:
    assert problems_of(backup) == []
    assert not list(backup.parent.glob(".restoring-*"))


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        (PAPER_NAME, b"%PDF-1.7 of AL-05", "is not as it was backed up"),
        (PAPER_NAME, None, "is missing"),
        ("secret_key", b"another", "secret_key is not as it was backed up"),
        ("shop.sqlite3", b"SQLite format 3\0" + b"x" * 4096, None),
    ],
)
def test_what_was_changed_or_is_missing_is_found(
    backup: Path, name: str, content: bytes | None, said: str | None
) -> None:
    made = changed(backup, lambda entry, old: content if entry.endswith(name) else old)
    if said is None:
        with pytest.raises(BadBackup, match="cannot be read"):
            problems_of(made)
    else:
        assert any(said in each for each in problems_of(made))


def test_a_paper_the_database_names_must_be_there_in_backups_that_state_no_contents(backup: Path) -> None:
    """As those of early releases."""
    made = changed(backup, lambda entry, old: None if entry.endswith((PAPER_NAME, "contents.json")) else old)
    (problem,) = problems_of(made)
    assert PAPER_NAME[:16] in problem
    swapped = changed(
        backup,
        lambda entry, old: (
            None if entry.endswith("contents.json") else b"other" if entry.endswith(PAPER_NAME) else old
        ),
    )
    (problem,) = problems_of(swapped)
    assert "is not the paper it was stored as" in problem


def test_a_trail_that_does_not_hold_is_a_problem(backup: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        checking,
        "on_the_copy",
        lambda folder, *words: (int(words[0] == "audit"), "The audit trail does not hold."),
    )
    assert problems_of(backup) == ["The audit trail does not hold."]


def test_a_newer_programs_backup_is_refused_in_words(backup: Path) -> None:
    def newer(entry: str, old: bytes) -> bytes:
        if entry.endswith("program.txt"):
            return b"Coupon to Paper 9.0.0\n"
        if not entry.endswith("shop.sqlite3"):
            return old
        file = backup.with_name("newer.sqlite3")
        file.write_bytes(old)
        made = sqlite3.connect(file)
        made.execute("INSERT INTO django_migrations VALUES ('wps', '0999_later')")
        made.commit()
        made.close()
        return file.read_bytes()

    with pytest.raises(BadBackup, match=r"made by Coupon to Paper 9\.0\.0, a newer program.*wps 0999_later"):
        problems_of(changed(backup, newer))


@pytest.mark.parametrize("content", [b"", b"no archive at all", b"\x1f\x8b\x08\x00broken"])
def test_a_file_that_is_no_backup_is_refused_in_words(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "kept.tar.gz"
    file.write_bytes(content)
    with pytest.raises(BadBackup, match="damaged or no backup"):
        problems_of(file)


def test_a_backup_writes_nowhere_else(tmp_path: Path) -> None:
    file = tmp_path / "evil.tar.gz"
    with tarfile.open(file, "w:gz") as made:
        made.addfile(tarfile.TarInfo("shop/../../outside"), io.BytesIO())
    with pytest.raises(BadBackup, match="damaged or no backup"):
        problems_of(file)
    assert not (tmp_path.parent / "outside").exists()


def test_a_restore_puts_all_in_place_and_keeps_what_was_there(
    backup: Path, local: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restoring, "connection", SimpleNamespace(close=lambda: None))
    (local / "issued" / PAPER_NAME).write_bytes(b"spoiled")
    (local / "issued").chmod(0o755)
    (local / "shop.sqlite3").write_bytes(b"the present one")
    restored, before = restore(backup)
    assert before is not None
    assert (before / "issued" / PAPER_NAME).read_bytes() == b"spoiled"
    assert (before / "shop.sqlite3").read_bytes() == b"the present one"
    assert (local / "issued" / PAPER_NAME).read_bytes() == PAPER
    modes = [
        stat.S_IMODE(path.stat().st_mode)
        for path in (local / "issued", local / "issued" / PAPER_NAME, local / "shop.sqlite3")
    ]
    assert modes == [0o700, 0o400, 0o600]
    assert AuditEntry.objects.filter(verb="restore").get().data["files"] == restored.files


def test_a_shop_that_is_there_a_running_server_and_a_bad_backup_are_left_alone(
    backup: Path, local: Path, author: User
) -> None:
    with pytest.raises(CannotRestore, match="--replace"):
        restore(backup)
    held = hold_for_serving(local)
    with pytest.raises(CannotRestore, match="The program is running"):
        restore(backup, over_a_shop=True)
    os.close(held)
    spoiled = changed(backup, lambda entry, old: b"other" if entry.endswith(PAPER_NAME) else old)
    with pytest.raises(BadBackup, match="Nothing was restored"):
        restore(spoiled, over_a_shop=True)
    assert (local / "issued" / PAPER_NAME).read_bytes() == PAPER
    assert not list(local.glob("before-restore-*"))


def test_a_locked_backup_opens_with_its_passphrase_alone(
    local: Path, tmp_path: Path, db: None, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(CommandError, match="No passphrase is set"):
        call_command("backup", tmp_path / "kept.age.tar", "--locked")
    with pytest.raises(ValueError, match="fewer than 12"):
        locked.make_key("x" * 11)
    locked.make_key(PASSPHRASE)
    file = schedule.write(tmp_path / "kept")
    assert file.name == "kept.age.tar"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert PAPER not in file.read_bytes()
    assert [each.name for each in tmp_path.iterdir() if each.name.startswith("kept")] == ["kept.age.tar"]
    with pytest.raises(locked.WrongPassphrase, match="not opened by this passphrase"):
        problems_of(file, "forty stanchions in a line")
    with pytest.raises(BadBackup, match="locked with a passphrase"):
        problems_of(file)
    # A later passphrase opens later backups; this one keeps its own.
    locked.make_key("another one for the new year")
    (tmp_path / "word").write_text(f"{PASSPHRASE}\n")
    call_command("backup", file, "--verify", "--passphrase-file", tmp_path / "word")
    assert "The backup is whole" in capsys.readouterr().out


def test_the_daily_backup_keeps_a_number_and_is_copied(local: Path, tmp_path: Path, db: None) -> None:
    away = tmp_path / "away"
    away.mkdir()
    (away / "shop-holiday.tar.gz").write_text("not the program's own")
    BackupPlan(pk=1, folder=str(away), kept=2).save()
    for day in (1, 2, 3):
        with time_machine.travel(datetime(2031, 3, day, 6, tzinfo=UTC), tick=False):
            schedule.back_up_in_background(1, lambda done, of: None)
    kept = [path.name[:13] for path in (local / "backups").iterdir()]
    assert sorted(kept) == ["shop-20310302", "shop-20310303"]
    assert sorted(path.name[:13] for path in away.iterdir()) == [*sorted(kept), "shop-holiday."]


def test_what_a_killed_backup_left_is_no_backup_and_is_cleared(local: Path, db: None) -> None:
    """Copies of the database, and backups that were being written or locked when the process ended."""
    folder = local / "backups"
    left = [local / ".backing-up-x", folder / ".locking-x"]
    for each in left:
        each.mkdir(parents=True)
    files = [folder / f"shop-20310301-060000{ending}" for ending in (".tar.gz.part", ".age.tar.part")]
    for each in files:
        each.write_text("half")
    made = schedule.make(schedule.DAILY)
    assert schedule.present() == [made]
    assert all(each.exists() for each in (*left, *files))  # may be at work still
    for each in (*left, *files):
        os.utime(each, (0, 0))
    archive.clear_unfinished(folder)
    assert not any(each.exists() for each in (*left, *files))
    assert made.exists()


def test_a_locked_backup_never_lies_open_under_the_name_of_a_backup(
    local: Path, db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    locked.make_key(PASSPHRASE)
    seen: list[str] = []
    lock = locked.lock

    def look(plain: Path, target: Path) -> None:
        seen.extend(path.name for path in schedule.present())
        lock(plain, target)

    monkeypatch.setattr(locked, "lock", look)
    made = schedule.make(schedule.DAILY)
    assert (seen, schedule.present(), locked.is_locked(made)) == ([], [made], True)
    assert [path.name for path in (local / "backups").iterdir()] == [made.name]


def test_a_place_that_is_gone_is_said_and_the_backup_here_stays(local: Path, db: None) -> None:
    BackupPlan(pk=1, folder=str(local.parent / "gone")).save()
    with pytest.raises(schedule.NotBackedUp, match="lies on this computer alone"):
        schedule.back_up_in_background(1, lambda done, of: None)
    assert len(list((local / "backups").iterdir())) == 1


def test_today_warns_past_the_days_and_when_the_last_one_failed(local: Path, administrator: User) -> None:
    append("change", "shop", 1, "Tidewater", "Hedda Brandsma", {})
    now = AuditEntry.objects.get().at

    def said(days: float) -> list[str]:
        with time_machine.travel(now + timedelta(days=days), tick=False):
            return [matter.what for matter in backups_made(administrator).matters]

    assert said(7) == []
    assert said(7.01) == ["No backup for 7 days"]
    append("backup", "shop", 1, "Tidewater", "Program", {})
    BackgroundTask.objects.create(kind="backup", subject_id=1, label="Back up", state=TaskState.FAILED)
    assert said(6) == ["The last backup failed"]


def test_one_a_day_is_asked_for(local: Path, db: None) -> None:
    queue_what_is_due()
    queue_what_is_due()
    assert BackgroundTask.objects.filter(kind="backup").count() == 1


def test_a_database_of_a_newer_program_is_refused(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    applied = {("wps", "0999_later"): None}
    monkeypatch.setattr(MigrationRecorder, "applied_migrations", lambda self: applied)
    for command in ("migrate", "serve"):
        with pytest.raises(CommandError, match="last used by a newer program.*wps 0999_later"):
            call_command(command, verbosity=0)


def test_a_database_of_an_earlier_release_is_not_served(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """It would fail page by page; the server says what to type."""
    applied = dict.fromkeys(list(MigrationRecorder(connection).applied_migrations())[:-1])
    monkeypatch.setattr(MigrationRecorder, "applied_migrations", lambda self: applied)
    with pytest.raises(CommandError, match=r"earlier release.*Run manage\.py migrate first"):
        call_command("serve", verbosity=0)


def test_an_upgrade_backs_the_shop_up_before_it_changes_anything(
    local: Path, db: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    changed: list[bool] = []
    monkeypatch.setattr(DjangoMigrate, "handle", lambda *args, **options: changed.append(True))
    monkeypatch.setattr(migrate, "database_is_here", lambda: True)
    call_command("migrate")
    assert (changed, "Backed up" in capsys.readouterr().out) == ([True], False)  # nothing to change
    monkeypatch.setattr(migrate, "_something_to_do", lambda: True)
    call_command("migrate", without_backup=True)
    assert not schedule.own_folder().exists()
    call_command("migrate")
    (made,) = schedule.own_folder().glob(f"{schedule.BEFORE}*")
    assert f"Backed up before the upgrade: {made}" in capsys.readouterr().out
    assert len(changed) == 3

    def full(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(schedule, "make", full)
    with pytest.raises(CommandError, match="Nothing was changed: the backup before it failed.*No space"):
        call_command("migrate")
    assert len(changed) == 3


def test_the_plan_is_an_administrators(
    administrator_client: Client, author_client: Client, local: Path, tmp_path: Path
) -> None:
    assert author_client.get(reverse("backups")).status_code == 403
    page, entries = reverse("backups"), {"folder": "", "kept": "5", "warn_days": "3"}
    bad = {**entries, "folder": "elsewhere", "kept": "1", "passphrase": PASSPHRASE, "repeated": "x"}
    refused = administrator_client.post(page, bad)
    for words in ("elsewhere is no folder", "Backups kept is below 2", "its repeat differ"):
        assertContains(refused, words, status_code=422)
    inside = administrator_client.post(page, {**entries, "folder": str(local / "issued")})
    assertContains(inside, "own data", status_code=422)
    set_one = {**entries, "folder": str(tmp_path), "passphrase": PASSPHRASE, "repeated": PASSPHRASE}
    assert administrator_client.post(page, set_one).status_code == 302
    assert locked.has_key()
    assert PASSPHRASE not in str(AuditEntry.objects.order_by("-number").first().data)
    assertContains(administrator_client.get(page), "locked with a passphrase")
    administrator_client.post(page, {**entries, "unlocked": "on"})
    assert not locked.has_key()
    assert administrator_client.post(reverse("back_up_now")).status_code == 302
