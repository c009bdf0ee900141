"""Measures the search and the lists at many records against few; nothing is stored: all of it happens in a
transaction that is undone."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from copy import copy
from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from qualification.models import ProcedureTest, State, Welder, WelderTest
from qualification.models.record import Record
from wps.find.index import bring_up_to_date
from wps.management.commands._page_seconds import page_seconds
from wps.models import Job, Lot, Part, Spec

GOAL = 2.0
SEARCHES = {"a number": "W-0007", "a welder": "nobody 7", "a metal": "6061", "a slip": "gangwey 6061"}
TIMES = 5


class Command(BaseCommand):
    help = "Print the ratio of time of searches and lists at many records to that at few."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--records", type=int, default=10_000, help="of the search (default 10,000)")
        parser.add_argument("--few", type=int, default=100, help="of the search, to compare (default 100)")
        parser.add_argument("--listed", type=int, default=3_000, help="of each list (default 3,000)")
        parser.add_argument("--few-listed", type=int, default=30)
        parser.add_argument("--only", choices=["search", "lists"], default="")

    def handle(
        self, *args: Any, records: int, few: int, listed: int, few_listed: int, only: str, **options: Any
    ) -> None:
        searches = {
            f"Search for {name}": f"{reverse('find')}?{urlencode({'q': words})}"
            for name, words in SEARCHES.items()
        }
        lists = {
            name: reverse(name)
            for name in (
                "procedure_list",
                "procedure_test_list",
                "welder_test_list",
                "welder_list",
                "job_list",
                "lot_list",
            )
        }
        if only != "lists":
            self._compare(searches, _fill_welds, few, records)
        if only != "search":
            self._compare(lists, _fill_lists, few_listed, listed)

    @transaction.atomic
    def _compare(self, pages: dict[str, str], fill: Any, few: int, many: int) -> None:
        fill(0, few)
        bring_up_to_date()
        small = {name: _measured(path) for name, path in pages.items()}
        fill(few, many)
        start = time.process_time()
        bring_up_to_date()
        self.stdout.write(f"Reading the words of {many - few:,} new: {time.process_time() - start:.1f} s")
        large = {name: _measured(path) for name, path in pages.items()}
        self.stdout.write(f"{many:,} records against {few}; processor time")
        for name in pages:
            ratio = large[name] / small[name]
            self.stdout.write(
                f"{name}: {ratio:.1f} (goal: {GOAL:g} or less{'' if ratio <= GOAL else ', MISSED'});"
                f" {large[name] * 1000:.0f} ms"
            )
        transaction.set_rollback(True)


def _fill_welds(first: int, last: int) -> None:
    """Welds of one job, each with a mark, a drawing and a heat of its own."""
    job, _ = Job.objects.get_or_create(
        number="B-1", defaults={"title": "Gangway, measured", "edition": "asme_ix_2023"}
    )
    Part.objects.bulk_create(
        (
            Part(
                job=job,
                mark=f"W-{n:04}",
                title=f"Stringer {n % 90} to gangway frame {n}",
                drawing=f"D-{n // 40:03}",
                joint={"base_metal_a": ("6061", "5083")[n % 2], "thickness_a": f"{n % 31 + 1}/32"},
                lines=[{"process": "GMAW", "filler_classification": "ER5356", "shielding_gas": "100Ar"}],
                access=f"Heat {n * 7919 % 999_983:06}, welded by nobody {n % 200}",
            )
            for n in range(first, last)
        ),
        batch_size=500,
    )


def _fill_lists(first: int, last: int) -> None:
    """As many procedures, tests, welders, jobs and lots."""
    who = User.objects.order_by("pk").first() or User.objects.create(username="nobody-measured")
    today = timezone.localdate()
    welders = Welder.objects.bulk_create(
        Welder(stamp=f"Q{n:04}", name=f"Nobody {n}") for n in range(first, last)
    )
    for model, more in (
        (Spec, {}),
        (ProcedureTest, {"welded_on": today}),
        (WelderTest, {"welded_on": today, "welder": welders[0]}),
    ):
        kind: type[Record] = model
        kind.objects.bulk_create((_like(kind, n, who, more) for n in range(first, last)), batch_size=200)
    Job.objects.bulk_create(
        Job(number=f"B-{n + 10:05}", title="Measured", edition="asme_ix_2023") for n in range(first, last)
    )
    Lot.objects.bulk_create(
        Lot(kind="filler", number=f"B{n:05}", material="ER5356", recorded_by_name="Nobody")
        for n in range(first, last)
    )


def _like(model: type[Record], n: int, who: User, more: dict[str, Any]) -> Record:
    """A draft with the entries of a record of the shop, where it has one."""
    like = model.objects.exclude(state=State.WITHDRAWN).order_by("pk").first()
    made = copy(like) if like is not None else model(edition="asme_ix_2023")
    made._state = copy(made._state)
    made._state.adding, made.pk = True, None
    for name, value in {
        "number": f"B-{n:05}",
        "revision": 0,
        "state": State.DRAFT,
        "author": who,
        "snapshot": None,
        "snapshot_hash": "",
        **more,
    }.items():
        setattr(made, name, value)
    return made


def _measured(path: str) -> float:
    """Seconds of the quickest of some times, the first left out."""
    page_seconds(path)
    return min(page_seconds(path) for _ in range(TIMES))
