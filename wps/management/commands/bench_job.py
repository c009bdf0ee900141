"""Measures a large job on this machine; nothing is stored: all of it happens in a transaction that is
undone."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from collections.abc import Callable, Sequence
from typing import Any
from unittest.mock import patch

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import RequestFactory
from django.urls import resolve, reverse
from django.utils import timezone

from qualification.models import ProcedureTest, ProcessUse, Record, State, Welder, WelderTest
from qualification.models.record import content_hash
from qualification.records.audit import append
from qualification.welders.who_may_weld import who_may_weld
from wps.jobs.warm_up import warm_up
from wps.models import Job, Part, Spec
from wps.procedures.procedure_match import ApprovedProcedures, read_part
from wps.views import jobs

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
            address = reverse("job", args=[job.pk])
            warm = _seconds(warm_up)
            page, again = _seconds(lambda: _page(address)), _seconds(lambda: _page(address))
            bare = _bare(job)
            empty = _empty()
            drawn, asked = parts[0].get_absolute_url(), reverse("who_may_weld") + f"?part={parts[1].pk}"
            weld, weld_again = _seconds(lambda: _page(drawn)), _seconds(lambda: _page(drawn))
            who, who_again = _seconds(lambda: _page(asked)), _seconds(lambda: _page(asked))
            _log_a_use()
            logged = _seconds(lambda: _page(address))
            single = _seconds(lambda: _alone(parts[:alone])) / alone * welds
            transaction.set_rollback(True)
        self.stdout.write(
            f"{welds} welds of {details} details, {procedures} procedures, {welders} welders; processor time"
        )
        self.stdout.write(f"What the server works out after a start, before anybody looks: {warm:.2f} s")
        for what, found in (
            ("Page of the job", page),
            ("Page of one weld", weld),
            ("Who may weld one of them", who),
        ):
            self.stdout.write(
                f"{what}: {found:.2f} s (goal: {GOAL:g} or less{'' if found <= GOAL else ', MISSED'})"
            )
        for what, found, least, goal in (
            ("Page of the job, first time, to rendering its rows at hand", page, bare, None),
            ("Page of the job, next time, to rendering its rows at hand", again, bare, 2),
            ("Page of the job after a line of a log, to rendering its rows at hand", logged, bare, None),
            ("Page of one weld, first time, to an empty page", weld, empty, None),
            ("Page of one weld, next time, to an empty page", weld_again, empty, 3),
            ("Who may weld one of them, first time, to an empty page", who, empty, None),
            ("Who may weld one of them, next time, to an empty page", who_again, empty, 3),
        ):
            ratio = found / least
            held = goal and f" (goal: {goal} or less{'' if ratio <= goal else ', MISSED'})"
            self.stdout.write(f"{what}: {ratio:.1f}{held or ''}")
        self.stdout.write(
            f"Page of the job against each weld on its own: {page / single:.4f} ({single:.1f} s, from {alone}"
            " welds)"
        )


def _bare(job: Job) -> float:
    """Seconds to render the page of the job with everything it shows at hand."""
    shown: list[tuple[str, dict[str, Any], HttpRequest]] = []

    def kept(request: HttpRequest, template: str, context: dict[str, Any], **more: Any) -> HttpResponse:
        shown.append((template, context, request))
        return HttpResponse()

    with patch.object(jobs, "render", kept):
        _page(reverse("job", args=[job.pk]))
    ((template, context, request),) = shown
    return _seconds(lambda: render(request, template, context))


def _empty() -> float:
    """Seconds to render a page of the shop with nothing on it."""
    request = _request(reverse("job_list"))
    context = {"jobs": Job.objects.none(), "sought": "", "may_author": True}
    render(request, "wps/job_list.html", context)  # once, so that the template is read
    return _seconds(lambda: render(request, "wps/job_list.html", context))


def _log_a_use() -> None:
    """What happens most often: somebody welded."""
    ProcessUse.objects.create(
        welder=Welder.objects.filter(active=True).latest("pk"),
        process="GMAW",
        operation="semiautomatic",
        used_on=timezone.localdate(),
        evidence="Measured",
    )


def _request(path: str) -> HttpRequest:
    """A request of a reader with every right."""
    request = RequestFactory().get(path)
    request.user = User(username="nobody", is_superuser=True)
    return request


def _page(path: str) -> None:
    """The page of that address as a reader with every right gets it."""
    request = _request(path)
    found = resolve(request.path)
    answer = found.func(request, *found.args, **found.kwargs)
    assert answer.status_code == 200, answer.status_code


def _alone(parts: Sequence[Part]) -> None:
    for part in parts:
        shelf = ApprovedProcedures.of(part.job.edition, part.job.customer, part.job.number)
        drawn = read_part(part)
        fits = shelf.fits(drawn, part.units)
        chosen = next((fit for fit in fits if fit.spec.number == part.spec_number), None)
        made = chosen.weld if chosen else drawn
        who_may_weld(
            made,
            Welder.objects.filter(active=True),
            timezone.localdate(),
            shelf.for_welders,
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
        _approve(test)
        tests.append(test)
    made.tests.set(tests)
    _approve(
        made,
        tests=[
            {**frozen, "reference": test.reference}
            for test, frozen in zip(tests, (like.snapshot or {})["tests"], strict=True)
        ],
    )
    return made.number


def _welder(like: WelderTest, n: int) -> None:
    who = Welder.objects.create(stamp=f"B{n:03}", name=f"Nobody {n}")
    for number, thickness in enumerate((THICKNESSES[n % 5 + 1], THICKNESSES[n % 4 + 5])):
        test = WelderTest.objects.get(pk=like.pk)
        test.pk, test.number, test.welder = None, f"BENCH-{n:03}-{number}", who
        test.joint = {**like.joint, "thickness_a": thickness}
        _approve(test, welder_name=who.name, welder_stamp=who.stamp)


def _approve(record: Record, **more: Any) -> None:
    """Leave the record as an approval does: of one that nobody approved everything is refused."""
    record.snapshot = {**(record.snapshot or {}), **record.content(), **more}
    record.snapshot_hash = content_hash(record.snapshot)
    record.save()
    append("approve", record.KIND, record.pk, str(record), "Nobody", {"snapshot": record.snapshot_hash})


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start
