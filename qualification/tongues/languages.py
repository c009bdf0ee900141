"""The languages papers and pages speak."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.utils import translation

ENGLISH = "en"
LANGUAGES: dict[str, str] = dict(settings.LANGUAGES)
"""Each by its own name. Words are written in English; records and their hashes never change with the
reader."""


def language_named(asked: str) -> str:
    """The language asked for; English where there is no such."""
    return asked if asked in LANGUAGES else ENGLISH


def language_now() -> str:
    """The language that speaks at present."""
    return language_named((translation.get_language() or ENGLISH).split("-")[0])


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Papers and pages made within speak this language."""
    with translation.override(language_named(language)):
        yield
