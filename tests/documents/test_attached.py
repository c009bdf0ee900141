"""Papers and pictures stand on the page of what they belong to, and go with a reason."""

from __future__ import annotations

import io

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import State
from qualification.models.audit import AuditEntry
from tests.shop_records import job, procedure_test
from wps.models import Attachment, Lot, Part

pytestmark = pytest.mark.django_db


def _picture() -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (8, 6), "white").save(out, "JPEG")
    return SimpleUploadedFile("bend.jpg", out.getvalue())


def _add(client: Client, **about: object) -> Attachment:
    known = set(Attachment.objects.values_list("pk", flat=True))
    client.post(
        reverse("attachment_add"), {"title": "Side bend", "kind": "photo", "file": _picture(), **about}
    )
    return Attachment.objects.exclude(pk__in=known).get()


def test_each_thing_shows_its_own(author_client: Client, author: User) -> None:
    procedure_test(author, number="PT-007")
    work, other = job(), job(number="J-9")
    weld = work.parts.first() or Part.objects.create(job=work, mark="L-2", title="Ladder")
    lot = Lot.objects.create(kind="filler", number="7731", material="ER5356", recorded_by_name="Nobody")
    for thing, about in (
        (weld, {"part": weld.pk}),
        (lot, {"lot": lot.pk}),
        (work, {"job": work.pk}),
    ):
        paper = _add(author_client, title=f"Of {thing}", **about)
        page = author_client.get(thing.get_absolute_url())
        assertContains(page, f'id="attachment-{paper.pk}"')
        assertContains(page, reverse("attachment_shown", args=[paper.pk]))
    assertContains(author_client.get(other.get_absolute_url()), "None is attached.")
    answer = author_client.get(reverse("attachment_add"), {"record": "procedure-test:PT-007"})
    assertContains(answer, '<option value="procedure-test:PT-007" selected>')


def test_a_picture_of_a_specimen_stands_beside_the_results(author_client: Client, author: User) -> None:
    test = procedure_test(author, number="PT-007", state=State.DRAFT)
    _add(author_client, record="procedure-test:PT-007", specimen="SB-1", title="Side bend after test")
    for page in (test.get_absolute_url(), reverse("procedure_test_results", args=[test.pk])):
        answer = author_client.get(page)
        assertContains(answer, 'aria-label="Pictures of specimens"')
        assertContains(answer, '<span class="mono">SB-1</span>')


def test_the_record_on_paper_stands_beside_its_fields(author_client: Client, author: User) -> None:
    test = procedure_test(author, number="PT-007", state=State.DRAFT)
    edit = reverse("procedure_test_edit", args=[test.pk])
    assertNotContains(author_client.get(edit), 'class="scan"')
    paper = _add(author_client, record="procedure-test:PT-007", kind="scan", title="PQR of 1998")
    assertContains(author_client.get(edit), "Record on paper: PQR of 1998")
    shown = author_client.get(reverse("attachment_shown", args=[paper.pk]))
    assert (shown["Content-Type"], shown["X-Frame-Options"]) == ("image/jpeg", "SAMEORIGIN")
    assert shown["X-Content-Type-Options"] == "nosniff"


def test_it_is_removed_with_a_reason_that_stays(author_client: Client) -> None:
    work = job()
    paper = _add(author_client, job=work.pk)
    url = reverse("attachment_set_aside", args=[paper.pk])
    assert author_client.post(url, {"reason": " "}).status_code == 409
    answer = author_client.post(url, {"reason": "Shows another coupon.", "from_page": "1"})
    assertRedirects(answer, work.get_absolute_url())
    assertContains(author_client.get(work.get_absolute_url()), "None is attached.")
    paper.refresh_from_db()
    assert paper.set_aside_because == "Shows another coupon."
    assert AuditEntry.objects.filter(verb="set_aside", data__reason="Shows another coupon.").exists()
    assertContains(author_client.get(reverse("attachment_list")), "Shows another coupon.")


def test_a_weld_that_goes_leaves_its_paper(author_client: Client) -> None:
    work = job()
    weld = Part.objects.create(job=work, mark="X-1", title="Ladder")
    paper = _add(author_client, part=weld.pk)
    author_client.post(reverse("part_remove", args=[work.pk, weld.pk]))
    paper.refresh_from_db()
    assert paper.part is None


def test_readers_see_and_do_not_change(reader_client: Client, author_client: Client) -> None:
    work = job()
    paper = _add(author_client, job=work.pk)
    answer = reader_client.get(work.get_absolute_url())
    assertContains(answer, f'id="attachment-{paper.pk}"')
    assertNotContains(answer, "Add a document or photo")
    assert reader_client.get(reverse("attachment_shown", args=[paper.pk])).status_code == 200
    assert reader_client.post(reverse("attachment_set_aside", args=[paper.pk])).status_code == 403
