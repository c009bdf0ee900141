"""Lists of test records: the newest revision of each number, found by text, state and result."""

from __future__ import annotations

from typing import Any

from django.db.models import F, OuterRef, Q, QuerySet, Subquery
from django.http import HttpRequest

from qualification.models import CouponRecord, State
from qualification.range_summary import summary_of
from qualification.roles import may_author
from qualification.rules.outcome_parts import Overall

RESULTS = [(overall.value, overall.words) for overall in Overall]


def list_context(request: HttpRequest, model: type[CouponRecord]) -> dict[str, Any]:
    """Rows and the filters they were found by."""
    text, state, result = (request.GET.get(key, "").strip() for key in ("q", "state", "result"))
    rows = [summary_of(record) for record in _found(model, text, state)]
    if result in dict(RESULTS):
        rows = [row for row in rows if row.words == dict(RESULTS)[result]]
    return {
        "rows": rows,
        "q": text,
        "state": state,
        "result": result,
        "states": State.choices,
        "results": RESULTS,
        "any": model.objects.exists(),
        "may_author": may_author(request.user),
        "is_filtered": bool(text or state or result),
    }


def _found(model: type[CouponRecord], text: str, state: str) -> QuerySet[CouponRecord]:
    newest = model.objects.filter(number=OuterRef("number")).order_by("-revision").values("pk")[:1]
    found = model.objects.annotate(newest=Subquery(newest)).filter(pk=F("newest")).select_related("welder")
    if state in State.values:
        # An approved revision counts as found although a later draft of it is open.
        found = model.objects.filter(state=state).select_related("welder")
    for word in text.split():
        found = found.filter(
            Q(number__icontains=word)
            | Q(title__icontains=word)
            | Q(welder__name__icontains=word)
            | Q(welder__stamp__icontains=word)
            | Q(spec_followed__icontains=word)
        )
    return found
