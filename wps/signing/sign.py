"""Preparing a rendered document for signatures, and signing it: the author certifies, the approver follows.

The order of work is forced by PDF itself: repack before signing (WeasyPrint's one large object stream makes a
later check of changes take seconds), all fields before the first signature (a certified document takes no
new field), and an embedded font in the visible block (archival PDF forbids others).
"""

from __future__ import annotations

import atexit
import io
import shutil
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import BinaryIO

import pikepdf
from asn1crypto.pkcs12 import Pfx
from cryptography import x509
from cryptography.hazmat.primitives.serialization import pkcs12
from fontTools.ttLib import TTFont
from pyhanko import stamp
from pyhanko.pdf_utils import text
from pyhanko.pdf_utils.font.opentype import GlyphAccumulatorFactory
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers
from pyhanko.sign.timestamps import HTTPTimeStamper

from wps.pdf.page_numbers import LAYOUT_TABLES
from wps.pdf.tags import fold_spans

FONT = Path(__file__).resolve().parent.parent / "static" / "fonts" / "plex-sans-regular.ttf"
CONTENTS_BYTES = 16384
"""Room for signature, certificates and a timestamp."""


class SigningRefused(Exception):
    """The document was not signed; the message says why and what to do."""


class WrongPassphrase(SigningRefused):
    """The passphrase does not open the key."""


@dataclass(frozen=True)
class Box:
    """Where a visible signature stands: page from 0, and left, bottom, right, top in points."""

    field: str
    label: str
    page: int
    rectangle: tuple[float, float, float, float]


def prepare(pdf: bytes, boxes: list[Box]) -> bytes:
    """The rendered document with a lighter tag tree, repacked, with one empty signature field per box."""
    packed, prepared = io.BytesIO(), io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        fold_spans(document)
        _claim_nothing(document)
        document.save(packed, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    packed.seek(0)
    writer = IncrementalPdfFileWriter(packed)
    for box in boxes:
        left, bottom, right, top = (round(side) for side in box.rectangle)
        fields.append_signature_field(
            writer,
            fields.SigFieldSpec(
                box.field, on_page=box.page, box=(left, bottom, right, top), readable_field_name=box.label
            ),
        )
    writer.write(prepared)
    return prepared.getvalue()


def _claim_nothing(document: pikepdf.Pdf) -> None:
    """Take the claim of archival conformance out of the metadata: it held for the file as rendered, and
    nobody checked it for one with signature fields, or with other files' pages behind it."""
    with document.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
        for key in [each for each in metadata if "http://www.aiim.org/pdfa/ns/id/" in each]:
            del metadata[key]


def open_personal(pkcs12_bytes: bytes, passphrase: str) -> x509.Certificate:
    """The certificate in a PKCS#12 file. Raises SigningRefused when it is none, the passphrase does not open
    it or it holds no key."""
    if not _is_pkcs12(pkcs12_bytes):
        raise SigningRefused(
            "The file is no PKCS#12 file. Choose the .p12 or .pfx file with key and certificate."
        )
    try:
        key, certificate, _ = pkcs12.load_key_and_certificates(pkcs12_bytes, passphrase.encode())
    except ValueError as error:
        raise WrongPassphrase(
            "The passphrase does not open the certificate. Enter the one it was made with."
        ) from error
    if key is None or certificate is None:
        raise SigningRefused(
            "The file holds no private key with its certificate. Export both from where it was made."
        )
    return certificate


def _is_pkcs12(content: bytes) -> bool:
    try:
        return bool(Pfx.load(content)["version"].native)
    except (ValueError, TypeError):
        return False


def sign(
    pdf: bytes,
    field: str,
    pkcs12_bytes: bytes,
    passphrase: str,
    reason: str,
    *,
    certify: bool,
    timestamp_url: str = "",
) -> bytes:
    """The document with one more signature, as `sign_file` makes it."""
    signed = io.BytesIO()
    sign_file(
        io.BytesIO(pdf),
        signed,
        field,
        pkcs12_bytes,
        passphrase,
        reason,
        certify=certify,
        timestamp_url=timestamp_url,
    )
    return signed.getvalue()


def sign_file(
    source: BinaryIO,
    out: BinaryIO,
    field: str,
    pkcs12_bytes: bytes,
    passphrase: str,
    reason: str,
    *,
    certify: bool,
    timestamp_url: str = "",
) -> None:
    """Write the document to `out` with one more signature, as an increment after the bytes of `source`.
    Neither is read into memory as a whole.

    `certify`: the first signature, after which only further signatures may be added. Raises SigningRefused
    for a wrong passphrase or a timestamp server that does not answer.
    """
    open_personal(pkcs12_bytes, passphrase)
    signer = signers.SimpleSigner.load_pkcs12_data(
        pkcs12_bytes, other_certs=[], passphrase=passphrase.encode()
    )
    if signer is None:
        raise SigningRefused(
            "The certificate cannot be used for signing. Upload another, or have the shop issue one."
        )
    metadata = signers.PdfSignatureMetadata(
        field_name=field,
        md_algorithm="sha256",
        subfilter=fields.SigSeedSubFilter.PADES,
        reason=reason,
        certify=certify,
        docmdp_permissions=fields.MDPPerm.FILL_FORMS if certify else None,  # type: ignore[arg-type]
    )
    stamper = HTTPTimeStamper(timestamp_url) if timestamp_url else None
    machine = signers.PdfSigner(metadata, signer=signer, timestamper=stamper, stamp_style=_stamp_style())
    try:
        machine.sign_pdf(IncrementalPdfFileWriter(source), output=out, bytes_reserved=CONTENTS_BYTES)
    except Exception as error:
        if stamper is not None:
            raise SigningRefused(
                f"The timestamp server {timestamp_url} did not give a timestamp. Try again later, or clear"
                " the server in the shop's settings."
            ) from error
        raise


@lru_cache(maxsize=1)
def _plain_font() -> str:
    """The bundled font without its layout tables, as a file kept while the program runs: cutting those tables
    down for each signature took most of its time, and a name needs none of them."""
    font = TTFont(FONT)
    for table in LAYOUT_TABLES:
        if table in font:
            del font[table]
    path = Path(mkdtemp(prefix="coupon-to-paper-")) / FONT.name
    atexit.register(shutil.rmtree, path.parent, ignore_errors=True)
    font.save(path)
    return str(path)


def _stamp_style() -> stamp.TextStampStyle:
    return stamp.TextStampStyle(
        stamp_text="%(signer)s\n%(ts)s",
        background=None,
        border_width=0,
        timestamp_format="%Y-%m-%d %H:%M %Z",
        text_box_style=text.TextBoxStyle(font=GlyphAccumulatorFactory(_plain_font()), font_size=8),
    )
