"""Work in the background: a table of tasks, and a worker process of its own that takes one after another.

Rendering keeps a processor busy for seconds, so it is not done in the server's process: pages stay quick, and
a crash while rendering takes nothing with it. Every task can be begun again from the start: what it made
before is found and not made twice. So a task whose worker died is simply taken up by the next one: at once
when the worker was of this machine, and otherwise once it has given no sign of life for a while.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from datetime import timedelta
from importlib import import_module

from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from qualification.roles import Person
from wps.background.alive import is_alive
from wps.models import BackgroundTask, TaskState

logger = logging.getLogger(__name__)

Progress = Callable[[int, int], None]
"""Called with how many steps are done, and of how many."""
Handler = Callable[[int, Progress], None]

HANDLERS = {
    "issue": "wps.documents.issuing:render_issued",
    "packet": "wps.packets.assembly:assemble",
    "demo_packet": "wps.demo.packet:issue_in_background",
    "check": "wps.documents.long_checks:run",
    "waveform": "qualification.waveforms.task_queue:waveform",
    "rejudge": "wps.corrections.table_change:judge_in_background",
    "backup": "wps.backups.schedule:back_up_in_background",
    "audit": "wps.documents.trail:check_in_background",
    "upgrade": "wps.corrections.upgrades:judge_in_background",
    "find": "wps.find.index:read_in_background",
    "standings": "wps.jobs.kept_standings:keep_in_background",
}
"""Task kind -> the function that does it, given the id of its subject; imported when it is needed."""
ATTEMPTS = 3
LEASE = timedelta(seconds=30)
BEAT_SECONDS = 5.0
UNEXPECTED = "It failed for a reason the program did not expect; the server's log says more. Try again."


def queue(kind: str, subject_id: int, label: str, back_url: str, person: Person | None) -> BackgroundTask:
    """Ask for a task. One that waits or runs already for the same subject is returned instead."""
    open_tasks = BackgroundTask.objects.filter(
        kind=kind, subject_id=subject_id, state__in=[TaskState.WAITING, TaskState.RUNNING]
    )
    if (found := open_tasks.first()) is not None:
        return found
    try:
        with transaction.atomic():
            return BackgroundTask.objects.create(
                kind=kind, subject_id=subject_id, label=label[:200], back_url=back_url, asked_by=person
            )  # type: ignore[misc]
    except IntegrityError:  # somebody asked for the same at the same time
        return open_tasks.get()


def is_due() -> bool:
    """True when a task waits or was left by a worker that died."""
    return _due().exists()


def _due() -> QuerySet[BackgroundTask]:
    running = Q(state=TaskState.RUNNING)
    stands = {name: is_alive(name) for name in working()}
    silent = Q(alive_at__isnull=True) | Q(alive_at__lt=timezone.now() - LEASE)
    silent &= ~Q(worker__in=[name for name, alive in stands.items() if alive])
    gone = Q(worker__in=[name for name, alive in stands.items() if alive is False])
    return BackgroundTask.objects.filter(Q(state=TaskState.WAITING) | (running & (silent | gone)))


def working() -> list[str]:
    """The names of the workers that have a task in hand, whether they still live or not."""
    running = BackgroundTask.objects.filter(state=TaskState.RUNNING).order_by()
    return list(running.values_list("worker", flat=True).distinct())


def _claim(worker: str) -> BackgroundTask | None:
    with transaction.atomic():
        # What another worker takes at this moment is no task for this one; the next after it is.
        task = _due().select_for_update(no_key=True, skip_locked=True).first()
        if task is None:
            return None
        task.state, task.attempts, task.alive_at = TaskState.RUNNING, task.attempts + 1, timezone.now()
        task.worker = worker
        task.save()
    return task


def run_next(*, worker: str = "") -> BackgroundTask | None:
    """Do the next task and return it as it ended; `None` when none is due.

    `worker`: the name of a worker process (`hold_as_worker`), which gives signs of life from a second thread.
    """
    task = _claim(worker)
    if task is None:
        return None
    if task.attempts > ATTEMPTS:
        return _finish(
            task,
            TaskState.FAILED,
            "It was begun three times and never came to an end; the server's log may say why.",
        )
    stop = threading.Event()
    if worker:
        threading.Thread(target=_keep_alive, args=(task.pk, stop), daemon=True).start()
    try:
        _handler(task.kind)(task.subject_id, _progress_of(task))
    except Exception as error:
        logger.exception("Background task %s failed", task.pk)
        return _finish(
            task, TaskState.FAILED, str(error) if getattr(error, "is_for_people", False) else UNEXPECTED
        )
    finally:
        stop.set()
    return _finish(task, TaskState.DONE, "")


def run_all(*, worker: str = "", goes_on: Callable[[], bool] = lambda: True) -> int:
    """Do tasks until none is due, or `goes_on` says no before the next one; how many were done."""
    count = 0
    while goes_on() and run_next(worker=worker) is not None:
        count += 1
    return count


def try_again(task: BackgroundTask) -> BackgroundTask:
    """Put a task that failed back in line; the one that does it. The same may have been asked for anew
    meanwhile: then that one does, and the failed one stays as it is."""
    failed = BackgroundTask.objects.filter(pk=task.pk, state=TaskState.FAILED)
    try:
        with transaction.atomic():
            failed.update(state=TaskState.WAITING, attempts=0, message="", done=0, finished_at=None)
    except IntegrityError:
        same = BackgroundTask.objects.filter(kind=task.kind, subject_id=task.subject_id)
        return same.order_by("-pk")[0]
    return task


def _handler(kind: str) -> Handler:
    module, _, name = HANDLERS[kind].partition(":")
    return getattr(import_module(module), name)


def _progress_of(task: BackgroundTask) -> Progress:
    def progress(done: int, total: int) -> None:
        BackgroundTask.objects.filter(pk=task.pk).update(done=done, total=total, alive_at=timezone.now())

    return progress


def _finish(task: BackgroundTask, state: TaskState, message: str) -> BackgroundTask:
    BackgroundTask.objects.filter(pk=task.pk).update(
        state=state, message=message[:600], finished_at=timezone.now()
    )
    task.refresh_from_db()
    return task


def _keep_alive(task_id: int, stop: threading.Event) -> None:
    try:
        while not stop.wait(BEAT_SECONDS):
            try:
                running = BackgroundTask.objects.filter(pk=task_id, state=TaskState.RUNNING)
                running.update(alive_at=timezone.now())
            except DatabaseError:  # held for long by another: the next sign comes through
                connection.close()
    finally:
        connection.close()
