"""Papers from outside: what is taken, what is refused, and that a refusal leaves nothing behind."""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from wps.documents import attachments
from wps.documents.attachments import AttachmentRefused, bytes_of, keep_attachment, look_at
from wps.models import Attachment

pytestmark = pytest.mark.django_db


def pdf_of(pages: int = 1, **saving: object) -> bytes:
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        for _ in range(pages):
            pdf.add_blank_page()
        pdf.save(out, **saving)
    return out.getvalue()


def picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(out, kind)
    return out.getvalue()


def vault_files() -> list[Path]:
    folder = Path(settings.ISSUED_DIR)
    return list(folder.iterdir()) if folder.exists() else []


@pytest.mark.parametrize(
    ("content", "media_type"),
    [
        (pdf_of(3), "application/pdf"),
        (picture("PNG"), "image/png"),
        (picture("JPEG"), "image/jpeg"),
    ],
)
def test_pdf_png_and_jpeg_are_kept_byte_for_byte(content: bytes, media_type: str, author: User) -> None:
    made = keep_attachment(content, "paper", author, kind="mill", title="6061 plate")
    assert made.media_type == media_type
    assert bytes_of(made) == content


REFUSED = {
    "empty": (b"", "is empty"),
    "no pdf and no picture": (b"just some words", "neither a PDF nor a PNG or JPEG"),
    "encrypted": (pdf_of(encryption=pikepdf.Encryption(owner="o", user="u")), "is encrypted"),
    "restricted": (pdf_of(encryption=pikepdf.Encryption(owner="o", user="")), "is encrypted"),
    "cut off": (pdf_of(5)[:300], "is broken"),
    "head only": (b"%PDF-1.7\n" + b"x" * 500, "is broken"),
    "no pages": (pdf_of(0), "has no pages"),
    "another picture": (picture("GIF"), "is a GIF picture"),
    "half a picture": (picture("PNG")[:60], "is broken|neither"),
}


def test_half_a_picture_is_refused_after_a_document_was_rendered(author: User) -> None:
    """Importing WeasyPrint makes Pillow take truncated pictures for whole ones."""
    import weasyprint  # noqa: F401

    with pytest.raises(AttachmentRefused, match="is broken"):
        keep_attachment(picture("PNG")[:60], "paper.png", author, kind="mill", title="x")


@pytest.mark.parametrize(("content", "says"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_brought_along_is_refused_and_leaves_nothing(
    content: bytes, says: str, author: User, author_client: Client
) -> None:
    with pytest.raises(AttachmentRefused, match=says):
        keep_attachment(content, "paper.pdf", author, kind="mill", title="x")
    author_client.post(
        "/attachments/add/",
        {"kind": "mill", "title": "kept title", "file": SimpleUploadedFile("paper.pdf", content)},
    )
    assert not Attachment.objects.exists()
    assert vault_files() == []


def test_huge_files_are_refused_by_size_pages_and_pixels(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(attachments, "LARGEST", 100)
    with pytest.raises(AttachmentRefused, match="Choose one of 0 MB or less"):
        look_at(pdf_of())
    monkeypatch.setattr(attachments, "LARGEST", 40_000_000)
    monkeypatch.setattr(attachments, "MOST_PAGES", 2)
    with pytest.raises(AttachmentRefused, match="has 3 pages. Choose one of 2 or fewer"):
        look_at(pdf_of(3))
    monkeypatch.setattr(attachments, "MOST_PIXELS", 100)
    with pytest.raises(AttachmentRefused, match="million pixels"):
        look_at(picture("PNG"))


def test_a_refusal_on_the_page_keeps_what_was_typed(author_client: Client) -> None:
    page = author_client.post(
        "/attachments/add/",
        {"kind": "nde", "title": "RT of G-12", "heat": "H-9", "file": SimpleUploadedFile("x.pdf", b"words")},
    )
    assert page.status_code == 422
    text = page.content.decode()
    assert 'value="RT of G-12"' in text
    assert 'value="H-9"' in text
    assert text.count("neither a PDF nor a PNG or JPEG picture") == 2


def test_a_paper_is_added_saved_and_set_aside(author_client: Client, reader_client: Client) -> None:
    author_client.post(
        "/attachments/add/",
        {"kind": "nde", "title": "RT of G-12", "file": SimpleUploadedFile("rt g12.pdf", pdf_of())},
    )
    paper = Attachment.objects.get()
    answer = reader_client.get(f"/attachments/{paper.pk}/file/")
    assert answer["Content-Disposition"] == 'attachment; filename="rt g12.pdf"'
    assert author_client.post(f"/attachments/{paper.pk}/set-aside/", {"reason": ""}).status_code == 409
    author_client.post(f"/attachments/{paper.pk}/set-aside/", {"reason": "Of another weld."})
    paper.refresh_from_db()
    assert paper.set_aside_because == "Of another weld."
    assert reader_client.post(f"/attachments/{paper.pk}/set-aside/", {"reason": "x"}).status_code == 403
