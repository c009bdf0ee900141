"""Sentences of the tables, the help and the glossary are told in the reader's language; those that are not
yet are counted, and the count may only fall."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from qualification.tongues.neutral import has_unit
from qualification.tongues.told import catalogue as told_by
from tests.tongues.catalogues import LANGUAGES
from tests.tongues.english import only_english, words_in
from tests.tongues.table_sentences import said_in, table_sentences

TYPED = "1/8 to 1/2"
"""An example of what a range may be typed as, in every language."""
UNTOLD = {
    "fr": 0,
    "de": 0,
}
"""Sentences that stand in English at most."""


def untold_in(language: str) -> list[str]:
    words = told_by(language)
    return sorted(each for each in table_sentences() if not words.tell(each, has_unit(each))[1])


@pytest.mark.parametrize("language", LANGUAGES)
def test_sentences_of_the_tables_are_told(language: str) -> None:
    untold = untold_in(language)
    assert len(untold) <= UNTOLD[language], untold[:20]


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_english_stays_in_a_sentence_that_is_told(language: str) -> None:
    """A sentence without a message of its own may be taken for one that a message with places made: `On a WPS
    give ranges` for what stands on a record named `a WPS`."""
    words, foreign = told_by(language), only_english(language)
    left = {
        each: english
        for each in table_sentences()
        if (english := words_in(words.tell(each, has_unit(each))[0].replace(TYPED, "")) & foreign)
    }
    assert left == {}


def test_sentences_are_found_where_they_stand(tmp_path: Path) -> None:
    """The count would be of nothing if the reading found nothing."""
    table = tmp_path / "welder.toml"
    table.write_text(
        'title = "Of a source"\n[[row]]\nclause = "QW-1 of"\nbecause = "It is stated. A fillet is one."\n'
    )
    assert list(said_in(table)) == ["It is stated.", "A fillet is one."]
    assert len(table_sentences()) > 2000


def test_a_subject_of_the_help_is_french_to_a_french_reader(reader_client: Client) -> None:
    reader_client.post(reverse("look"), {"look": "", "language": "fr"})
    page = reader_client.get(reverse("help_subject", args=["range"])).content.decode()
    assert "Domaine de validité et couverture" in page
    assert "Chaque code énumère" in page
    assert "Each code lists" not in page
