"""A packet for a reader of another language than its papers were issued in."""

from __future__ import annotations

import io

import pytest
from django.contrib.auth.models import User
from pypdf import PdfReader

from tests.documents.packet_records import assembled, packet_for
from tests.documents.papers import approved_spec, approved_test, signed
from wps.documents import vault
from wps.models import PacketItem
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


def test_a_recipient_reads_what_was_signed_in_another_language(author: User, approver: User) -> None:
    """The copy stands behind the signed paper and the index names its page; no file is attached for it."""
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    signed(test, author, approver)
    signed(spec, author, approver)
    whole = packet_for(author, procedures=[spec.pk], language="fr")
    assembled(whole, author, "Sent as it is.")
    pdf = vault.read(whole.assembled_sha256)
    texts = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    items = list(PacketItem.objects.filter(packet=whole).order_by("position"))
    front = " ".join(" ".join(texts[: items[0].first_page - 1]).split())
    papers = [each for each in items if each.document]
    assert {each.document.language for each in papers} == {"en"}
    for each in papers:
        start = each.first_page - 1 + each.pages
        assert f"dès la page {start + 1}" in front
        assert each.reference in texts[start]
    assert sum(name.endswith(".pdf") for name in attached_files(pdf)) == len(papers)
