"""Photos of a trial, straight from the camera."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.forms.pictures import refuse_too_many_pixels
from qualification.models import Trial, TrialPhoto
from qualification.records.audit import append, name_of
from qualification.roles import author_required, reader_required
from qualification.tongues.told import told
from qualification.trials.store import begin, token_from

MOST_BYTES = 20 * 1024 * 1024
SUFFIXES = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp"}
TYPES = {".jpg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}


class PhotoForm(forms.Form):
    """One picture."""

    image = forms.ImageField(
        label="Photo",
        error_messages={
            "required": "Photo: no picture was chosen. Take one, or choose a file.",
            "invalid_image": "Photo cannot be read as a picture. Choose a JPEG, PNG or WebP file.",
            "empty": "Photo is an empty file. Take it again.",
        },
    )

    def clean_image(self) -> UploadedFile[Any]:
        image = self.cleaned_data["image"]
        if image.size > MOST_BYTES:
            raise forms.ValidationError(
                f"Photo is {image.size / 1024 / 1024:.1f} MB. Choose a picture of 20 MB or less.",
                code="too_large",
            )
        if image.image.format not in SUFFIXES:
            raise forms.ValidationError(
                f"Photo is a {image.image.format} file. Choose a JPEG, PNG or WebP file.", code="format"
            )
        refuse_too_many_pixels("Photo", image.image)
        image.name = f"photo{SUFFIXES[image.image.format]}"
        return image


@author_required
@require_POST
def trial_photo_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a photo; sent twice with one token, it is kept once. A script is answered with the list of
    photos."""
    trial = get_object_or_404(Trial, pk=pk)
    form = PhotoForm(request.POST, request.FILES)
    by_script = request.headers.get("Accept", "") == "text/x-fragment"
    if not form.is_valid():
        words = " ".join(told(error) for errors in form.errors.values() for error in errors)
        if by_script:
            return HttpResponse(words, status=422, content_type="text/plain; charset=utf-8")
        return render(request, "qualification/trial_photo.html", {"trial": trial, "form": form}, status=422)
    _keep(trial, form.cleaned_data["image"], request)
    return (
        render(request, "qualification/_trial_photos.html", {"trial": trial, "may_author": True})
        if by_script
        else redirect("trial_edit", pk)
    )


def _keep(trial: Trial, image: UploadedFile[Any], request: HttpRequest) -> None:
    token = token_from(request.POST.get("token", ""))
    if trial.photos.filter(token=token).exists():
        return
    try:
        with transaction.atomic():
            begin(trial, request.user)
            photo = TrialPhoto.objects.create(
                trial=trial, token=token, image=image, taken_by_name=name_of(request.user)
            )
            append("photo", Trial.KIND, trial.pk, trial.number, name_of(request.user), {"photo": photo.pk})
    except IntegrityError:
        return  # the same photo arrived by another request at the same time


@author_required
def trial_photo_remove(request: HttpRequest, pk: int, photo: int) -> HttpResponse:
    """Ask, then remove a photo and its file. What was measured on it stays as an entry of the trial."""
    found = get_object_or_404(TrialPhoto.objects.select_related("trial"), pk=photo, trial_id=pk)
    trial = found.trial
    if request.method != "POST":
        return render(request, "qualification/trial_photo_remove.html", {"trial": trial, "photo": found})
    with transaction.atomic():
        append("remove_photo", Trial.KIND, trial.pk, trial.number, name_of(request.user), {"photo": photo})
        found.delete()
        transaction.on_commit(lambda: found.image.storage.delete(found.image.name or ""))
    messages.success(request, "The photo is removed.")
    return redirect("trial_edit", pk)


@reader_required
def trial_photo(request: HttpRequest, pk: int, photo: int) -> FileResponse:
    """The picture itself."""
    found = get_object_or_404(TrialPhoto, pk=photo, trial_id=pk)
    suffix = "." + (found.image.name or "").rpartition(".")[2]
    return FileResponse(found.image.open(), content_type=TYPES.get(suffix, "application/octet-stream"))
