"""The catalogues as their `.po` files have them, and the messages that templates ask for."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from django.test import RequestFactory
from django.utils import translation
from django.utils.translation.template import templatize
from django.views.i18n import JavaScriptCatalog

ROOT = Path(__file__).resolve().parent.parent.parent
LOCALE = ROOT / "qualification" / "locale"
SCRIPTS = ROOT / "wps" / "static" / "js"
LANGUAGES, DOMAINS = ("fr", "de"), ("django", "djangojs", "told")
CALL = re.compile(
    r"(?P<call>\bn?p?gettext|\b_)\((?P<args>(?:\s*u?(?:'(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\")\s*,?)+)"
)
TEXT = re.compile(r"'(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\"")


def po_file(language: str, domain: str) -> Path:
    return LOCALE / language / "LC_MESSAGES" / f"{domain}.po"


def catalogue(language: str, domain: str) -> Catalog:
    with po_file(language, domain).open("rb") as file:
        return read_po(file, locale=language, domain=domain, abort_invalid=True)


def compiled(language: str, domain: str) -> bytes:
    """What the `.mo` beside the `.po` holds, made without gettext's own programs."""
    out = io.BytesIO()
    write_mo(out, catalogue(language, domain))
    return out.getvalue()


def words_file(language: str) -> Path:
    return SCRIPTS / f"words.{language}.js"


def script_words(language: str) -> bytes:
    """What the file holds that a page loads before its scripts: their messages, and the functions that look
    them up. English has the functions alone."""
    with translation.override(language):
        answer = JavaScriptCatalog.as_view(packages=["qualification"])(RequestFactory().get("/"))
    return b"\n".join(line.rstrip() for line in answer.content.splitlines()) + b"\n"


def asked_for(template: Path) -> Iterator[str]:
    """Each message of a template by its first form."""
    for match in CALL.finditer(templatize(template.read_text("utf-8"), origin=str(template))):
        texts = [eval(each) for each in TEXT.findall(match["args"])]  # noqa: S307 - literals of our own
        yield texts[1] if "p" in match["call"].removesuffix("gettext").removesuffix("_") else texts[0]
