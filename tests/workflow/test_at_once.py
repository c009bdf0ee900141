"""Two who write at the same moment: one waits for the other, neither fails, and the chain stays whole.

SQLite lets one write at a time by itself; these tests are about PostgreSQL and hold on both.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.contrib.auth.models import User
from django.db import connection, transaction

from qualification.models import AuditEntry, TrialPass
from qualification.records.audit import append
from qualification.records.audit_check import first_break
from qualification.trials.store import save_trial, version_of
from tests.trial_records import trial

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*work: Callable[[], None]) -> None:
    """Run each in a thread with a connection of its own; whatever one of them raises is raised here."""

    def alone(one: Callable[[], None]) -> None:
        try:
            one()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(work)) as threads:
        for running in [threads.submit(alone, one) for one in work]:
            running.result()


def note(name: str) -> AuditEntry:
    return append("change", "welder", 1, name, "Maren Oosting", {})


@pytest.mark.parametrize("before", [0, 1])
def test_the_second_entry_names_the_first_though_both_were_written_at_once(before: int) -> None:
    for _ in range(before):
        note("earlier")
    written = threading.Event()

    def slow() -> None:
        with transaction.atomic():
            note("first")
            written.set()
            time.sleep(0.5)

    def quick() -> None:
        assert written.wait()
        note("second")

    at_once(slow, quick)
    assert [entry.record_name for entry in AuditEntry.objects.order_by("id")][before:] == ["first", "second"]
    assert first_break() is None


def test_saving_a_record_and_adding_to_it_at_once_do_not_block_one_another(author: User) -> None:
    """One writes the trail and then adds a row that points at the trial; the other holds the trial
    meanwhile."""
    made = trial(author)
    written = threading.Event()

    def add() -> None:
        with transaction.atomic():
            note("a pass")
            written.set()
            time.sleep(0.5)
            TrialPass.objects.create(trial_id=made.pk, position=1)

    def save() -> None:
        assert written.wait()
        save_trial(made, [], version_of(made), "page-1", author)

    at_once(add, save)
    assert made.passes.count() == 1
    assert first_break() is None
