"""The people of the shop and their roles; for shop administrators."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.forms.people import PersonForm
from qualification.roles import administrator_required


@administrator_required
def people(request: HttpRequest) -> HttpResponse:
    """List everyone with a sign-in."""
    everyone = User.objects.prefetch_related("groups").order_by("-is_active", "last_name", "username")
    return render(request, "qualification/people.html", {"people": everyone})


@administrator_required
def add_person(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    return _edit(request, User())


@administrator_required
def edit_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's name, roles or password."""
    return _edit(request, get_object_or_404(User, pk=pk))


def _edit(request: HttpRequest, person: User) -> HttpResponse:
    form = PersonForm(request.POST or None, instance=person, acting=request.user)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            saved = form.save()
        messages.success(request, f"{saved.get_full_name()} is saved.")
        return redirect("people")
    return render(request, "qualification/person.html", {"form": form, "is_new": person.pk is None})
