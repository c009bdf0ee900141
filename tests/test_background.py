"""Background work: taken up once, told how far it is, resumed after a worker died, given up after three
attempts."""

from __future__ import annotations

import os
import time
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from wps.background import alive, tasks
from wps.management.commands.work import NICENESS
from wps.models import BackgroundTask, TaskState

pytestmark = pytest.mark.django_db

DONE: list[int] = []


def note(subject_id: int, progress: tasks.Progress) -> None:
    progress(1, 2)
    DONE.append(subject_id)
    progress(2, 2)


def fail(subject_id: int, progress: tasks.Progress) -> None:
    raise RuntimeError("the disk is full")


@pytest.fixture(autouse=True)
def _handlers(monkeypatch: pytest.MonkeyPatch) -> None:
    DONE.clear()
    monkeypatch.setattr(tasks, "HANDLERS", {"note": f"{__name__}:note", "fail": f"{__name__}:fail"})


def queue(kind: str = "note", subject: int = 7) -> BackgroundTask:
    return tasks.queue(kind, subject, "Note a thing", "/", None)


def test_a_task_is_done_once_and_says_how_far_it_came() -> None:
    task = queue()
    assert queue().pk == task.pk
    assert tasks.run_all() == 1
    task.refresh_from_db()
    assert (DONE, task.state, task.done, task.total) == ([7], TaskState.DONE, 2, 2)
    assert queue().pk != task.pk


def test_a_task_left_by_a_worker_that_died_is_taken_up_again() -> None:
    task = queue()
    BackgroundTask.objects.update(state=TaskState.RUNNING, attempts=1, alive_at=timezone.now())
    assert tasks.run_next() is None
    assert not tasks.is_due()
    BackgroundTask.objects.update(alive_at=timezone.now() - tasks.LEASE - timedelta(seconds=1))
    assert tasks.is_due()
    call_command("work")
    task.refresh_from_db()
    assert (DONE, task.state, task.attempts) == ([7], TaskState.DONE, 2)


def test_the_task_of_a_worker_that_ended_is_due_at_once_and_that_of_one_that_lives_never() -> None:
    task = queue()
    name = alive.hold_as_worker()
    long_ago = timezone.now() - tasks.LEASE - timedelta(days=1)
    BackgroundTask.objects.update(state=TaskState.RUNNING, attempts=1, worker=name, alive_at=long_ago)
    assert not tasks.is_due()
    alive.forget_all_but([])
    assert alive.is_alive(name)
    BackgroundTask.objects.update(alive_at=timezone.now())
    os.close(alive._held.pop())  # as the system does when the process ends
    assert tasks.is_due()
    call_command("work")
    task.refresh_from_db()
    assert (DONE, task.state, task.attempts) == ([7], TaskState.DONE, 2)
    alive.forget_all_but([])
    assert alive.is_alive(name) is None


def test_of_another_machines_worker_only_its_signs_of_life_are_believed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On a folder that machines share, its lock may be free here while it works there."""
    monkeypatch.setattr(alive, "_machine", lambda: "another")
    name = alive.hold_as_worker()
    path = alive._folder() / name
    os.close(alive._held.pop())
    monkeypatch.undo()
    task = queue()
    BackgroundTask.objects.update(state=TaskState.RUNNING, worker=name, alive_at=timezone.now())
    assert alive.is_alive(name) is None
    assert not tasks.is_due()
    alive.forget_all_but([])
    assert path.exists()
    long_ago = time.time() - alive.OLD_SECONDS - 1
    os.utime(path, (long_ago, long_ago))
    alive.forget_all_but([name])
    assert path.exists()
    alive.forget_all_but([])
    assert not path.exists()
    BackgroundTask.objects.update(alive_at=timezone.now() - tasks.LEASE - timedelta(seconds=1))
    assert tasks.is_due()
    assert tasks.run_next() == task


def test_a_worker_whose_server_is_gone_leaves_what_waits_to_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    lowered: list[int] = []
    monkeypatch.setattr(os, "nice", lowered.append)  # the process of all further tests keeps its priority
    task = queue()
    call_command("work", server=os.getpid())  # nobody is the parent of itself
    task.refresh_from_db()
    assert (DONE, task.state) == ([], TaskState.WAITING)
    call_command("work", server=os.getppid())
    task.refresh_from_db()
    assert (DONE, task.state) == ([7], TaskState.DONE)
    assert lowered == [NICENESS, NICENESS]


def test_a_task_that_kills_its_worker_each_time_is_given_up() -> None:
    task = queue()
    BackgroundTask.objects.update(state=TaskState.RUNNING, attempts=tasks.ATTEMPTS, alive_at=None)
    tasks.run_next()
    task.refresh_from_db()
    assert (DONE, task.state) == ([], TaskState.FAILED)
    assert "begun three times" in task.message


def test_a_failure_is_said_without_its_inside_and_can_be_tried_again(reader_client: Client) -> None:
    task = queue("fail")
    tasks.run_all()
    page = reader_client.get(task.get_absolute_url()).content.decode()
    assert "It failed for a reason the program did not expect" in page
    assert "disk is full" not in page
    reader_client.post(f"/background/{task.pk}/again/")
    task.refresh_from_db()
    assert (task.state, task.attempts) == (TaskState.WAITING, 0)


def test_what_was_asked_for_anew_meanwhile_is_not_put_in_line_twice(reader_client: Client) -> None:
    failed = queue("fail")
    tasks.run_all()
    anew = queue("fail")
    answer = reader_client.post(f"/background/{failed.pk}/again/")
    assert (answer.status_code, answer["Location"]) == (302, anew.get_absolute_url())
    failed.refresh_from_db()
    assert (failed.state, BackgroundTask.objects.count()) == (TaskState.FAILED, 2)


def test_the_page_draws_itself_again_while_it_runs_and_leads_on_when_done(reader_client: Client) -> None:
    task = queue()
    assert "every 1s" in reader_client.get(task.get_absolute_url()).content.decode()
    tasks.run_all()
    answer = reader_client.get(task.get_absolute_url(), headers={"HX-Request": "true"})
    assert answer["HX-Redirect"] == "/"
    assert "every 1s" not in reader_client.get(task.get_absolute_url()).content.decode()
