"""Beside the server: a thread that starts a worker process whenever a task is due, and waits for it to
end."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading

from django.conf import settings
from django.db import DatabaseError, connection

from wps import background

logger = logging.getLogger(__name__)

LOOK_SECONDS = 1.0
"""How often the table of tasks is looked at."""


def start() -> threading.Thread:
    """Watch for tasks until the server ends."""
    thread = threading.Thread(target=_watch, name="background-work", daemon=True)
    thread.start()
    return thread


def _watch() -> None:
    pause = threading.Event()
    while not pause.wait(LOOK_SECONDS):
        try:
            due = background.is_due()
        except DatabaseError:  # not migrated yet, or busy: look again
            due = False
        finally:
            connection.close()
        if due and run_worker() != 0:
            logger.error("The worker process ended with an error; it is started again in a minute.")
            pause.wait(60)


def run_worker() -> int:
    """Run one worker process until no task is due; its exit status. The worker is polite: the server goes
    first."""
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work", f"--server={os.getpid()}"]
    return subprocess.run(
        command, env={**os.environ, "CTP_DATA": str(settings.LOCAL_DIR)}, check=False
    ).returncode
