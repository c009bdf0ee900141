"""Does the background work that is due, then ends. The server starts it by itself."""

from __future__ import annotations

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from wps.background import tasks
from wps.background.alive import forget_all_but, hold_as_worker
from wps.documents import vault

NICENESS = 5
"""Below the server's own priority, so that pages stay quick while documents are rendered."""


class Command(BaseCommand):
    help = (
        "Do the background tasks that are due (rendering documents, assembling packets), then end. The server"
        " starts this by itself."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--server",
            type=int,
            metavar="PID",
            help=(
                "The process that started this one; once it is gone, end after the task in hand. The next"
                " server goes on."
            ),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        server = options["server"]
        if server is not None:
            os.nice(NICENESS)  # a process of its own; one that called the command would keep the priority
        vault.clear_unfinished()
        worker = hold_as_worker()
        forget_all_but([worker, *tasks.working()])
        done = tasks.run_all(worker=worker, goes_on=lambda: server is None or os.getppid() == server)
        if done:
            self.stdout.write(f"{done} background task{'' if done == 1 else 's'} done.")
