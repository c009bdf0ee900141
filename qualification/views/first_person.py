"""The first visit to an empty shop: naming it, and making its first administrator."""

from typing import Any

from django.contrib.auth import login
from django.contrib.auth.models import User
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.first_visit import is_right_code, nobody_yet
from qualification.forms.people import FirstPersonForm
from qualification.models import Shop, Welder
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.audit_people import account_saved, signed_in
from qualification.records.value_changes import changes_between, values_of
from qualification.views.shop import KIND


def first_person(request: HttpRequest, code: str) -> HttpResponse:
    """Make the first shop administrator. The page is gone once there is a person."""
    if not is_right_code(code) or not nobody_yet():
        raise Http404
    form = FirstPersonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            shop = Shop.current()
            person = form.save()
            account_saved(person, {}, person, password_set=True)
            _describe(shop, form.cleaned_data, person)
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        signed_in(person)
        return redirect("first_paper")
    return render(request, "qualification/first_person.html", {"form": form})


def _describe(shop: Shop, said: dict[str, Any], person: User) -> None:
    """What was said of the shop, in the audit trail like any later change of its settings."""
    before = values_of(shop)
    shop.name, shop.unit_order = said["shop_name"], said["unit_order"]
    shop.code_edition, shop.allow_self_approval = said["code_edition"], said["works_alone"]
    if said["works_alone"]:
        shop.responsible_person = person.get_full_name()
    shop.save()
    changes = changes_between(before, values_of(shop))
    data = {"detail": ", ".join(changes).replace("_", " "), "changes": changes}
    append("change", KIND, shop.pk, shop.name, name_of(person), data)
    if said["stamp"]:
        Welder.objects.create(name=person.get_full_name(), stamp=said["stamp"])
