"""A photo taken at a weld, with a phone or from a file: an attachment of the weld."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.roles import author_required
from qualification.trials.store import token_from
from wps.documents.attachments import AttachmentRefused, keep_once
from wps.models import Attachment, AttachmentKind, Part

LONGEST = Attachment._meta.get_field("title").max_length


@author_required
@require_POST
def weld_photo_add(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Keep a photo; sent twice with one token, it is kept once."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk, job_id=job)
    image = request.FILES.get("image")
    title = " ".join(request.POST.get("caption", "").split())[:LONGEST] or f"Photo of {part}"
    try:
        if image is None:
            raise AttachmentRefused("Photo: no picture was chosen. Take one, or choose a file.")
        keep_once(
            token_from(request.POST.get("token", "")),
            image,
            request.user,
            kind=AttachmentKind.PHOTO,
            part=part,
            title=title,
        )
    except AttachmentRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The photo of {part.mark} is kept.")
    return redirect("weld_log_one", job, pk)
