"""How phones and other computers of the network reach the program, and the certificate they install."""

from __future__ import annotations

import io

import segno
from cryptography.hazmat.primitives.serialization import Encoding
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from wps.serving.certificates import fingerprint, read_authority
from wps.views.downloads import file_response


def phone(request: HttpRequest) -> HttpResponse:
    """What to do on a phone, once. Open to anybody: it is read before anybody can sign in safely."""
    authority = read_authority(settings.HTTPS_DIR) if settings.SHARED_AT else None
    context = {
        "address": settings.SHARED_AT,
        "fingerprint": fingerprint(authority) if authority else "",
        "behind_proxy": settings.BEHIND_PROXY,
    }
    return render(request, "wps/phone.html", context)


def phone_code(request: HttpRequest) -> HttpResponse:
    """The code to scan, as a picture."""
    if not settings.SHARED_AT:
        raise Http404
    out = io.BytesIO()
    code = segno.make(settings.SHARED_AT + reverse("phone"), micro=False, error="m")
    code.save(out, kind="svg", scale=4, light="#fff")
    return HttpResponse(out.getvalue(), content_type="image/svg+xml")


def network_authority(request: HttpRequest) -> HttpResponse:
    """The certificate of the network's authority, as phones install it; open to anybody, as the page is."""
    authority = read_authority(settings.HTTPS_DIR)
    if authority is None:
        raise Http404
    return file_response(
        authority.public_bytes(Encoding.DER), "shop-network.crt", "application/x-x509-ca-cert"
    )
