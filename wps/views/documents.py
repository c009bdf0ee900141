"""The printed documents: one view per kind of record."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from qualification.models import ProcedureTest, Record, WelderTest
from qualification.roles import reader_required
from wps.documents.issue import PAPERS, document_of
from wps.models import Spec

KINDS: dict[str, type[Record]] = {"procedure": Spec, "procedure-test": ProcedureTest, "welder-test": WelderTest}


@reader_required
def document(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """The record's PDF. `?paper=a4` or `letter` overrides the paper of the shop's unit order."""
    if kind not in KINDS:
        raise Http404
    record = get_object_or_404(KINDS[kind], pk=pk)
    paper = request.GET.get("paper", "")
    made = document_of(record, paper if paper in PAPERS else None)
    response = HttpResponse(made.pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{made.filename}"'
    return response
