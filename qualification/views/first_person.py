"""The first visit to an empty shop: naming it, and making its first administrator."""

from django.contrib.auth import login
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.first_visit import is_right_code, nobody_yet
from qualification.forms.people import FirstPersonForm
from qualification.models import Shop


def first_person(request: HttpRequest, code: str) -> HttpResponse:
    """Make the first shop administrator. The page is gone once there is a person."""
    if not is_right_code(code) or not nobody_yet():
        raise Http404
    form = FirstPersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            shop = Shop.current()
            shop.name = form.cleaned_data["shop_name"]
            shop.save()
            person = form.save()
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        return redirect("shop")
    return render(request, "qualification/first_person.html", {"form": form})
