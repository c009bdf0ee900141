"""Signing several documents with one passphrase: those that wait for the person signed in."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from qualification.roles import SignedInRequest, reader_required
from qualification.tongues.told import told
from wps.documents.kinds import WORDS
from wps.documents.taking_signatures import roles_awaited, sign_in_every_role
from wps.models import IssuedDocument
from wps.signing.people import newest_certificate
from wps.signing.sign import SigningRefused
from wps.today.papers import documents_to_sign


@dataclass(frozen=True)
class Waiting:
    """One document on the desk."""

    document: IssuedDocument
    kind_words: str
    role: str


@reader_required
def signing_desk(request: SignedInRequest) -> HttpResponse:
    """What waits, and signing what is ticked. Each document is signed by itself, in every role that is the
    person's in turn, and stays signed when a later one is refused.

    The page's script sends one document at a time (`one`) and is answered in JSON, so that it can say how far
    it is and the passphrase stays in the browser meanwhile; without the script all are signed in one request.
    """
    waiting = {str(document.pk): document for document in documents_to_sign(request.user)}
    if request.method != "POST":
        return _page(request, waiting)
    passphrase = request.POST.get("passphrase", "")
    if (one := request.POST.get("one")) is not None:
        return _sign_one(request, waiting.get(one), passphrase)
    wanted = list(waiting) if "all" in request.POST else request.POST.getlist("documents")
    chosen = [waiting[pk] for pk in wanted if pk in waiting]
    if not chosen:
        return _page(request, waiting, "No document is ticked. Tick those you have read.")
    for count, document in enumerate(chosen):
        try:
            sign_in_every_role(document, request.user, passphrase)
        except SigningRefused as refused:
            done = f" {count} of {len(chosen)} signed before it." if count else ""
            left = {pk: each for pk, each in waiting.items() if each not in chosen[:count]}
            return _page(request, left, f"{document.reference}: {refused}{done}")
    messages.success(request, f"You have signed {len(chosen)} document{'s' if len(chosen) > 1 else ''}.")
    return redirect("signing_desk")


def _sign_one(request: SignedInRequest, document: IssuedDocument | None, passphrase: str) -> JsonResponse:
    if document is None:
        gone = told("It does not wait for your signature any more. Load the page again.")
        return JsonResponse({"refused": gone}, status=409)
    try:
        signed = sign_in_every_role(document, request.user, passphrase)
    except SigningRefused as refused:
        return JsonResponse({"refused": told(refused)}, status=409)
    return JsonResponse({"signed": told(f"Signed. {signed.get_stage_display()}.")})


def _page(request: SignedInRequest, waiting: dict[str, IssuedDocument], refusal: str = "") -> HttpResponse:
    shown = [
        Waiting(document, WORDS[document.kind], " and ".join(roles_awaited(document, request.user)))
        for document in waiting.values()
    ]
    context = {
        "waiting": shown,
        "refusal": refusal,
        "ticked": request.POST.getlist("documents"),
        "certificate": newest_certificate(request.user),
    }
    return render(request, "wps/signing_desk.html", context, status=409 if refusal else 200)
