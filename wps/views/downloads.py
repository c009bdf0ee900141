"""Files handed to the browser."""

from __future__ import annotations

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def pdf_response(content: bytes, filename: str, *, as_attachment: bool = False) -> HttpResponse:
    """A PDF, shown in the browser unless it is to be saved."""
    return file_response(content, filename, "application/pdf", as_attachment=as_attachment)


def file_response(
    content: bytes, filename: str, media_type: str, *, as_attachment: bool = False
) -> HttpResponse:
    """A file of that media type under that name."""
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = content_disposition_header(as_attachment, filename)
    return response
