"""Beside the server: a thread that starts a worker process whenever a task is due, and waits for it to
end."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
import time

from django.conf import settings
from django.db import DatabaseError, connection

from wps import upkeep
from wps.background import tasks
from wps.jobs.warm_up import warm_up
from wps.local_files import hold_for_serving

logger = logging.getLogger(__name__)

LOOK_SECONDS = 1.0
"""How often the table of tasks is looked at."""
LONGEST_PAUSE = 60.0
"""Seconds between one worker that ended with an error and the next: from one, doubled with each."""
UPKEEP_SECONDS = 600.0
"""How often it is seen whether the shop's daily checks are due."""


def start() -> threading.Thread:
    """Watch for tasks until the server ends."""
    hold_for_serving(settings.LOCAL_DIR)
    thread = threading.Thread(target=_watch, name="background-work", daemon=True)
    thread.start()
    return thread


def _watch() -> None:
    pause, failed = threading.Event(), 0
    looked = -UPKEEP_SECONDS
    _warm_up()
    while not pause.wait(LOOK_SECONDS):
        try:
            if time.monotonic() - looked > UPKEEP_SECONDS:
                upkeep.queue_what_is_due()
                looked = time.monotonic()
            upkeep.queue_what_came_in()
            due = tasks.is_due()
        except DatabaseError:  # not migrated yet, or busy: look again
            due = False
        finally:
            connection.close()
        if due:
            failed = failed + 1 if run_worker() != 0 else 0
        if due and failed:
            logger.error("The worker process ended with an error; another one goes on.")
            pause.wait(min(2.0 ** (failed - 1), LONGEST_PAUSE))


def _warm_up() -> None:
    try:
        warm_up()
    except DatabaseError:  # not migrated yet, or busy: whoever looks first waits
        logger.info("Nothing was worked out ahead.")
    finally:
        connection.close()


def run_worker() -> int:
    """Run one worker process until no task is due; its exit status. The worker is polite: the server goes
    first."""
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work", f"--server={os.getpid()}"]
    return subprocess.run(
        command, env={**os.environ, "CTP_DATA": str(settings.LOCAL_DIR)}, check=False
    ).returncode
