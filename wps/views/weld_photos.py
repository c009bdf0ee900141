"""Photos taken at a weld, with a phone or from a file."""

from __future__ import annotations

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.records.audit import append, name_of
from qualification.roles import author_required, reader_required
from qualification.trials.store import token_from
from qualification.views.trial_photos import TYPES, PhotoForm
from wps.models import Part, WeldPhoto


@author_required
@require_POST
def weld_photo_add(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Keep a photo; sent twice with one token, it is kept once."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk, job_id=job)
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for each in form.errors.values() for error in each))
        return redirect("weld_log_one", job, pk)
    token = token_from(request.POST.get("token", ""))
    try:
        with transaction.atomic():
            photo = WeldPhoto.objects.create(
                part=part,
                token=token,
                image=form.cleaned_data["image"],
                caption=" ".join(request.POST.get("caption", "").split())[:120],
                taken_by_name=name_of(request.user),
            )
            append("photo", "part", part.pk, str(part), name_of(request.user), {"photo": photo.pk})
    except IntegrityError:  # it arrived before
        return redirect("weld_log_one", job, pk)
    messages.success(request, f"The photo of {part.mark} is kept.")
    return redirect("weld_log_one", job, pk)


@reader_required
def weld_photo(request: HttpRequest, job: int, pk: int, photo: int) -> FileResponse:
    """The picture itself."""
    found = get_object_or_404(WeldPhoto, pk=photo, part_id=pk, part__job_id=job)
    suffix = "." + found.image.name.rpartition(".")[2]
    return FileResponse(found.image.open(), content_type=TYPES.get(suffix, "application/octet-stream"))
