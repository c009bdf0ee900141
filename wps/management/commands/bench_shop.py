"""Measures the pages that read a whole shop, at ten years of records against a hundredth of them; nothing is
stored: all of it happens in a copy of the database that is thrown away."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import time
from argparse import ArgumentParser
from contextlib import closing
from copy import copy
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction
from django.urls import reverse
from django.utils import timezone

from qualification.models import ProcessUse, State, Welder, WelderTest
from qualification.models.record import content_hash
from qualification.records.audit import Event, append_all
from wps.jobs.kept_standings import keep_in_background
from wps.management.commands._page_seconds import page_seconds

GOAL = 2.0
SMALL = 100
"""The smaller shop is one in so many of the larger one."""


class Command(BaseCommand):
    help = "Print the ratio of time at ten years of records to that at a hundredth of them, page by page."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--welders", type=int, default=200)
        parser.add_argument("--lines", type=int, default=100_000, help="lines of the logs (default 100,000)")
        parser.add_argument("--records", type=int, default=5_000)
        parser.add_argument("--step", default="", help="what the command has its own processes do")
        parser.add_argument("--first", type=int, default=0, help="welder that a step fills from")

    def handle(
        self, *args: Any, welders: int, lines: int, records: int, step: str, first: int, **options: Any
    ) -> None:
        if step == "fill":
            _fill(first, welders, lines, records)
            start = time.process_time()
            keep_in_background(0, lambda done, total: None)
            self.stdout.write(json.dumps([time.process_time() - start]))
        elif step:
            self.stdout.write(json.dumps(_measured(step)))
        else:
            self._compare(welders, lines // welders, records // welders)

    def _compare(self, welders: int, lines: int, records: int) -> None:
        if connection.vendor != "sqlite":
            raise CommandError("It measures copies of the database, which takes SQLite.")
        few = max(welders // SMALL, 1)
        with TemporaryDirectory() as folder:
            shop = _Copy(Path(folder) / "measured.sqlite3")
            size = [f"--lines={lines}", f"--records={records}"]
            shop.run("fill", "--first=0", f"--welders={few}", *size)
            pages = shop.pages()
            small = {name: shop.run(path) for name, path in pages.items()}
            (kept,) = shop.run("fill", f"--first={few}", f"--welders={welders}", *size)
            large = {name: shop.run(path) for name, path in pages.items()}
        self.stdout.write(
            f"{welders} welders, {welders * lines:,} lines of logs, {welders * records:,} records, against"
            f" one in {SMALL}; processor time, each page in a process of its own. The background worker"
            f" takes {kept:.1f} s for what is kept of the new welders."
        )
        for name in pages:
            for what, at in (("first look", 0), ("next look", 1)):
                ratio = large[name][at] / small[name][at]
                self.stdout.write(
                    f"{name}, {what}: {ratio:.1f} (goal: {GOAL:g} or less"
                    f"{'' if ratio <= GOAL else ', MISSED'}); {large[name][at] * 1000:.0f} ms"
                )
            self.stdout.write(f"{name}, after a line of a log: {large[name][2] * 1000:.0f} ms")


class _Copy:
    """A copy of the shop's database, that other processes work with."""

    def __init__(self, place: Path) -> None:
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(place)])
        self.environment = {**os.environ, "DATABASE_URL": f"sqlite:///{place}"}
        self.place = place

    def run(self, step: str, *more: str) -> list[float]:
        command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "bench_shop", f"--step={step}"]
        done = subprocess.run(
            [*command, *more], env=self.environment, check=True, capture_output=True, text=True
        )
        return json.loads(done.stdout.splitlines()[-1])

    def pages(self) -> dict[str, str]:
        with closing(sqlite3.connect(self.place)) as database:
            ((one,),) = database.execute("SELECT id FROM qualification_welder WHERE stamp = 'S000'")
        return {
            "Today": reverse("today"),
            "Welders": reverse("welder_list"),
            "One welder": reverse("welder", args=[one]),
            "Welder tests": reverse("welder_test_list"),
            "What ends": reverse("lapse_list"),
        }


def _fill(first: int, last: int, lines: int, records: int) -> None:
    """Welders with a log that reaches ten years back, and tests like an approved one, no two of them quite
    alike."""
    if first == 0:
        Welder.objects.update(active=False)
    like = WelderTest.objects.filter(state=State.APPROVED, edition="asme_ix_2023").order_by("number").first()
    if like is None:
        raise CommandError(
            "There are no approved records to measure with. Load the demo shop first: manage.py demo"
        )
    today = timezone.localdate()
    who = Welder.objects.bulk_create(Welder(stamp=f"S{n:03}", name=f"Nobody {n}") for n in range(first, last))
    ProcessUse.objects.bulk_create(
        (
            ProcessUse(
                welder=each,
                process="GMAW",
                operation="semiautomatic",
                used_on=today - timedelta(days=day * 3650 // lines),
                evidence="Measured",
            )
            for each in who
            for day in range(lines)
        ),
        batch_size=2000,
    )
    tests = [_like(like, each, n, today - timedelta(days=n * 140)) for each in who for n in range(records)]
    WelderTest.objects.bulk_create(tests, batch_size=200)
    append_all(
        [Event("approve", test.KIND, test.pk, str(test), {"snapshot": test.snapshot_hash}) for test in tests],
        "Nobody",
    )


def _like(like: WelderTest, who: Welder, n: int, welded_on: Any) -> WelderTest:
    test = copy(like)
    test._state = copy(like._state)
    test._state.adding, test.pk, test.welder, test.welded_on = True, None, who, welded_on
    test.number = f"{who.stamp}-{n:03}"
    test.joint = {**like.joint, "thickness_a": f"{0.25 + (who.pk * 31 + n) % 1000 / 2000:.4f} in"}
    said = {**(like.snapshot or {}), **test.content(), "welder_name": who.name, "welder_stamp": who.stamp}
    test.snapshot, test.snapshot_hash = said, content_hash(said)
    return test


def _log_a_use() -> None:
    ProcessUse.objects.create(
        welder=Welder.objects.get(stamp="S000"),
        process="GMAW",
        operation="semiautomatic",
        used_on=timezone.localdate(),
        evidence="Measured again",
    )


def _measured(path: str) -> tuple[float, float, float]:
    """Seconds of the first look, of the next one, and of one after a line of a log, which is taken back."""
    first, again = page_seconds(path), min(page_seconds(path) for _ in range(3))
    with transaction.atomic():
        _log_a_use()
        logged = page_seconds(path)
        transaction.set_rollback(True)
    return first, again, logged
