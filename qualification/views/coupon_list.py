"""Lists of test records: the newest revision of each number, found by text, state and result."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import F, OuterRef, Q, QuerySet, Subquery
from django.http import HttpRequest

from qualification.evidence.range_summary import Summary, summary_of
from qualification.models import CouponRecord, State
from qualification.models.record import mark_unsigned
from qualification.records.unchanged import hold_against_approvals
from qualification.roles import may_author
from qualification.rules.testing.outcome_parts import Overall
from qualification.views.lists import Asked, Head

HEADS = (
    Head("Record", ("number", "-revision")),
    Head("Welder", ("welder__name",)),
    Head("Welded", ("welded_on",)),
    Head("Result"),
    Head("Qualifies, in short"),
    Head("State", ("state",)),
)
RESULTS = [(overall.value, overall.words) for overall in Overall]


def list_context(request: HttpRequest, model: type[CouponRecord]) -> dict[str, Any]:
    """Rows and the filters they were found by."""
    asked = Asked(request, model.KIND, ("state", "result"))
    found = found_among(model, asked).defer("snapshot")
    if asked["result"] in dict(RESULTS):
        page = asked.page_of(_with_result(found, asked["result"]))
        rows = list(page)
    else:
        page = asked.page_of(found)
        rows = _rows(page)
    return {
        **asked.context(page, HEADS),
        "rows": rows,
        "list": model.KIND.replace(" ", "-"),
        "q": asked.text,
        "state": asked["state"],
        "result": asked["result"],
        "states": State.choices,
        "results": RESULTS,
        "any": model.objects.exists(),
        "may_author": may_author(request.user),
    }


def ids_among(model: type[CouponRecord], asked: Asked) -> list[int]:
    """Ids of all records that the list shows, on all its pages."""
    found = found_among(model, asked)
    if asked["result"] in dict(RESULTS):
        return [row.record.pk for row in _with_result(found.defer("snapshot"), asked["result"])]
    return list(found.values_list("pk", flat=True))


def _with_result(found: QuerySet[CouponRecord], result: str) -> list[Summary]:
    return [row for row in _rows(found) if row.words == dict(RESULTS)[result]]


def _rows(found: Iterable[CouponRecord]) -> list[Summary]:
    records = list(found)
    mark_unsigned(records)
    hold_against_approvals(records)
    return [summary_of(record) for record in records]


def found_among(model: type[CouponRecord], asked: Asked) -> QuerySet[CouponRecord]:
    """Records of one kind that the list shows, in its order."""
    newest = model.objects.filter(number=OuterRef("number")).order_by("-revision").values("pk")[:1]
    found: QuerySet[CouponRecord] = model.objects.annotate(newest=Subquery(newest)).filter(pk=F("newest"))
    if asked["state"] in State.values:
        # An approved revision counts as found although a later draft of it is open.
        found = model.objects.filter(state=asked["state"])
    found = found.select_related("welder")  # type: ignore[misc]  # each kind has its own field
    for word in asked.text.split():
        found = found.filter(
            Q(number__icontains=word)
            | Q(title__icontains=word)
            | Q(welder__name__icontains=word)
            | Q(welder__stamp__icontains=word)
            | Q(spec_followed__icontains=word)
        )
    return asked.ordered(found, HEADS)
