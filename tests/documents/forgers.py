"""What a forger has and does: certificates made at home, files signed outside the shop, files spoiled after
signing."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader

from wps.pdf.attached_files import attached_files
from wps.signing.authority import authority, issue_personal
from wps.signing.sign import sign

PASSPHRASE = "own passphrase 1"


def home_made(folder: Path, name: str) -> bytes:
    """A PKCS#12 file in any name, from an authority of the forger's own."""
    return issue_personal(authority(folder / "home", "Home"), name, "", PASSPHRASE)


def signed_outside(pdf: bytes, *signers: tuple[str, bytes], passphrase: str = PASSPHRASE) -> bytes:
    """The file signed by the forger's own means: field and PKCS#12 file of each signature in order."""
    for number, (field, pkcs12) in enumerate(signers):
        pdf = sign(pdf, field, pkcs12, passphrase, "Forged", certify=number == 0)
    return pdf


def repainted(pdf: bytes) -> bytes:
    """An unsigned document whose first page says something else, saved anew."""
    return _saved(pdf, lambda document: document.pages[0].contents_add(b"0 0 50 50 re f"))


def overpainted(pdf: bytes) -> bytes:
    """A signed document with more painted onto its first page, as an increment after the signed bytes."""
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf), strict=False)
    page = writer.find_page_for_modification(0)[0].get_object()
    paint = writer.add_object(generic.StreamObject(stream_data=b"0 0 50 50 re f"))
    before = page.raw_get("/Contents")
    old = list(before) if isinstance(before, generic.ArrayObject) else [before]
    page["/Contents"] = generic.ArrayObject([*old, paint])
    writer.update_container(page)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def with_list(packet: bytes, change: Callable[[dict[str, Any]], None]) -> bytes:
    """A packet whose list of files says something else, saved anew."""
    listed = json.loads(attached_files(packet)["packet.json"])
    change(listed)
    return with_files(packet, **{"packet.json": json.dumps(listed).encode()})


def with_files(pdf: bytes, **files: bytes) -> bytes:
    """A file with other files inside, saved anew, its signatures gone with its old bytes."""

    def change(document: pikepdf.Pdf) -> None:
        for name, content in files.items():
            document.attachments[name] = pikepdf.AttachedFileSpec(document, content, filename=name)

    return _saved(pdf, change)


def fields_emptied(pdf: bytes) -> bytes:
    """A signed file with its signatures taken out and their fields left, saved anew."""

    def change(document: pikepdf.Pdf) -> None:
        for field in document.Root.AcroForm.Fields:
            if "/V" in field:
                del field["/V"]
        document.Root.AcroForm.SigFlags = 1
        if "/Perms" in document.Root:
            del document.Root["/Perms"]

    return _saved(pdf, change)


def _saved(pdf: bytes, change: Callable[[pikepdf.Pdf], object]) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        change(document)
        document.save(out)
    return out.getvalue()


def padding_changed(pdf: bytes) -> bytes:
    """A signed file with one digit changed among the zeros after its last signature."""
    at = int(PdfFileReader(io.BytesIO(pdf)).embedded_signatures[-1].byte_range[2]) - 2
    assert pdf[at : at + 2] == b"0>"
    return pdf[:at] + b"1" + pdf[at + 1 :]
