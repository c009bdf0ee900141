"""What a whole job takes: the page, and the same as a workbook."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from qualification.models import Shop
from qualification.roles import reader_required
from qualification.rules.arithmetic.consumption import Span
from qualification.rules.arithmetic.reckoned import span_words
from qualification.rules.arithmetic.wire import CUBIC_FOOT, POUND
from qualification.rules.core.quantities import SI, US, show_both
from qualification.rules.core.values import Interval
from wps.jobs.board import Board
from wps.jobs.coupon_plan import PlanInWords
from wps.jobs.job_consumption import OfJob, OfWeld, job_takes
from wps.jobs.plan_work import Work, plan_or_work
from wps.jobs.uncovered import uncovered_today
from wps.models import CouponCosts, Job, Part
from wps.reading.spreadsheet import XLSX, workbook
from wps.views.downloads import file_response

HEADS = (
    "Weld",
    "Pieces",
    "Length (mm)",
    "Process",
    "Filler",
    "Diameter (mm)",
    "Weld metal (kg), least",
    "Weld metal (kg), most",
    "Filler (kg), least",
    "Filler (kg), most",
    "Arc time (h), least",
    "Arc time (h), most",
    "Gas (m³), least",
    "Gas (m³), most",
    "Work (h), least",
    "Work (h), most",
    "Not reckoned because",
)


@reader_required
def job_takes_page(request: HttpRequest, job: int) -> HttpResponse:
    """Filler, gas, time and cost of the job."""
    found = get_object_or_404(Job, pk=job)
    made = _made(found)
    context = {
        "job": found,
        "made": made,
        "rates": CouponCosts.current().as_rates(),
        "fillers": [
            (
                each,
                _size(each.diameter),
                _masses(each.metal),
                _masses(each.bought),
                span_words(each.packs, "", 0).strip(),
            )
            for each in made.fillers
        ],
        "gases": [(each, _volumes(each.cubic_meters)) for each in made.gases],
        "arc": _time(made.arc_hours),
        "hours": _time(made.hours),
        "money": [(name, _money(span)) for name, span in made.money],
        "total": _money(made.total),
        "left_out": [
            (why, ", ".join(each.part.mark for each in those), sum(each.pieces for each in those))
            for why, those in made.left_out.items()
        ],
        "coupons": _coupons(found),
    }
    return render(request, "wps/job_takes.html", context)


@reader_required
def job_takes_file(request: HttpRequest, job: int) -> HttpResponse:
    """The same weld by weld as a workbook, for all pieces of each."""
    found = get_object_or_404(Job, pk=job)
    made = _made(found)
    rows = [row for weld in made.welds for row in _rows(weld)]
    name = f"filler-and-time-{found.number}.xlsx"
    return file_response(workbook(f"Job {found.number}", HEADS, rows), name, XLSX, as_attachment=True)


def _made(job: Job) -> OfJob:
    board = Board.of(job, timezone.localdate())
    parts: list[Part] = list(job.parts.all())
    return job_takes(board, parts, CouponCosts.current().as_rates())


def _coupons(job: Job) -> dict[str, Any] | None:
    """What is to be tested before, by the coupon plan; `None` while that is worked out or names none."""
    uncovered = uncovered_today(job, timezone.localdate())
    plan = plan_or_work(uncovered)
    if isinstance(plan, Work):
        return None
    words = PlanInWords(uncovered, plan)
    return {"count": len(words.coupons), "cost": words.cost} if words.coupons else None


def _rows(weld: OfWeld) -> Sequence[Sequence[Any]]:
    head = [weld.part.mark, weld.pieces, _number(weld.length)]
    if weld.why_not:
        return [[*head, *[None] * 13, weld.why_not]]
    times = Decimal(weld.pieces)
    return [
        [
            *head,
            line.process,
            line.filler,
            _number(line.diameter),
            *_ends(line.metal, times),
            *_ends(line.bought, times),
            *_ends(line.arc, times / 60),
            *_ends(line.liters, times / 1000),
            *_ends(line.hours, times),
            "",
        ]
        for line in weld.lines
    ]


def _ends(span: Span | None, times: Decimal) -> tuple[float | None, float | None]:
    return (None, None) if span is None else (_number(span[0] * times), _number(span[1] * times))


def _number(value: Decimal | None) -> float | None:
    """Six figures: the sheet adds them up, and more would only look exact."""
    return None if value is None else float(f"{value:.6g}")


def _size(diameter: Decimal | None) -> str:
    if diameter is None:
        return "Not stated"
    return show_both(Interval.point(diameter), "length", US if Shop.current().inch_first else SI)


def _masses(span: Span) -> str:
    """Below a kilogram in grams."""
    metric = span_words(span, "kg", 2) if span[1] >= 1 else span_words([each * 1000 for each in span], "g", 0)
    return f"{metric} ({span_words([each / POUND for each in span], 'lb', 2)})"


def _volumes(span: Span) -> str:
    return f"{span_words(span, 'm³', 2)} ({span_words([each / CUBIC_FOOT for each in span], 'ft³', 1)})"


def _time(span: Span) -> str:
    """Below an hour in minutes."""
    return span_words(span, "h", 1) if span[1] >= 1 else span_words([each * 60 for each in span], "min", 0)


def _money(span: Span) -> str:
    return span_words(span, "", 0).strip()
