"""Packets: the list, one packet from choice to handing over, and its file."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.forms.meanwhile import Opened
from qualification.posted import number_in, posted
from qualification.records.audit import append, name_of
from qualification.records.history import history_about
from qualification.records.numbering import next_number
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import SignedInRequest, author_required, may_approve, may_author, reader_required
from wps.documents import vault
from wps.documents.codes import new_code, said
from wps.documents.standing import packet_standing
from wps.documents.transmitted import outdated_copies
from wps.forms.packet import HandOverForm, PacketForm
from wps.models import BackgroundTask, Job, Packet, PacketState, Transmittal
from wps.packets.contents import contents_of, proposed_for
from wps.packets.issue import (
    KIND,
    TASK,
    PacketRefused,
    begin_assembly,
    hand_over,
    note_recall,
    obstacles_today,
    sign_packet,
)
from wps.packets.letter import letter_of
from wps.signing.people import newest_certificate
from wps.signing.sign import SigningRefused
from wps.views.downloads import name_of_file, pdf_response


@reader_required
def packet_list(request: SignedInRequest) -> HttpResponse:
    """All packets, newest first, and who holds copies that are no longer current."""
    return render(
        request,
        "wps/packet_list.html",
        {
            "packets": Packet.objects.select_related("job"),
            "outdated": outdated_copies(),
            "may_author": may_author(request.user),
        },
    )


@author_required
def packet_new(request: SignedInRequest) -> HttpResponse:
    """Choose what goes in; `?job=` proposes what the job needs."""
    packet = Packet(made_by=request.user, made_by_name=name_of(request.user))
    if (pk := number_in(request.GET.get("job", ""))) is not None:
        packet.job = get_object_or_404(Job, pk=pk)
        packet.title, packet.recipient = packet.job.title, packet.job.customer
        packet.choice = proposed_for(packet.job, timezone.localdate())
    return _edit(request, packet)


@author_required
def packet_edit(request: SignedInRequest, pk: int) -> HttpResponse:
    """Change what goes in, until the packet is issued."""
    packet = get_object_or_404(Packet, pk=pk)
    if not packet.is_open:
        messages.info(request, f"{packet} is {packet.get_state_display().lower()} and stays as it is.")
        return redirect(packet)
    return _edit(request, packet)


def _edit(request: SignedInRequest, packet: Packet) -> HttpResponse:
    is_new = packet.pk is None
    form = PacketForm(posted(request), instance=packet)
    opened = Opened(request, KIND, packet)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(packet, lock=True)
            if not opened.clashes(before, form, lambda stored: PacketForm(instance=stored)):
                _save(request, form, before)
                return redirect(packet)
    context = {"form": form, "packet": packet, "is_new": is_new, "opened": opened}
    return render(request, "wps/packet_edit.html", context, status=opened.status(form))


def _save(request: SignedInRequest, form: PacketForm, before: dict[str, Any]) -> None:
    packet, is_new = form.instance, form.instance.pk is None
    packet.state, packet.assembled_sha256 = PacketState.DRAFT, ""
    if is_new:
        packet.number = next_number(Packet.objects.order_by("id").values_list("number", flat=True), "P-001")
        packet.code = new_code()
    form.save()
    data = {} if is_new else {"changes": changes_between(before, values_of(packet))}
    append("create" if is_new else "change", KIND, packet.pk, str(packet), name_of(request.user), data)


@reader_required
def packet(request: SignedInRequest, pk: int) -> HttpResponse:
    """One packet: what it brings, what stands in the way, its signature and where it went."""
    return _page(request, get_object_or_404(Packet.objects.select_related("job"), pk=pk))


def _page(
    request: SignedInRequest, packet: Packet, refusal: str = "", form: HandOverForm | None = None
) -> HttpResponse:
    is_issued = packet.state == PacketState.ISSUED
    context = {
        "packet": packet,
        "is_issued": is_issued,
        "code": said(packet.code),
        "refusal": refusal,
        "typed": request.POST,
        "events": history_about(KIND, packet.pk),
        "may_issue": may_author(request.user) or may_approve(request.user),
        "task": BackgroundTask.objects.filter(kind=TASK, subject_id=packet.pk).last(),
        "items": packet.items.select_related("document", "attachment"),
        "form": form or HandOverForm(),
        "certificate": newest_certificate(request.user),
        "standing": packet_standing(packet) if is_issued else None,
        "transmittals": packet.transmittals.all(),
    }
    if not is_issued:
        context |= {
            "contents": contents_of(packet, timezone.localdate()),
            "obstacles": obstacles_today(packet),
        }
    return render(
        request, "wps/packet.html", context, status=409 if refusal else 422 if form is not None else 200
    )


@reader_required
def packet_file(request: SignedInRequest, pk: int) -> HttpResponse | FileResponse:
    """The packet's PDF: as issued, else as assembled, not signed yet. Sent as it is read, however large."""
    packet = get_object_or_404(Packet, pk=pk)
    sha256 = packet.sha256 or packet.assembled_sha256
    if not sha256:
        raise Http404
    try:
        stream = vault.open_whole(sha256)
    except vault.Damaged as damaged:
        return _page(request, packet, str(damaged))
    append("download", KIND, packet.pk, str(packet), name_of(request.user), {"sha256": sha256})
    return FileResponse(
        stream,
        filename=name_of_file(f"{packet.number}{'' if packet.sha256 else '-not-issued'}.pdf"),
        content_type="application/pdf",
    )


@reader_required
@require_POST
def packet_assemble(request: SignedInRequest, pk: int) -> HttpResponse:
    """Have it assembled in the background."""
    packet = get_object_or_404(Packet, pk=pk)
    try:
        task = begin_assembly(packet, request.POST.get("statement", ""), request.user)
    except PacketRefused as refused:
        return _page(request, packet, str(refused))
    return redirect(task)


@reader_required
@require_POST
def packet_sign(request: SignedInRequest, pk: int) -> HttpResponse:
    """Sign and issue."""
    packet = get_object_or_404(Packet, pk=pk)
    try:
        sign_packet(packet, request.user, request.POST.get("passphrase", ""), request.POST.get("way", ""))
    except (PacketRefused, SigningRefused) as refused:
        return _page(request, packet, str(refused))
    messages.success(request, f"{packet} is issued.")
    return redirect(packet)


@author_required
@require_POST
def packet_hand_over(request: SignedInRequest, pk: int) -> HttpResponse:
    """Record one more handing over."""
    packet, form = get_object_or_404(Packet, pk=pk), HandOverForm(request.POST)
    if not form.is_valid():
        return _page(request, packet, form=form)
    try:
        made = hand_over(
            packet,
            form.cleaned_data["recipient"],
            form.cleaned_data["sent_on"],
            form.cleaned_data["way"],
            request.user,
        )
    except PacketRefused as refused:
        return _page(request, packet, str(refused))
    messages.success(request, f"Recorded: {made}.")
    return redirect(packet)


@reader_required
def transmittal_letter(request: SignedInRequest, pk: int) -> HttpResponse:
    """The letter of one handing over, to print and to be countersigned."""
    transmittal = get_object_or_404(Transmittal.objects.select_related("packet__job"), pk=pk)
    return pdf_response(
        letter_of(transmittal), f"{transmittal.packet.number}-transmittal-{transmittal.pk}.pdf"
    )


@author_required
@require_POST
def packet_recalled(request: SignedInRequest, pk: int) -> HttpResponse:
    """Record that a recipient was told of documents no longer in force."""
    transmittal = get_object_or_404(Transmittal.objects.select_related("packet"), pk=pk)
    note_recall(transmittal, request.user)
    messages.success(request, f"Recorded: {transmittal.recipient} knows.")
    return redirect(reverse("packet_list"))
