"""Welds placed on a drawing, their map in a packet, and photos at the weld."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from importlib import import_module
from types import SimpleNamespace
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pikepdf import Pdf
from PIL import Image
from pypdf import PdfReader

from qualification.models import AuditEntry
from tests.shop_records import job, part
from wps.documents.attachments import bytes_of, keep_attachment
from wps.documents.weld_map import CHOSEN, map_pages, picture
from wps.models import Attachment, AttachmentKind, Job, MapMark, Packet, Part
from wps.packets.contents import contents_of
from wps.packets.front import render_front

pytestmark = pytest.mark.django_db


def png(size: tuple[int, int] = (800, 400)) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", size, "white").save(made, "PNG")
    return made.getvalue()


def pdf(pages: int = 2) -> bytes:
    made, stored = Pdf.new(), io.BytesIO()
    for _ in range(pages):
        made.add_blank_page(page_size=(800, 400))
    made.save(stored)
    return stored.getvalue()


@pytest.fixture
def drawn(author: User, shop: object) -> tuple[Job, Part, Attachment]:
    made = job()
    kept = keep_attachment(pdf(), "deck.pdf", author, kind=AttachmentKind.DRAWING, title="Deck 7-1", job=made)
    return made, part(made, "G-12"), kept


def _place(client: Client, of: Job, drawing: Attachment, page: int = 1, **posted: object) -> object:
    address = reverse("weld_map_place", args=[of.pk, drawing.pk, page])
    return client.post(address, posted, follow=True)


def test_a_weld_is_placed_where_the_drawing_is_pressed(
    author_client: Client, drawn: tuple[Job, Part, Attachment]
) -> None:
    made, weld, drawing = drawn
    # The page of 800 x 400 points is shown 1000 wide and 500 high.
    _place(author_client, made, drawing, 2, weld=weld.pk, **{"at.x": "250", "at.y": "400"})
    mark = MapMark.objects.get()
    assert (mark.part, mark.page, mark.across, mark.down) == (weld, 2, 2500, 8000)
    # Pressed again it moves; from the keyboard the corner says nothing, and percentages are typed.
    _place(
        author_client, made, drawing, 2, weld=weld.pk, across="10", down="20,5", **{"at.x": "0", "at.y": "0"}
    )
    mark.refresh_from_db()
    assert (mark.across, mark.down) == (1000, 2050)
    _place(author_client, made, drawing, 2, weld=weld.pk, across="101", down="20")
    _place(author_client, made, drawing, 2, weld=weld.pk, **{"at.x": "0", "at.y": "0"})
    mark.refresh_from_db()
    assert (mark.across, mark.down, MapMark.objects.count()) == (1000, 2050, 1)
    shown = author_client.get(reverse("weld_map", args=[made.pk]), {"drawing": drawing.pk, "page": 2})
    assert [each.part for each in shown.context["marks"]] == [weld]
    assert b"Deck 7-1" in author_client.get(weld.get_absolute_url()).content
    assert AuditEntry.objects.filter(verb="place", record_id=weld.pk, record_kind="part").count() == 2
    author_client.post(reverse("weld_map_remove", args=[made.pk, mark.pk]))
    assert not MapMark.objects.exists()


def test_the_picture_shows_the_mark_where_it_was_placed(
    reader_client: Client, drawn: tuple[Job, Part, Attachment]
) -> None:
    made, weld, drawing = drawn
    mark = MapMark.objects.create(part=weld, drawing=drawing, page=1, across=2500, down=8000)
    sheet = Image.open(io.BytesIO(picture(drawing, 1, [mark], weld.pk)))
    assert (sheet.width, sheet.height) == (1600, 800)
    assert sheet.getpixel((400, 640)) == tuple(bytes.fromhex(CHOSEN[1:]))
    assert sheet.getpixel((1500, 100)) == (255, 255, 255)
    for name, args in (
        ("weld_map_picture", [made.pk, drawing.pk, 1]),
        ("weld_map_crop", [made.pk, mark.pk]),
    ):
        assert reader_client.get(reverse(name, args=args)).headers["Content-Type"] == "image/png"
    assert reader_client.get(reverse("weld_map_picture", args=[made.pk, drawing.pk, 3])).status_code == 404
    assert reader_client.post(reverse("weld_map_place", args=[made.pk, drawing.pk, 1])).status_code == 403


def test_the_packet_prints_the_map(author: User, drawn: tuple[Job, Part, Attachment]) -> None:
    made, weld, drawing = drawn
    MapMark.objects.create(part=weld, drawing=drawing, page=1, across=2500, down=8000)
    (page,) = map_pages(made)
    assert (page.title, page.words) == ("Deck 7-1, page 1 of 2", "G-12")
    packet = Packet(number="P-1", title="Deck", recipient="Ilse", job=made, choice={}, code="ABC")
    contents = contents_of(packet, date(2031, 3, 4))
    assert contents.maps == (page,)
    packet.day = contents.day
    printed = render_front(packet, contents, [], [], {}, 2, "2 entries")
    sheets = PdfReader(io.BytesIO(printed.pdf)).pages
    last = sheets[-1] if "Weld map" in sheets[-1].extract_text() else sheets[-2]
    assert "Deck 7-1, page 1 of 2" in last.extract_text()
    assert [image.image.size for image in last.images] == [(1600, 800)]


def test_a_photo_at_the_weld_is_an_attachment_kept_once(
    author_client: Client, drawn: tuple[Job, Part, Attachment]
) -> None:
    made, weld, _ = drawn
    address, token = reverse("weld_photo_add", args=[made.pk, weld.pk]), str(uuid4())
    for _ in range(2):
        image = SimpleUploadedFile("p.png", png(), "image/png")
        author_client.post(address, {"image": image, "token": token, "caption": "Root  side"})
    photo = Attachment.objects.get(kind=AttachmentKind.PHOTO)
    assert (photo.part, photo.title, bytes_of(photo)) == (weld, "Root side", png())
    shown = reverse("attachment_shown", args=[photo.pk])
    for page in (reverse("weld_log_one", args=[made.pk, weld.pk]), weld.get_absolute_url()):
        assert shown in author_client.get(page).content.decode()
    for sent in ({"image": SimpleUploadedFile("p.png", b"no picture")}, {}):
        refused = author_client.post(address, sent, follow=True)
        assert list(refused.context["messages"])[0].level_tag == "error"
    assert Attachment.objects.count() == 2


def test_photos_kept_apart_become_attachments(drawn: tuple[Job, Part, Attachment]) -> None:
    _, weld, _ = drawn
    webp = io.BytesIO()
    Image.new("RGB", (8, 4), "red").save(webp, "WEBP", lossless=True)
    stored = (("Root", png(), "a.png"), ("", webp.getvalue(), "b.webp"), ("Lost", b"", "c.jpg"))
    photos = [
        SimpleNamespace(
            part=weld,
            token=uuid4(),
            caption=caption,
            taken_by_name="Ilse Varga",
            added_at=datetime(2031, 3, 4, tzinfo=UTC),
            image=SimpleUploadedFile(name, content),
        )
        for caption, content, name in stored
    ]
    old = SimpleNamespace(objects=SimpleNamespace(order_by=lambda _: photos))
    apps = SimpleNamespace(get_model=lambda _, name: {"Attachment": Attachment, "WeldPhoto": old}[name])
    import_module("wps.migrations.0019_weld_photos_attached").attach(apps, None)
    root, red, lost = Attachment.objects.filter(kind=AttachmentKind.PHOTO).order_by("id")
    assert bytes_of(root) == png()
    assert (root.title, root.part, root.added_at.year) == ("Root", weld, 2031)
    assert Image.open(io.BytesIO(bytes_of(red))).getpixel((0, 0)) == (255, 0, 0)
    assert (red.title, red.added_by_name, red.token) == (f"Photo of {weld}", "Ilse Varga", photos[1].token)
    assert [bool(each.set_aside_because) for each in (root, red, lost)] == [False, False, True]
