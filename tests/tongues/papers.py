"""English left on papers: every kind of paper of a demo shop, stored, empty and long, in each of its states:
`python -m tests.tongues.papers`; `--only welder-test` looks at papers whose names begin so."""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unittest import mock

from tests.access.own_demo import demo_client
from tests.tongues.catalogues import DOMAINS, LANGUAGES, catalogue

if TYPE_CHECKING:
    from django.db import models

IN_PLACE = '<html lang="en"><title>Laid out</title><body>Words are read before they are laid out.'
"""What is laid out of a paper whose words are read, so that all are read quickly."""
DIGEST = re.compile(r"\b[0-9a-f]{16,}\b")
"""The digits of a hash are no words."""
OF_RECORDS = ("Spec", "ProcedureTest", "WelderTest")
Page = tuple[str, set[str]]
"""The HTML of a paper, and what was to be told on it and has no message."""


class Read(list[Page]):
    """The papers printed since they were last taken."""

    def taken(self) -> list[Page]:
        found = list(self)
        self.clear()
        return found


@contextmanager
def papers_read() -> Iterator[Read]:
    """The words of each paper that is printed within; no pages are made of them."""
    from qualification.tongues.told import untold
    from wps.documents import render

    read, made = Read(), render.render_html

    def keep(*args: Any) -> str:
        with untold() as left:
            page = made(*args)
        read.append((page, set(left)))
        return IN_PLACE

    with mock.patch.object(render, "render_html", keep):
        yield read


def stays(language: str) -> list[str]:
    """What stands as it is on papers of the language, the longest first: what people typed, also where a
    message could have made it, and names of standards."""
    from tests.tongues.english import names_and_typed
    from wps.documents.codes import said
    from wps.gallery.extremes import typed_in_extremes
    from wps.models import IssuedDocument
    from wps.signing.reasons import REASONS

    reasons = (name for each in REASONS.values() for name in (each.indication, each.sub_indication) if name)
    found = {*names_and_typed(language), *typed_in_extremes(), *_texts_of_several_words(), *reasons}
    found |= {text[:1].lower() + text[1:] for text in found if " " in text}
    found |= {said(code) for code in IssuedDocument.objects.values_list("code", flat=True)}
    return sorted(found, key=len, reverse=True)


def left_in_english(page: Sequence[Any], language: str, typed: list[str]) -> dict[str, str]:
    """Each text of a paper with English in it, and what of it is: words that no message of the language has,
    or that it was to be told and has no message."""
    from tests.tongues.english import english_in

    html, untold = DIGEST.sub("", page[0]), page[1]
    found = {text: ", ".join(sorted(words)) for text, words in english_in(html, language, typed).items()}
    for text in untold.difference(typed, _said_by(language)):
        if not _is_made_of(text, typed):
            found.setdefault(text, "no message")
    return found


def _texts_of_several_words() -> Iterator[str]:
    from django.apps import apps

    from tests.tongues.english import BY_PROGRAM

    for model in apps.get_models():
        if model._meta.app_label in ("qualification", "wps") and model.__name__ not in BY_PROGRAM:
            yield from (text for text in _free_texts(model) if " " in text)
        if model.__name__ in OF_RECORDS:
            for joint, lines in model._default_manager.values_list("joint", "lines"):
                entries = (value for each in (joint, *lines) for value in each.values())
                yield from (value for value in entries if isinstance(value, str) and " " in value)


def _free_texts(model: type[models.Model]) -> Iterator[str]:
    from django.db import models

    names = [
        field.name
        for field in model._meta.concrete_fields
        if isinstance(field, models.CharField | models.TextField) and not field.choices
    ]
    for row in model._default_manager.values_list(*names) if names else ():
        yield from (line for value in row if value for line in value.splitlines())


def _said_by(language: str) -> set[str]:
    """What stands in the language already where a paper asks for it to be told."""
    return {
        said
        for domain in DOMAINS
        for message in catalogue(language, domain)
        for said in (message.string if isinstance(message.string, list | tuple) else (message.string,))
    }


def _is_made_of(text: str, typed: Iterable[str]) -> bool:
    """Whether people typed all words of the text."""
    from qualification.tongues.neutral import is_neutral

    for each in typed:
        text = text.replace(each, " ")
    return is_neutral(text)


def english_on(language: str, only: str) -> Iterator[tuple[str, dict[str, str]]]:
    """The name of each paper, and what is English on it."""
    from qualification.tongues.languages import speaking
    from wps.gallery.papers import papers

    typed = stays(language)
    with papers_read() as read, speaking(language):
        for name, _, _ in papers(brief=True):
            pages = read.taken()
            if name.startswith(only):
                yield (
                    name,
                    {k: v for page in pages for k, v in left_in_english(page, language, typed).items()},
                )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="papers whose names begin so, such as packet")
    parser.add_argument("--language", action="append", choices=LANGUAGES, help="default: each")
    chosen = parser.parse_args()
    left = 0
    with tempfile.TemporaryDirectory() as folder:
        demo_client(Path(folder))
        for language in chosen.language or LANGUAGES:
            found: set[str] = set()
            papers = 0
            for name, texts in english_on(language, chosen.only):
                papers += 1
                for text in texts.keys() - found:
                    print(f"{language} {name}: {text} ({texts[text]})", flush=True)
                found |= texts.keys()
            print(f"{language}: {papers} papers, {len(found)} texts with English")
            left += len(found)
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
