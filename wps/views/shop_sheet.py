"""The sheet at the arc: a page for tablet and phone, and the same as PDF."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from qualification.roles import reader_required
from qualification.tongues.languages import language_now
from wps.documents.issue import PAPERS
from wps.documents.shop_sheet import sheet_context, shop_sheet_pdf
from wps.models import Part, Spec
from wps.views.downloads import pdf_response


def _weld(request: HttpRequest, spec: Spec) -> Part | None:
    """The weld of `?weld=`, if it is welded by this procedure."""
    weld = request.GET.get("weld", "")
    return (
        get_object_or_404(Part.objects.select_related("job"), pk=int(weld), spec_number=spec.number)
        if weld.isdecimal()
        else None
    )


@reader_required
def shop_sheet_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One procedure in large type; `?weld=` names the weld of a job it is opened for."""
    spec = get_object_or_404(Spec, pk=pk)
    return render(request, "wps/shop_sheet.html", {"spec": spec, **sheet_context(spec, _weld(request, spec))})


@reader_required
def shop_sheet_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The same on one page of paper, in the reader's language. `?paper=a4` or `letter` overrides the shop's,
    `?language=fr` the reader's."""
    spec, paper = get_object_or_404(Spec, pk=pk), request.GET.get("paper", "")
    language = request.GET.get("language") or language_now()
    made = shop_sheet_pdf(spec, paper if paper in PAPERS else None, _weld(request, spec), language)
    return pdf_response(made.pdf, made.filename)
