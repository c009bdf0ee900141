"""Every row of its edition, asked about a procedure and each of its supporting tests."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from qualification.evidence.coverage import coupon_of
from qualification.roles import reader_required
from qualification.rules.core.facts import Side
from qualification.rules.ranges.every_row import every_row
from qualification.rules.tabular.schema import TableError
from qualification.views.every_row import rows_page
from wps.models import Spec
from wps.procedures.approval import judgement_of


@reader_required
def procedure_rows(request: HttpRequest, pk: int) -> HttpResponse:
    """The procedure as entered, held against every row of each test, whichever covers it in the end."""
    spec = get_object_or_404(Spec, pk=pk)
    name, back = str(spec), spec.get_absolute_url()
    try:
        judged = judgement_of(spec)
    except TableError as error:
        return rows_page(request, name, back, None, (), str(error))
    asked = [
        (coupon, line)
        for coupon in map(coupon_of, spec.tests.all())
        for line in every_row(coupon, judged.edition, Side.PROCEDURE, judged.weld)
    ]
    return rows_page(request, name, back, judged.edition, asked)
