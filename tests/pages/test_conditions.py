"""What the program says of the machine it runs on, and of faults that lie with the machine."""

from __future__ import annotations

import errno
import os
import shutil
from collections import namedtuple
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings
from pytest_django.asserts import assertContains, assertNotContains

from qualification.records.audit import append
from wps import conditions
from wps.demo.people import PASSWORD
from wps.models import BackgroundTask

pytestmark = pytest.mark.usefixtures("shop")
Usage = namedtuple("Usage", "total used free")


def free(monkeypatch: pytest.MonkeyPatch, megabytes: int) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda path: Usage(0, 0, megabytes * 1_000_000))


def test_a_computer_in_order(administrator_client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    free(monkeypatch, 50_000)
    page = administrator_client.get(reverse("conditions"))
    # PostgreSQL is backed up by its own tools, which is worth a look.
    worth_a_look = int(connection.vendor != "sqlite")
    assertContains(page, "In order", count=len(conditions.CONDITIONS) - worth_a_look)
    assertContains(page, "50 GB are left.")


def test_it_is_for_administrators(author_client: Client) -> None:
    assert author_client.get(reverse("conditions")).status_code == 403


@pytest.mark.parametrize(
    ("password", "proxy", "listen", "state"),
    [
        (PASSWORD, False, "", conditions.OPEN),
        (PASSWORD, False, "127.0.0.1", conditions.OPEN),
        (PASSWORD, True, "", conditions.BAD),
        (PASSWORD, False, "192.168.7.20", conditions.BAD),
        ("a long walk on the breakwater", True, "", conditions.GOOD),
    ],
)
def test_demo_passwords_that_strangers_may_use(
    password: str,
    proxy: bool,
    listen: str,
    state: str,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
    administrator_client: Client,
) -> None:
    User.objects.create_user("ilse", password=password)
    settings.BEHIND_PROXY = proxy
    monkeypatch.setenv("CTP_LISTEN", listen)
    assert conditions.demo_passwords().state == state
    said = "the demo passwords still open it (ilse)" in administrator_client.get("/").content.decode()
    assert said is (state == conditions.BAD)


@pytest.mark.parametrize(
    ("megabytes", "state"),
    [
        (199, conditions.BAD),
        (200, conditions.OPEN),
        (1999, conditions.OPEN),
        (2000, conditions.GOOD),
    ],
)
def test_room_on_the_disk(megabytes: int, state: str, monkeypatch: pytest.MonkeyPatch) -> None:
    free(monkeypatch, megabytes)
    assert conditions.room_on_disk().state == state


def test_a_folder_that_takes_no_files(settings: Settings, tmp_path: Path) -> None:
    settings.LOCAL_DIR = tmp_path / "gone"
    found = conditions.data_folder()
    assert (found.state, "until then nothing is saved" in found.words) == (conditions.BAD, True)


def test_a_database_that_takes_no_entries(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: object, **kwargs: object) -> None:
        raise OperationalError("attempt to write a readonly database")

    monkeypatch.setattr(conditions.Shop.objects, "filter", refuse)
    assert (conditions.database().state, conditions.database().words) == (
        conditions.BAD,
        conditions.READ_ONLY,
    )


def test_fonts_that_are_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(conditions, "FONTS", ("fonts/never-was.ttf",))
    assert conditions.fonts().state == conditions.BAD


@pytest.mark.parametrize(("minutes", "state"), [(1, conditions.GOOD), (3, conditions.BAD)])
def test_work_that_nobody_does(minutes: int, state: str, administrator_client: Client) -> None:
    task = BackgroundTask.objects.create(kind="trail", subject_id=1, label="Check the audit trail")
    BackgroundTask.objects.update(asked_at=timezone.now() - timedelta(minutes=minutes))
    assert conditions.background_work().state == state
    today = administrator_client.get(reverse("today"))
    (assertContains if state == conditions.BAD else assertNotContains)(today, f"“{task.label}” has waited")


@pytest.mark.parametrize(
    ("sign", "seconds", "state"),
    [
        ({"state": "running"}, 119, conditions.GOOD),
        ({"state": "running"}, 121, conditions.BAD),
        ({"state": "done"}, 119, conditions.GOOD),
        ({"state": "done"}, 121, conditions.BAD),
        ({"state": "waiting"}, 10, conditions.BAD),
    ],
)
def test_work_that_waits_its_turn_is_no_trouble(sign: dict[str, str], seconds: int, state: str) -> None:
    """As after an import, or the first start of the demo: one worker does one task after another."""
    now = timezone.now()
    for number in (1, 2):
        BackgroundTask.objects.create(kind="issue", subject_id=number, label="Make a document")
    BackgroundTask.objects.update(asked_at=now - timedelta(minutes=9))
    last = now - timedelta(seconds=seconds)
    stamp = {"running": "alive_at", "done": "finished_at", "waiting": "alive_at"}[sign["state"]]
    made = BackgroundTask.objects.create(kind="trail", subject_id=1, label="Check the trail", **sign)
    BackgroundTask.objects.filter(pk=made.pk).update(**{stamp: last})
    with time_machine.travel(now, tick=False):
        found = conditions.background_work()
    assert (found.state, "wait their turn" in found.words) == (state, state == conditions.GOOD)


@pytest.mark.parametrize(("back", "state"), [(1, conditions.GOOD), (60, conditions.BAD)])
def test_a_clock_that_was_set_back(back: int, state: str) -> None:
    append("sign_in", "sign-in", 1, "maren", "Maren Oosting", {})
    with time_machine.travel(timezone.now() - timedelta(minutes=back)):
        assert conditions.clock().state == state


FAULTS = [
    (OperationalError("database or disk is full"), conditions.FULL),
    (OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), conditions.FULL),
    (OperationalError("attempt to write a readonly database"), conditions.READ_ONLY),
    (OSError(errno.EROFS, os.strerror(errno.EROFS)), conditions.READ_ONLY),
    (OperationalError("database is locked"), conditions.HELD),
    (OperationalError("connection to server at 127.0.0.1 failed"), conditions.SILENT),
    (OperationalError("no such table"), ""),
    (ValueError("disk is full"), ""),
]


@pytest.mark.parametrize(("error", "words"), FAULTS, ids=[str(error) for error, _ in FAULTS])
def test_a_fault_of_the_machine_says_what_to_do(
    error: Exception, words: str, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object, **kwargs: object) -> None:
        raise error

    monkeypatch.setattr("wps.views.today.sections_for", fail)
    author_client.raise_request_exception = False
    answer = author_client.get(reverse("today"))
    if words:
        assertContains(answer, words, status_code=503)
        assertContains(answer, "was not saved, no part of it", status_code=503)
    else:
        assertContains(answer, "The program failed", status_code=500)


def test_the_check_before_a_release_says_it_too(monkeypatch: pytest.MonkeyPatch, administrator: User) -> None:
    free(monkeypatch, 3)
    with pytest.raises(CommandError, match="Room on the disk: 3 MB are left"):
        call_command("check", deploy=True)
