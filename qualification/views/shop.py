"""The shop's settings and its letterhead picture."""

from pathlib import PurePath

from django.contrib import messages
from django.db import transaction
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.forms.meanwhile import Opened
from qualification.forms.shop import ShopForm
from qualification.models import Shop
from qualification.posted import posted, posted_files
from qualification.records.audit import append, name_of
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import approver_required, reader_required
from qualification.server_address import answer_to, offered

KIND = "shop"
"""What the audit trail calls the shop's settings."""


@approver_required
def settings(request: HttpRequest) -> HttpResponse:
    """Show the shop's settings and save them."""
    addresses = offered(request)
    form = ShopForm(posted(request), posted_files(request), instance=Shop.current(), offered=addresses)
    opened = Opened(request, KIND, form.instance)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(form.instance, lock=True)
            if not opened.clashes(before, form, lambda stored: ShopForm(instance=stored)):
                saved = form.save()
                changes = changes_between(before, values_of(saved))
                if changes:
                    data = {"detail": ", ".join(changes).replace("_", " "), "changes": changes}
                    append("change", KIND, saved.pk, saved.name[:120], name_of(request.user), data)
                messages.success(request, "The shop's settings are saved.")
                return redirect("shop")
    context = {"form": form, "addresses": addresses, "opened": opened}
    return render(request, "qualification/shop.html", context, status=409 if opened.meanwhile else 200)


def here(request: HttpRequest) -> HttpResponse:
    """Prove that an address leads to this program; open to anybody, and tells nothing else."""
    return HttpResponse(answer_to(request.GET.get("q", "")), content_type="text/plain")


@reader_required
def letterhead(request: HttpRequest) -> FileResponse:
    """Serve the letterhead picture; it is PNG or JPEG, the form takes nothing else."""
    logo = Shop.current().logo
    if not logo or not logo.name or not logo.storage.exists(logo.name):
        raise Http404
    kind = "image/png" if PurePath(logo.name).suffix.lower() == ".png" else "image/jpeg"
    return FileResponse(logo.open("rb"), content_type=kind)
