"""The weld map of a job: welds placed on the pages of its drawings."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.posted import number_in
from qualification.records.audit import append, name_of
from qualification.roles import author_required, may_author, reader_required
from wps.documents import vault
from wps.documents.weld_map import crop, drawings_of, picture, size_of, version_of
from wps.models import Attachment, AttachmentKind, Job, MapMark, Part
from wps.models.weld_map import PARTS
from wps.pdf.unreadable import NotReadable
from wps.views.downloads import file_response

WIDTH = 1000
"""Pixels across at which the page shows the drawing: what is pressed is told in them."""


@reader_required
def weld_map(request: HttpRequest, job: int) -> HttpResponse:
    """One page of one drawing with the welds on it; the first one where none is named."""
    found = get_object_or_404(Job, pk=job)
    drawings = drawings_of(found)
    wanted = number_in(request.GET.get("drawing", ""))
    drawing = next((each for each in drawings if each.pk == wanted), drawings[0] if drawings else None)
    page = number_in(request.GET.get("page", "")) or 1
    if drawing is not None and page > drawing.pages:
        raise Http404
    return render(request, "wps/weld_map.html", _shown(request, found, drawings, drawing, page))


def _shown(
    request: HttpRequest, job: Job, drawings: list[Attachment], drawing: Attachment | None, page: int
) -> dict[str, Any]:
    marks = _marks(job, drawing, page) if drawing else []
    placed = {each.part_id for each in marks}
    parts = list(job.parts.order_by("mark"))
    wanted = number_in(request.GET.get("weld", ""))
    following = next((each.pk for each in parts if each.pk not in placed), None)
    return {
        "job": job,
        "drawings": drawings,
        "drawing": drawing,
        "page": page,
        "pages": range(1, drawing.pages + 1) if drawing else (),
        "marks": marks,
        "parts": [(each, each.pk in placed) for each in parts],
        "chosen": wanted if any(each.pk == wanted for each in parts) else following,
        "picture": _picture_url(job, drawing, page, marks, wanted) if drawing else "",
        "width": WIDTH,
        "may_author": may_author(request.user),
    }


def _picture_url(job: Job, drawing: Attachment, page: int, marks: list[MapMark], chosen: int | None) -> str:
    address = reverse("weld_map_picture", args=[job.pk, drawing.pk, page])
    return f"{address}?v={version_of(marks)}&weld={chosen or ''}"


def _marks(job: Job, drawing: Attachment, page: int) -> list[MapMark]:
    found = MapMark.objects.filter(part__job=job, drawing=drawing, page=page)
    return list(found.select_related("part").order_by("part__mark"))


def _drawing(job: int, pk: int, page: int) -> Attachment:
    found = get_object_or_404(Attachment, pk=pk, job_id=job, kind=AttachmentKind.DRAWING)
    if not 1 <= page <= found.pages:
        raise Http404
    return found


@reader_required
def weld_map_picture(request: HttpRequest, job: int, drawing: int, page: int) -> HttpResponse:
    """The page as a picture with its marks."""
    found, owner = _drawing(job, drawing, page), get_object_or_404(Job, pk=job)
    chosen = number_in(request.GET.get("weld", ""))
    return _png(lambda: picture(found, page, _marks(owner, found, page), chosen))


@reader_required
def weld_map_crop(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """What lies around one mark."""
    mark = get_object_or_404(MapMark.objects.select_related("part", "drawing"), pk=pk, part__job_id=job)
    return _png(lambda: crop(mark))


def _png(make: Any) -> HttpResponse:
    try:
        return file_response(make(), "weld-map.png", "image/png")
    except (vault.Damaged, NotReadable) as refused:
        return HttpResponse(str(refused), status=422, content_type="text/plain; charset=utf-8")


@author_required
@require_POST
def weld_map_place(request: HttpRequest, job: int, drawing: int, page: int) -> HttpResponse:
    """Place a weld where the drawing was pressed, or at the percent typed."""
    found = _drawing(job, drawing, page)
    part = Part.objects.filter(pk=number_in(request.POST.get("weld", "")) or 0, job_id=job).first()
    here = f"{reverse('weld_map', args=[job])}?drawing={found.pk}&page={page}"
    place = _pressed(request, found, page) or _typed(request)
    if part is None or place is None:
        messages.error(
            request,
            "Choose a weld, then press its place on the drawing, or type both percentages from 0 to 100.",
        )
        return redirect(here)
    with transaction.atomic():
        MapMark.objects.update_or_create(
            part=part,
            drawing=found,
            page=page,
            defaults={"across": place[0], "down": place[1], "placed_by_name": name_of(request.user)},
        )
        detail = f"on {found.title}, page {page}"
        append("place", "part", part.pk, str(part), name_of(request.user), {"detail": detail})
    messages.success(request, f"{part.mark} is placed.")
    return redirect(here)


def _pressed(request: HttpRequest, drawing: Attachment, page: int) -> tuple[int, int] | None:
    """Where the picture was pressed. From the keyboard a picture is pressed at its corner: that says
    nothing."""
    x, y = (number_in(request.POST.get(f"at.{side}", "")) for side in "xy")
    if not x or not y:
        return None
    try:
        wide, high = size_of(drawing, page)
    except (vault.Damaged, NotReadable):
        return None
    return min(PARTS, x * PARTS // WIDTH), min(PARTS, y * PARTS * wide // (WIDTH * high))


def _typed(request: HttpRequest) -> tuple[int, int] | None:
    found = []
    for name in ("across", "down"):
        try:
            percent = float(request.POST.get(name, "").replace(",", "."))
        except ValueError:
            return None
        if not 0 <= percent <= 100:
            return None
        found.append(round(percent * PARTS / 100))
    return found[0], found[1]


@author_required
@require_POST
def weld_map_remove(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Take a mark off a drawing."""
    mark = get_object_or_404(MapMark.objects.select_related("part", "drawing"), pk=pk, part__job_id=job)
    with transaction.atomic():
        detail = f"off {mark.drawing.title}, page {mark.page}"
        append("unplace", "part", mark.part_id, str(mark.part), name_of(request.user), {"detail": detail})
        mark.delete()
    messages.success(request, f"{mark.part.mark} is taken off the drawing.")
    return redirect(f"{reverse('weld_map', args=[job])}?drawing={mark.drawing_id}&page={mark.page}")
