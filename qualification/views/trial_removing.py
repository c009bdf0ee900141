"""Keeping the list of trials tidy: one is put into the archive and taken out again, or removed for good."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from django.contrib import messages
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.models import Trial
from qualification.records.audit import append, name_of
from qualification.roles import author_required


@author_required
@require_POST
def trial_archive(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a trial into the archive, or take it out."""
    found = get_object_or_404(Trial, pk=pk)
    puts_away = request.POST.get("archived") == "yes"
    if puts_away != (found.archived_at is not None):
        with transaction.atomic():
            # No save: the page somebody has open on it is not overtaken by this.
            Trial.objects.filter(pk=pk).update(archived_at=timezone.now() if puts_away else None)
            verb = "archive" if puts_away else "unarchive"
            append(verb, Trial.KIND, pk, found.number, name_of(request.user), {})
    messages.success(
        request,
        f"{found} is in the archive. It is found under Trials, Archived trials."
        if puts_away
        else f"{found} is in the list again.",
    )
    return redirect("trial_list") if puts_away else redirect("trial", pk=pk)


@author_required
def trial_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then remove a trial with its passes, photos and waveform files; not one a record rests on."""
    found = get_object_or_404(Trial, pk=pk)
    rests = found.origins.exists()
    if request.method != "POST" or rests:
        context = {"trial": found, "rests": rests, "copies": found.copies.filter(begun=True)}
        return render(request, "qualification/trial_remove.html", context, status=409 if rests else 200)
    files = [photo.image for photo in found.photos.all()] + [log.file for log in found.logs.all()]
    with transaction.atomic():
        append("remove", Trial.KIND, pk, found.number, name_of(request.user), {})
        found.delete()
        transaction.on_commit(partial(_remove, files))
    messages.success(request, f"{found} is removed.")
    return redirect("trial_list")


def _remove(files: Sequence[FieldFile]) -> None:
    for each in files:
        if each.name:
            each.storage.delete(each.name)
