"""Every row of its edition, asked about a procedure and each of its supporting tests; the same as a paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from qualification.roles import reader_required
from qualification.rules.tabular.schema import TableError
from qualification.views.every_row import rows_page
from wps.models import Spec
from wps.procedures.every_row import rows_of_procedure


@reader_required
def procedure_rows(request: HttpRequest, pk: int) -> HttpResponse:
    """The page of a procedure."""
    spec = get_object_or_404(Spec, pk=pk)
    try:
        made, tables = rows_of_procedure(spec)
    except TableError as error:
        return rows_page(request, spec, None, (), str(error))
    return rows_page(request, spec, made, tables)
