"""The verification page: a file checked in full for those who read here; a code answered in one line for
anybody.

Who scans a printed page is an inspector or a customer without a sign-in, so the code's page answers without
one. It says what the printed page names anyway (kind, number, revision) and how what it is about stands
today: the revision, whether its test passed, whether a welder's qualification holds and until when. Nothing
else of its content, no people, no list. A code has fifty random bits, so nobody gets there by guessing.
"""

from __future__ import annotations

import json
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.roles import SignedInRequest, may_read, reader_required
from wps.documents.checking import LARGEST_FILE, check_file
from wps.documents.codes import could_be, said, typed
from wps.documents.long_checks import TASK, begin_check, takes_long
from wps.documents.report_paper import report_paper
from wps.documents.report_words import report_content
from wps.documents.standing import UNKNOWN_CODE, DocumentStatus, packet_standing, standing_of
from wps.models import BackgroundTask, FileCheck, IssuedDocument, Packet
from wps.pdf.unreadable import NotReadable
from wps.views.downloads import file_response


@reader_required
def verify(request: SignedInRequest) -> HttpResponse:
    """Check a PDF, or look a code up."""
    if request.method == "POST":
        return _check(request)
    text = request.GET.get("code", "")
    if not text.strip():
        return render(request, "wps/verify.html")
    if could_be(code := typed(text)):
        return redirect("verify_code", code)
    return render(request, "wps/verify.html", {"not_a_code": True, "code": text}, status=422)


def _check(request: SignedInRequest) -> HttpResponse:
    file = request.FILES.get("file")
    if file is None:
        return _refused(request, "Choose a PDF file to check.")
    size, name = file.size or 0, file.name or ""
    if size > LARGEST_FILE:
        return _refused(
            request,
            f"The file has {size / 1e6:.0f} MB. Files up to {LARGEST_FILE / 1e6:.0f} MB are checked.",
        )
    if takes_long(file, size):
        return redirect(begin_check(file, name, request.user))
    try:
        report = check_file(file.read(), name)
    except NotReadable as error:
        return _refused(request, str(error))
    found = report_content(report)
    check = FileCheck.objects.create(person=request.user, filename=name[-200:], report=found)
    return render(request, "wps/verify.html", {"report": found, "check": check})


@reader_required
def verify_file(request: SignedInRequest, pk: int) -> HttpResponse:
    """What was found in a file that was checked in the background; for whoever brought it."""
    check = get_object_or_404(FileCheck, pk=pk, person=request.user)
    if check.refusal:
        return _refused(request, check.refusal)
    if check.report is None:
        return redirect(BackgroundTask.objects.filter(kind=TASK, subject_id=check.pk).latest("id"))
    return render(request, "wps/verify.html", {"report": check.report, "check": check})


@reader_required
def verify_report(request: SignedInRequest, pk: int, kind: str) -> HttpResponse:
    """The report to keep, as `pdf` or `json`; for whoever brought the file."""
    check = get_object_or_404(FileCheck, pk=pk, person=request.user, report__isnull=False)
    name = f"check-of-{check.filename.removesuffix('.pdf')}.{kind}"
    if kind == "pdf":
        return file_response(report_paper(check.report or {}), name, "application/pdf", as_attachment=True)
    content = json.dumps(check.report, indent=1).encode()
    return file_response(content, name, "application/json", as_attachment=True)


def _refused(request: HttpRequest, message: str) -> HttpResponse:
    return render(request, "wps/verify.html", {"refusal": message}, status=422)


def verify_code(request: HttpRequest, code: str) -> HttpResponse:
    """How the paper behind a code stands today; open to anybody."""
    code = typed(code)
    standing = _standing(code)
    context: dict[str, Any] = {"standing": standing, "code": said(code)}
    if may_read(request.user):
        context["document"] = (
            IssuedDocument.objects.filter(code=code).first() or Packet.objects.filter(code=code).first()
        )
    return render(request, "wps/verify_code.html", context, status=200 if standing.code else 404)


def _standing(code: str) -> DocumentStatus:
    document = IssuedDocument.objects.filter(code=code).first()
    if document is not None:
        return standing_of(document)
    packet = Packet.objects.filter(code=code).first()
    if packet is not None:
        full = packet_standing(packet)
        return DocumentStatus(full.name, full.key, full.sentence, full.code)
    return DocumentStatus("", "unknown", UNKNOWN_CODE)
