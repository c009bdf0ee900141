"""The joint of a record as a drawing to save."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from qualification.codes.editions import is_iso
from qualification.models import WelderTest
from qualification.roles import reader_required
from wps.documents.context import content_of
from wps.documents.issue import filename_of
from wps.documents.joint_dxf import dxf_of
from wps.documents.kinds import KINDS
from wps.documents.sketch import joints_drawn, sketch_of
from wps.views.downloads import file_response

TYPES = {"svg": "image/svg+xml", "dxf": "image/vnd.dxf"}


@reader_required
def joint_file(request: HttpRequest, kind: str, pk: int, form: str) -> HttpResponse:
    """Every joint of a procedure or procedure test, to scale, as SVG or DXF."""
    if kind not in KINDS or KINDS[kind] is WelderTest:
        raise Http404
    record = get_object_or_404(KINDS[kind], pk=pk)
    content = content_of(record)
    entries = content["joint"], content["units"], content["lines"]
    more = {
        "shown": content.get("shown", ""),
        "iso": is_iso(content["edition"]),
        "log": content.get("passes", ()),
    }
    made = sketch_of(*entries, **more).encode() if form == "svg" else dxf_of(joints_drawn(*entries, **more))
    name = filename_of(f"{record.number}-joint", record.revision).removesuffix("pdf")
    return file_response(made, f"{name}{form}", TYPES[form], as_attachment=True)
