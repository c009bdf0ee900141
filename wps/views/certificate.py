"""“My certificate”: what a person signs with."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.own_password import asks_password, problem_with_password
from qualification.roles import SignedInRequest, administrator_required, may_administer, reader_required
from wps.forms.certificate import MakeForm, UploadForm
from wps.models import PersonalCertificate
from wps.signing.authority import revocation_list as made_list
from wps.signing.people import (
    accept,
    is_in_the_name_of,
    name_in,
    newest_certificate,
    revoke,
    revoked_by_shop,
    shop_authority,
)
from wps.signing.sign import SigningRefused
from wps.views.downloads import file_response


@reader_required
def certificate(request: SignedInRequest) -> HttpResponse:
    """Show the own certificates, have one made, or bring one."""
    return _page(request)


def _page(
    request: SignedInRequest,
    make: MakeForm | None = None,
    upload: UploadForm | None = None,
    refusal: str = "",
) -> HttpResponse:
    bound = make or upload
    context = {
        "current": newest_certificate(request.user),
        "certificates": PersonalCertificate.objects.filter(person=request.user),
        "make": make or MakeForm(),
        "upload": upload or UploadForm(),
        "bound": bound,
        "asks_password": asks_password(request),
        "refusal": refusal,
        "waiting": [
            {"certificate": each, "name": name_in(each), "is_same": is_in_the_name_of(each)}
            for each in PersonalCertificate.objects.select_related("person").filter(by_shop=False)
            if each.waits
        ]
        if may_administer(request.user)
        else [],
        "others": PersonalCertificate.objects.filter(revoked_at=None).exclude(person=request.user)
        if may_administer(request.user)
        else [],
    }
    return render(request, "wps/certificate.html", context, status=422 if bound or refusal else 200)


@reader_required
@require_POST
def certificate_make(request: SignedInRequest) -> HttpResponse:
    """Have the shop's authority make one, in place of the one before."""
    form = MakeForm(request.POST)
    if problem := problem_with_password(request):
        return _page(request, refusal=problem)
    if not form.save_for(request.user):
        return _page(request, make=form)
    messages.success(request, "Your certificate is made. Keep the passphrase: nobody can look it up.")
    return redirect("certificate")


@reader_required
@require_POST
def certificate_upload(request: SignedInRequest) -> HttpResponse:
    """Bring a PKCS#12 file."""
    form = UploadForm(request.POST, request.FILES)
    if problem := problem_with_password(request):
        return _page(request, refusal=problem)
    if not form.save_for(request.user):
        return _page(request, upload=form)
    messages.success(
        request, "Your certificate is on file. It signs once a shop administrator has accepted it."
    )
    return redirect("certificate")


@administrator_required
@require_POST
def certificate_accept(request: SignedInRequest, pk: int) -> HttpResponse:
    """Let a certificate from another authority sign and count, once its fingerprint was compared."""
    found = get_object_or_404(PersonalCertificate.objects.select_related("person"), pk=pk)
    try:
        accept(found, request.POST.get("fingerprint", ""), request.POST.get("reason", ""), request.user)
    except SigningRefused as refused:
        return _page(request, refusal=str(refused))
    messages.success(request, f"The {found} is accepted. It signs from now on.")
    return redirect("certificate")


@reader_required
@require_POST
def certificate_revoke(request: SignedInRequest, pk: int) -> HttpResponse:
    """Revoke an own certificate; a shop administrator may revoke anybody's."""
    found = (
        PersonalCertificate.objects.all()
        if may_administer(request.user)
        else PersonalCertificate.objects.filter(person=request.user)
    )
    try:
        revoke(get_object_or_404(found, pk=pk), request.POST.get("reason", ""), request.user)
    except SigningRefused as refused:
        return _page(request, refusal=str(refused))
    messages.success(request, "The certificate is revoked. It signs nothing from now on.")
    return redirect("certificate")


@reader_required
def authority_certificate(request: SignedInRequest) -> HttpResponse:
    """The shop authority's certificate, for recipients who want their own reader to trust it."""
    return file_response(
        shop_authority().pem, "shop-authority.pem", "application/x-pem-file", as_attachment=True
    )


def revocation_list(request: SignedInRequest) -> HttpResponse:
    """The authority's list of revoked certificates, open to anybody: PDF readers ask for it without a
    sign-in. It holds serial numbers and days, no names."""
    return file_response(
        made_list(shop_authority(), revoked_by_shop()),
        "shop-authority.crl",
        "application/pkix-crl",
        as_attachment=True,
    )
