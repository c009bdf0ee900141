"""Papers brought from outside: mill certificates, reports, drawings."""

from __future__ import annotations

from csp.decorators import csp_exempt
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_POST

from qualification.posted import number_in, posted, posted_files
from qualification.records.audit import append, name_of
from qualification.roles import author_required, may_author, reader_required
from wps.documents import vault
from wps.documents.attached import page_of
from wps.documents.attachments import bytes_of, keep_attachment
from wps.forms.packet import AttachmentForm
from wps.models import Attachment
from wps.views.downloads import file_response


@reader_required
def attachment_list(request: HttpRequest) -> HttpResponse:
    """All papers, those set aside last."""
    return _page(request)


def _page(request: HttpRequest, refusal: str = "") -> HttpResponse:
    found = Attachment.objects.select_related("job").order_by("set_aside_because", "kind", "title")
    return render(
        request,
        "wps/attachment_list.html",
        {"attachments": found, "may_author": may_author(request.user), "refusal": refusal},
        status=409 if refusal else 200,
    )


@author_required
def attachment_add(request: HttpRequest) -> HttpResponse:
    """Add a document."""
    asked = {name: number_in(request.GET.get(name, "")) for name in ("job", "part", "lot")}
    initial = {**asked, **{name: request.GET.get(name, "")[:80] for name in ("record", "kind", "specimen")}}
    form = AttachmentForm(posted(request), posted_files(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        made = keep_attachment(file.read(), file.name, request.user, **form.about())
        messages.success(request, f"“{made.title}” is kept.")
        return redirect(page_of(made))
    return render(request, "wps/attachment_add.html", {"form": form}, status=422 if form.errors else 200)


@reader_required
def attachment_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The file as it was brought; saved, not shown, since it comes from outside."""
    paper = get_object_or_404(Attachment, pk=pk)
    try:
        return file_response(bytes_of(paper), paper.filename, paper.media_type, as_attachment=True)
    except vault.Damaged as damaged:
        return _page(request, str(damaged))


@reader_required
@xframe_options_sameorigin
@csp_exempt()  # type: ignore[arg-type]  # it takes any view
def attachment_shown(request: HttpRequest, pk: int) -> HttpResponse:
    """The file in the page: a picture, or a PDF in a frame of our own beside the fields that are typed from
    it. What it is was told by its bytes when it was taken."""
    paper = get_object_or_404(Attachment, pk=pk)
    try:
        return file_response(bytes_of(paper), paper.filename, paper.media_type)
    except vault.Damaged as damaged:
        return _page(request, str(damaged))


@author_required
@require_POST
def attachment_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a paper no longer; packets that hold it keep it."""
    paper, reason = get_object_or_404(Attachment, pk=pk), request.POST.get("reason", "").strip()
    if not reason:
        return _page(request, f"Say in one sentence why “{paper.title}” is removed.")
    Attachment.objects.filter(pk=paper.pk).update(set_aside_because=reason[:200])
    append(
        "set_aside", "attachment", paper.pk, str(paper)[:120], name_of(request.user), {"reason": reason[:200]}
    )
    messages.success(request, f"“{paper.title}” is removed; the file and the reason stay on record.")
    return redirect(page_of(paper) if request.POST.get("from_page") else "attachment_list")
