"""Measures a large job on this machine; nothing is stored: all of it happens in a transaction that is
undone."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.test import RequestFactory
from django.urls import resolve, reverse
from django.utils import timezone

from qualification.models import ProcedureTest, State, Welder, WelderTest
from qualification.who_may_weld import who_may_weld
from wps.fitting import Shelf, read_part
from wps.models import Job, Part, Spec

GOAL = 2.0
"""Seconds a page may take."""
THICKNESSES = ("1/8", "3/16", "1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1", "1 1/4")
POSITIONS = ("flat", "horizontal", "vertical", "overhead")


class Command(BaseCommand):
    help = "Print how long the pages of a large job take, and the ratio to asking about each weld on its own."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--welds", type=int, default=300)
        parser.add_argument("--details", type=int, default=60, help="different welds among them (default 60)")
        parser.add_argument("--procedures", type=int, default=40)
        parser.add_argument("--welders", type=int, default=60)
        parser.add_argument(
            "--alone", type=int, default=5, help="welds asked about one by one, for the ratio (default 5)"
        )

    def handle(
        self, *args: Any, welds: int, details: int, procedures: int, welders: int, alone: int, **options: Any
    ) -> None:
        with transaction.atomic():
            job = _records(welds, details, procedures, welders)
            parts = list(job.parts.all())
            page = _seconds(lambda: _page(reverse("job", args=[job.pk])))
            weld = _seconds(lambda: _page(parts[0].get_absolute_url()))
            who = _seconds(lambda: _page(reverse("who_may_weld") + f"?part={parts[0].pk}"))
            single = _seconds(lambda: [_alone(part) for part in parts[:alone]]) / alone * welds
            transaction.set_rollback(True)
        self.stdout.write(
            f"{welds} welds of {details} details, {procedures} procedures, {welders} welders; processor time"
        )
        for what, found in (
            ("Page of the job", page),
            ("Page of one weld", weld),
            ("Who may weld one of them", who),
        ):
            self.stdout.write(
                f"{what}: {found:.2f} s (goal: {GOAL:g} or less{'' if found <= GOAL else ', MISSED'})"
            )
        self.stdout.write(
            f"Page of the job against each weld on its own: {page / single:.4f} ({single:.1f} s, from {alone}"
            " welds)"
        )


def _page(path: str) -> None:
    """The page of that address as a reader with every right gets it."""
    request = RequestFactory().get(path)
    request.user = User(username="nobody", is_superuser=True)
    found = resolve(request.path)
    answer = found.func(request, *found.args, **found.kwargs)
    assert answer.status_code == 200, answer.status_code


def _alone(part: Part) -> None:
    shelf = Shelf.of(part.job.edition, part.job.customer, part.job.number)
    drawn = read_part(part)
    fits = shelf.fits(drawn, part.units)
    chosen = next((fit for fit in fits if fit.spec.number == part.spec_number), None)
    made = chosen.weld if chosen else drawn
    who_may_weld(
        made,
        Welder.objects.filter(active=True),
        timezone.localdate(),
        shelf.edition,
        shelf.house(chosen.spec if chosen else None),
    )


def _records(welds: int, details: int, procedures: int, welders: int) -> Job:
    """A job of so many welds beside so many procedures and welders, made of the approved ones of the shop."""
    spec = (
        Spec.objects.filter(state=State.APPROVED, edition="asme_ix_2023", tests__isnull=False)
        .order_by("number")
        .first()
    )
    tested = (
        WelderTest.objects.filter(state=State.APPROVED, edition="asme_ix_2023").order_by("number").first()
    )
    part = Part.objects.filter(job__edition="asme_ix_2023").exclude(lines=[]).order_by("pk").first()
    if spec is None or tested is None or part is None:
        raise CommandError(
            "There are no approved records to measure with. Load the demo shop first: manage.py demo"
        )
    coupons = list(spec.tests.all())
    numbers = [_procedure(spec, coupons, n) for n in range(procedures)]
    for n in range(welders):
        _welder(tested, n)
    job = Job.objects.create(number="BENCH", title="Measured", customer="", edition="asme_ix_2023")
    Part.objects.bulk_create(
        Part(
            job=job,
            mark=f"B-{n:03}",
            title="Measured",
            units=part.units,
            spec_number=numbers[detail % len(numbers)] if detail % 4 else "",
            joint={
                **part.joint,
                "thickness_a": f"{0.125 + 0.005 * detail:.3f} in",
                "position": POSITIONS[detail % 4],
            },
            lines=part.lines,
        )
        for n in range(welds)
        for detail in [n % details]
    )
    return job


def _procedure(like: Spec, coupons: list[ProcedureTest], n: int) -> str:
    made = Spec.objects.get(pk=like.pk)
    made.pk, made.number, made.revision, made.title = None, f"BENCH-{n:03}", 0, f"Measured {n}"
    made.joint = {**like.joint, "root_opening": f"{n % 9 + 1}/32"}
    made.save()
    tests = []
    for each in coupons:
        test = ProcedureTest.objects.get(pk=each.pk)
        test.pk, test.number = None, f"BENCH-{n:03}-{each.number}"
        test.save()
        tests.append(test)
    made.tests.set(tests)
    return made.number


def _welder(like: WelderTest, n: int) -> None:
    who = Welder.objects.create(stamp=f"B{n:03}", name=f"Nobody {n}")
    for number, thickness in enumerate((THICKNESSES[n % 5 + 1], THICKNESSES[n % 4 + 5])):
        test = WelderTest.objects.get(pk=like.pk)
        test.pk, test.number, test.welder = None, f"BENCH-{n:03}-{number}", who
        test.joint = {**like.joint, "thickness_a": thickness}
        test.save()


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start
