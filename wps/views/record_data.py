"""Records as data for other programs, and the schema they follow."""

from __future__ import annotations

import json
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from qualification.models import Record
from qualification.models.record import content_hash
from qualification.roles import reader_required
from qualification.rules.interface.record_files import RECORD_FORMAT, record_schema
from wps.documents.context import content_of
from wps.documents.issue import filename_of
from wps.documents.kinds import KINDS, document_for
from wps.models import Spec
from wps.views.downloads import file_response


def record_data(record: Record) -> dict[str, Any]:
    """The record with all it prints; a procedure brings the content of its tests, so that whoever has the
    file can ask again whether they cover it."""
    content, issued = content_of(record), document_for(record)
    tests = record.tests.order_by("number", "revision") if isinstance(record, Spec) else ()
    return {
        "format": RECORD_FORMAT,
        "code": issued.code if issued else "",
        "content_hash": record.snapshot_hash or content_hash(content),
        "content": content,
        "evidence": [content_of(test) for test in tests],
    }


@reader_required
def record_file(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """One record as JSON; `manage.py ranges` and `coverage` read it."""
    if kind not in KINDS:
        raise Http404
    record = get_object_or_404(KINDS[kind], pk=pk)
    name = filename_of(record.number, record.revision).removesuffix("pdf")
    body = json.dumps(record_data(record), ensure_ascii=False, indent=1).encode()
    return file_response(body, f"{name}json", "application/json", as_attachment=True)


@reader_required
def record_schema_file(request: HttpRequest) -> HttpResponse:
    """JSON Schema (draft 2020-12) of a record saved as data."""
    return file_response(
        json.dumps(record_schema(), indent=1).encode(), "record.schema.json", "application/schema+json"
    )
