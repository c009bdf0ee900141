"""Files handed to the browser."""

from __future__ import annotations

import re

from django.http import HttpResponse
from django.utils.http import content_disposition_header

_NO_NAME = re.compile(r"[\x00-\x1f\x7f/\\:*?\"<>|]+")
"""What a name may not hold on one system or another, or leads out of a folder there."""


def name_of_file(text: str) -> str:
    """The text as the name of a file: numbers are the shop's own, and may be written with strokes."""
    return _NO_NAME.sub("-", text).strip(". ") or "file"


def pdf_response(content: bytes, filename: str, *, as_attachment: bool = False) -> HttpResponse:
    """A PDF, shown in the browser unless it is to be saved."""
    return file_response(content, filename, "application/pdf", as_attachment=as_attachment)


def file_response(
    content: bytes, filename: str, media_type: str, *, as_attachment: bool = False
) -> HttpResponse:
    """A file of that media type under that name."""
    response = HttpResponse(content, content_type=media_type)
    named = content_disposition_header(as_attachment, name_of_file(filename))
    response["Content-Disposition"] = named or "inline"
    return response
