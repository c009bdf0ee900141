"""The papers and pictures of one record, weld, lot or job, for its own page."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.urls import reverse

from qualification.links import Picture
from qualification.models import CouponRecord, Record
from wps.documents.kinds import KINDS, kind_of
from wps.models import Attachment, AttachmentKind, Job, Lot, Part


def attached_to(thing: Record | Part | Lot | Job) -> QuerySet[Attachment]:
    """Papers of the thing that were not removed; of a lot also those about its heat."""
    if isinstance(thing, Record):
        mine = Q(record_kind=kind_of(thing), record_number=thing.number)
    elif isinstance(thing, Lot):
        mine = Q(lot=thing) | Q(heat=thing.number, record_number="", part=None)
    else:
        mine = Q(**{"part" if isinstance(thing, Part) else "job": thing})
    return Attachment.objects.filter(mine, set_aside_because="").select_related("job", "part", "lot")


def panel_of(thing: Part | Lot | Job) -> dict[str, Any]:
    """What `wps/_attached.html` needs."""
    asked = {type(thing).__name__.lower(): str(thing.pk)}
    papers = attached_to(thing).select_related(None)
    return {"papers": list(papers), "add_url": f"{reverse('attachment_add')}?{urlencode(asked)}"}


def page_of(paper: Attachment) -> str:
    """The page of what the paper belongs to, where it is shown."""
    for thing in (paper.part, paper.lot, paper.job):
        if thing is not None:
            return str(thing.get_absolute_url())
    if paper.record_kind in KINDS:
        records = KINDS[paper.record_kind].objects.filter(number=paper.record_number)
        if (newest := records.order_by("-revision").first()) is not None:
            return str(newest.get_absolute_url())
    return reverse("attachment_list")


def pictures_of(record: CouponRecord) -> list[Picture]:
    """Pictures of a test, each with the specimen it shows."""
    return [
        Picture(reverse("attachment_shown", args=[each.pk]), each.title, each.specimen)
        for each in attached_to(record)
        if each.is_picture and each.kind != AttachmentKind.SCAN
    ]


def scans_of(record: Record) -> list[Picture]:
    """The record as it is on paper, to type from."""
    return [
        Picture(reverse("attachment_shown", args=[each.pk]), each.title, "", not each.is_picture)
        for each in attached_to(record)
        if each.kind == AttachmentKind.SCAN
    ]
