"""Links that show one job to an inspector or customer: made and taken back by the shop, opened without a
sign-in. Such a page reads; nothing on it writes but its own use, into the audit trail."""

from __future__ import annotations

from typing import TypeVar

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from qualification.posted import posted
from qualification.records.audit import append
from qualification.roles import author_required
from qualification.server_address import server_address
from wps.documents import vault
from wps.documents.issue import filename_of
from wps.forms.job_link import JobLinkForm
from wps.models import Job, JobLink
from wps.packets.shared import (
    holder,
    link_of,
    make_link,
    note_opened,
    packets_of,
    papers_of,
    shared_of,
    take_back,
)
from wps.views.downloads import name_of_file

_Answer = TypeVar("_Answer", HttpResponse, FileResponse)


@author_required
def job_links(request: HttpRequest, job: int) -> HttpResponse:
    """The links there are, and a new one; its address is shown this once."""
    found, form, address = get_object_or_404(Job, pk=job), JobLinkForm(posted(request)), ""
    if request.method == "POST" and form.is_valid():
        secret = make_link(found, form.cleaned_data["recipient"], form.cleaned_data["ends_on"], request.user)
        path, base = reverse("shared_job", args=[secret]), server_address()
        address = f"{base}{path}" if base else request.build_absolute_uri(path)
        form = JobLinkForm()
    today = timezone.localdate()
    context = {
        "job": found,
        "form": form,
        "address": address,
        "links": [(link, link.opens(today)) for link in found.links.all()],
        "shared": shared_of(found),
    }
    return render(request, "wps/job_links.html", context, status=422 if form.errors else 200)


@author_required
@require_POST
def job_link_take_back(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Have a link open no more."""
    link = get_object_or_404(JobLink, pk=pk, job=job)
    take_back(link, request.user)
    messages.success(request, f"The link for {link.recipient} opens no more.")
    return redirect("job_links", job)


@require_safe
def shared_job(request: HttpRequest, secret: str) -> HttpResponse:
    """The job as its holder sees it; 410 once the link has ended."""
    link = _link(secret)
    if not link.opens(timezone.localdate()):
        return _private(render(request, "wps/shared_ended.html", {"link": link}, status=410))
    note_opened(link, timezone.localdate())
    context = {"link": link, "secret": secret, **shared_of(link.job)}
    return _private(render(request, "wps/shared_job.html", context))


@require_safe
def shared_paper(request: HttpRequest, secret: str, pk: int) -> HttpResponse | FileResponse:
    """One issued document of the job."""
    link = _link(secret)
    paper = next((each for each in papers_of(link.job) if each.pk == pk), None)
    if paper is None:
        raise Http404
    return _file(request, link, secret, paper.sha256, filename_of(paper.number, paper.revision))


@require_safe
def shared_packet(request: HttpRequest, secret: str, pk: int) -> HttpResponse | FileResponse:
    """One issued packet of the job."""
    link = _link(secret)
    packet = next((each for each in packets_of(link.job) if each.pk == pk), None)
    if packet is None:
        raise Http404
    return _file(request, link, secret, packet.sha256, f"{packet.number}.pdf")


def _link(secret: str) -> JobLink:
    link = link_of(secret)
    if link is None:
        raise Http404
    return link


def _file(
    request: HttpRequest, link: JobLink, secret: str, sha256: str, filename: str
) -> HttpResponse | FileResponse:
    """The bytes as issued, noted in the trail."""
    if not link.opens(timezone.localdate()):
        return redirect("shared_job", secret)
    try:
        stream = vault.open_whole(sha256)
    except vault.Damaged:  # what was stored is no business of whoever holds a link
        return _private(
            render(request, "wps/shared_ended.html", {"link": link, "missing": filename}, status=409)
        )
    detail = {"sha256": sha256, "detail": filename}
    append("download", JobLink.KIND, link.pk, str(link), holder(link), detail)
    return _private(FileResponse(stream, filename=name_of_file(filename), content_type="application/pdf"))


def _private(answer: _Answer) -> _Answer:
    """Kept by no cache and no search engine, and its address goes nowhere."""
    answer["Cache-Control"] = "private, no-store"
    answer["X-Robots-Tag"] = "noindex"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
