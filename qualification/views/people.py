"""The people of the shop and their roles; for shop administrators."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.forms.meanwhile import Opened
from qualification.forms.people import PersonForm
from qualification.posted import posted
from qualification.records.audit_people import ACCOUNT, account_of, account_saved
from qualification.roles import ADMINISTRATOR, SignedInRequest, administrator_required, needs_role


@administrator_required
def people(request: SignedInRequest) -> HttpResponse:
    """List everyone with a sign-in."""
    everyone = User.objects.prefetch_related("groups").order_by("-is_active", "last_name", "username")
    people = [(person, ", ".join(_roles_of(person))) for person in everyone]
    return render(request, "qualification/people.html", {"people": people})


def _roles_of(person: User) -> list[str]:
    """From the groups read with everyone."""
    return [group.name for group in person.groups.all()] + ["shop administrator"] * person.is_superuser


@administrator_required
def add_person(request: SignedInRequest) -> HttpResponse:
    """Add a person."""
    return _edit(request, User())


@administrator_required
def edit_person(request: SignedInRequest, pk: int) -> HttpResponse:
    """Change a person's name, roles or password."""
    return _edit(request, get_object_or_404(User, pk=pk))


def _edit(request: SignedInRequest, person: User) -> HttpResponse:
    form = PersonForm(posted(request), instance=person, acting=request.user)
    opened = Opened(request, ACCOUNT, person, account_of)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = account_of(person)
            if not _still_administers(request):
                return needs_role(request, ADMINISTRATOR)
            if not opened.clashes(
                before, form, lambda stored: PersonForm(instance=stored, acting=request.user)
            ):
                saved = form.save()
                account_saved(
                    saved, before, request.user, password_set=bool(form.cleaned_data.get("password"))
                )
                messages.success(request, f"{saved.get_full_name()} is saved.")
                return redirect("people")
    context = {"form": form, "is_new": person.pk is None, "opened": opened}
    return render(request, "qualification/person.html", context, status=409 if opened.meanwhile else 200)


def _still_administers(request: SignedInRequest) -> bool:
    """Whether nobody took the role from whoever acts since the request began: of two administrators who take
    it from each other at once, one keeps it."""
    acting = User.objects.select_for_update(no_key=True).filter(pk=request.user.pk, is_active=True)
    return acting.filter(is_superuser=True).exists()
