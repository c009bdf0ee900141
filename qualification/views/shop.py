"""The shop's settings and its letterhead picture."""

from pathlib import PurePath

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.forms.shop import ShopForm
from qualification.models import Shop
from qualification.roles import approver_required, reader_required


@approver_required
def settings(request: HttpRequest) -> HttpResponse:
    """Show the shop's settings and save them."""
    form = ShopForm(request.POST or None, request.FILES or None, instance=Shop.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The shop's settings are saved.")
        return redirect("shop")
    return render(request, "qualification/shop.html", {"form": form})


@reader_required
def letterhead(request: HttpRequest) -> FileResponse:
    """Serve the letterhead picture; it is PNG or JPEG, the form takes nothing else."""
    logo = Shop.current().logo
    if not logo or not logo.storage.exists(logo.name):
        raise Http404
    kind = "image/png" if PurePath(logo.name).suffix.lower() == ".png" else "image/jpeg"
    return FileResponse(logo.open("rb"), content_type=kind)
