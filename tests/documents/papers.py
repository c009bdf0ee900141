"""Issued and signed documents of the invented shop for the tests, and ways to spoil them."""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pikepdf
from django.contrib.auth.models import User
from django.template.loader import render_to_string
from django.utils import timezone

from qualification.models import ProcedureTest, Record
from tests import shop_records
from wps.background import tasks
from wps.documents import vault
from wps.documents.kinds import document_for
from wps.documents.taking_signatures import sign_document
from wps.models import IssuedDocument, Spec
from wps.signing.people import make_certificate
from wps.signing.trust import TrustedVerification, judged_here, trust_anchors
from wps.signing.verify import verify

AUTHOR_PASSPHRASE, APPROVER_PASSPHRASE = "harbour crane lamp", "slipway brass oar"


def no_progress(done: int, total: int) -> None:
    """Nobody watches."""


def approved_test(author: User, approver: User, number: str = "PT-014", **changes: Any) -> ProcedureTest:
    """A procedure test walked through review to approval."""
    changes.setdefault("welded_on", timezone.localdate() - timedelta(days=30))
    test = shop_records.procedure_test(author, number, state="draft", **changes)
    shop_records.approve(test, author, approver)
    return test


def approved_spec(
    author: User, approver: User, test: ProcedureTest, number: str = "W-101", **changes: Any
) -> Spec:
    """A procedure that rests on the test, walked through review to approval."""
    spec = shop_records.spec(author, test, number=number, **changes)
    shop_records.approve(spec, author, approver)
    return spec


def issued(record: Record) -> IssuedDocument:
    """The record's document, rendered."""
    tasks.run_all()
    document = document_for(record)
    assert document is not None
    assert document.is_stored
    return document


def certificates(author: User, approver: User) -> None:
    """A certificate for each, unless there is one."""
    for person, passphrase in ((author, AUTHOR_PASSPHRASE), (approver, APPROVER_PASSPHRASE)):
        if not person.certificates.exists():
            make_certificate(person, passphrase)


def signed(record: Record, author: User, approver: User) -> IssuedDocument:
    """The record's document with both signatures."""
    certificates(author, approver)
    document = sign_document(issued(record), author, AUTHOR_PASSPHRASE)
    return sign_document(document, approver, APPROVER_PASSPHRASE)


def verify_here(pdf: bytes) -> TrustedVerification:
    """The file's signatures as the shop judges them, read in this process."""
    return judged_here(verify(pdf, *trust_anchors()))


def bytes_of(document: IssuedDocument) -> bytes:
    return vault.read(document.sha256)


def flipped(pdf: bytes, at: int) -> bytes:
    """The file with one byte changed."""
    return pdf[:at] + bytes([pdf[at] ^ 0x01]) + pdf[at + 1 :]


def with_file_swapped(pdf: bytes, name: str, content: bytes) -> bytes:
    """The file with one embedded file replaced, saved anew."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        spec = pikepdf.AttachedFileSpec(document, content, filename=name)
        document.attachments[name] = spec
        document.save(out)
    return out.getvalue()


def with_page_added(pdf: bytes) -> bytes:
    """The file with a blank page added as an increment after the signed bytes, as a forger would do it."""
    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.pdf_utils.writer import PageObject

    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    empty = writer.add_object(generic.StreamObject(stream_data=b""))
    writer.insert_page(PageObject(contents=empty, media_box=(0, 0, 612, 792)))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


SMALL = """<!DOCTYPE html><html lang="en"><head><title>{title}</title>
<link rel="stylesheet" href="asset:/css/document.css"></head>
<body class="paper-letter"><h1>{title}</h1><p>In place of the whole document.</p>
<div class="sign-space" id="signature-author"></div><div class="sign-space" id="signature-approver"></div>
<div class="sign-space" id="signature-witness"></div></body></html>"""


def small_html(template: str, context: Mapping[str, Any], paper: str) -> str:
    """One page with the signature spaces, for tests about signatures and files: the whole layout takes
    seconds to set."""
    if template == "documents/packet.html":
        return render_to_string(template, {**context, "paper": paper})
    return SMALL.format(title=context["reference"])
