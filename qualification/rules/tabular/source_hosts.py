"""Hosts that no number may rest on: they share books and standards without their owners' leave, or
sell forms. A row read there alone is from memory until somebody holds it against the book."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlsplit

SHARING, SELLER, MIRROR = "a document-sharing site", "a seller of forms", "a mirror of other sites"
REFUSED: Mapping[str, str] = {
    **dict.fromkeys(
        (
            "0685.com",
            "1library.co",
            "1library.net",
            "academia.edu",
            "anyflip.com",
            "coursehero.com",
            "docplayer.net",
            "docsity.com",
            "documents.pub",
            "dokumen.site",
            "dokumen.tips",
            "edoc.pub",
            "epdf.pub",
            "fliphtml5.com",
            "idoc.pub",
            "idoc.tips",
            "issuu.com",
            "normdocs.ru",
            "pdfcoffee.com",
            "pdfcookie.com",
            "pdfslide.net",
            "pdfslide.org",
            "scribd.com",
            "slideshare.net",
            "studmed.ru",
            "studylib.net",
            "unterlagen.site",
            "vdocument.in",
            "vdocuments.net",
            "vdocuments.site",
            "wdfxw.net",
            "wnwk.com",
        ),
        SHARING,
    ),
    "qualityinspectionforms.com": SELLER,
    **dict.fromkeys(("arietiform.com", "ilovetranslation.com", "pilihbajumuslim.com"), MIRROR),
}
"""Each host with what it is; its subdomains count as well."""


def refusal_of(url: str) -> str:
    """Why nothing may rest on a page; empty where something may."""
    parts = (urlsplit(url).hostname or "").split(".")
    for start in range(len(parts) - 1):
        host = ".".join(parts[start:])
        if host in REFUSED:
            return f"{host} is {REFUSED[host]}; name an agency, a maker, a textbook or a course instead"
    return ""
