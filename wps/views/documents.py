"""Documents: the PDF of a record, and the page of an issued document with its signatures."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.models import Record, State, Trial, WelderTest
from qualification.records.unchanged import changed_since_approval
from qualification.roles import SignedInRequest, reader_required
from qualification.rules.tabular.schema import TableError
from qualification.tongues.languages import LANGUAGES, language_now
from wps.background import tasks
from wps.documents import vault
from wps.documents.appendix import appendix_of
from wps.documents.codes import address_of, said
from wps.documents.every_row_paper import every_row_paper
from wps.documents.issue import PAPERS, document_of, filename_of, reading_copy
from wps.documents.issuing import TASK, begin_issue, stages_of
from wps.documents.kinds import KINDS, PAPER_WORDS, document_for
from wps.documents.standing import standing_of
from wps.documents.taking_signatures import NAMES, roles_awaited, sign_in_every_role
from wps.documents.transmitted import copies_of
from wps.documents.trial_report import report_of
from wps.documents.validity_sheet import sheet_of
from wps.models import BackgroundTask, IssuedDocument, Stage
from wps.procedures.every_row import rows_of
from wps.signing.people import newest_certificate
from wps.signing.sign import SigningRefused
from wps.views.downloads import pdf_response

OPEN = "open"
"""Asks the document's page to open the PDF as soon as it is made."""


def _record(kind: str, pk: int) -> Record:
    if kind not in KINDS:
        raise Http404
    return get_object_or_404(KINDS[kind], pk=pk)


@reader_required
def document(request: SignedInRequest, kind: str, pk: int) -> HttpResponse:
    """The record's PDF: the bytes as issued, once there are any; of a draft one made now in the reader's
    language, marked as not issued.

    `?paper=a4` or `letter` overrides the paper of a draft. `?appendix=1` makes the reasoning behind it,
    `?rows=1` every row of the code asked about it.
    `?language=fr` makes a reading copy in another language than the one it was issued in, without signatures.
    """
    record = _record(kind, pk)
    if request.GET.get("appendix"):
        paper = request.GET.get("paper", "")
        made = appendix_of(record, paper if paper in PAPERS else None)
        return pdf_response(made.pdf, made.filename)
    if request.GET.get("rows"):
        paper = request.GET.get("paper", "")
        try:
            made = every_row_paper(record, *rows_of(record), paper if paper in PAPERS else None)
        except TableError:
            return redirect(record)  # its page says which tables are missing
        return pdf_response(made.pdf, made.filename)
    issued = document_for(record)
    asked = request.GET.get("language", "")
    if issued is not None and issued.is_stored and asked in LANGUAGES and asked != issued.language:
        made = reading_copy(record, issued, asked)
        return pdf_response(made.pdf, made.filename)
    if issued is not None and issued.is_stored:
        try:
            return pdf_response(vault.read(issued.sha256), filename_of(issued.number, issued.revision))
        except vault.Damaged:
            return redirect(issued)  # its page says what is wrong and what to do
    if record.state == State.APPROVED:
        return redirect(f"{reverse('issued_document', args=[kind, pk])}?{OPEN}=1")
    paper = request.GET.get("paper", "")
    made = document_of(record, paper if paper in PAPERS else None, asked or language_now())
    return pdf_response(made.pdf, made.filename)


@reader_required
def validity_sheet(request: SignedInRequest, pk: int) -> HttpResponse:
    """Standing, confirmations and prolongations of a welder's test as on record today, made now and never
    stored."""
    made = sheet_of(
        get_object_or_404(WelderTest.objects.select_related("welder"), pk=pk),
        timezone.localdate(),
        language_now(),
    )
    if made is None:
        raise Http404
    return pdf_response(made.pdf, made.filename)


@reader_required
def trial_report(request: SignedInRequest, pk: int) -> HttpResponse:
    """The report of a trial as it stands now. `?paper=a4` or `letter` overrides the paper."""
    paper = request.GET.get("paper", "")
    made = report_of(
        get_object_or_404(Trial.objects.select_related("welder"), pk=pk), paper if paper in PAPERS else None
    )
    return pdf_response(made.pdf, made.filename)


@reader_required
def issued_document(request: SignedInRequest, kind: str, pk: int) -> HttpResponse:
    """One document: how far it is, who signed, where copies went."""
    return _page(request, _record(kind, pk), kind)


def _page(request: SignedInRequest, record: Record, kind: str, refusal: str = "") -> HttpResponse:
    issued = document_for(record)
    context: dict[str, Any] = {
        "record": record,
        "document": issued,
        "kind": kind,
        "paper_words": PAPER_WORDS[kind],
        "refusal": refusal,
        "altered": changed_since_approval(record),
    }
    if issued is not None:
        context |= {
            "code": said(issued.code),
            "languages": LANGUAGES.items(),
            "address": address_of(issued.code),
            "standing": standing_of(issued),
            "copies": copies_of(issued),
            "signatures": _signatures(issued),
            "damaged": _damage(issued),
            "task": _task(issued),
            "then": OPEN if OPEN in request.GET else "",
            "may_sign": issued.signer is not None
            and issued.signer == request.user
            and record.state == State.APPROVED,
            "role": " and ".join(roles_awaited(issued, request.user)),
            "certificate": newest_certificate(request.user),
        }
    return render(request, "wps/document.html", context, status=409 if refusal else 200)


def _signatures(issued: IssuedDocument) -> list[dict[str, object]]:
    taken = {each.role: each for each in issued.signatures.select_related("certificate")}
    people = {Stage.AUTHOR: issued.author, Stage.APPROVER: issued.approver, Stage.WITNESS: issued.witness}
    rows: list[dict[str, object]] = [
        {"role": NAMES[stage].capitalize(), "person": people[stage], "taken": taken.get(stage.value)}
        for stage in stages_of(issued)
    ]
    if issued.witness_name and issued.witness_id is None:
        rows.append(
            {"role": "Witness", "person": None, "name": issued.witness_name, "taken": None, "on_paper": True}
        )
    return rows


def _damage(issued: IssuedDocument) -> str:
    try:
        if issued.is_stored:
            vault.read(issued.sha256)
    except vault.Damaged as damaged:
        return str(damaged)
    return ""


def _task(issued: IssuedDocument) -> BackgroundTask | None:
    return (
        BackgroundTask.objects.filter(kind=TASK, subject_id=issued.pk).last()
        if not issued.is_stored
        else None
    )


@reader_required
@require_POST
def document_issue(request: SignedInRequest, kind: str, pk: int) -> HttpResponse:
    """Have the document made of a revision that was approved without one, or whose making failed."""
    record = _record(kind, pk)
    if record.state == State.APPROVED:
        issued = begin_issue(record, request.user)
        failed = BackgroundTask.objects.filter(kind=TASK, subject_id=issued.pk).last()
        if failed is not None:
            tasks.try_again(failed)
    return redirect("issued_document", kind, pk)


@reader_required
@require_POST
def document_sign(request: SignedInRequest, kind: str, pk: int) -> HttpResponse:
    """Take the signature of the person signed in, in every role that is theirs in turn."""
    record = _record(kind, pk)
    issued = document_for(record)
    if issued is None:
        raise Http404
    try:
        signed = sign_in_every_role(issued, request.user, request.POST.get("passphrase", ""))
    except SigningRefused as refused:
        return _page(request, record, kind, str(refused))
    messages.success(request, f"You have signed {signed}. {signed.get_stage_display()}.")
    return redirect(signed)
