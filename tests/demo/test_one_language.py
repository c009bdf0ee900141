"""Pages as a French and a German reader see them, on the demo shop: a sample of every kind of page. All of
them are read by `python -m tests.tongues.pages`."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from qualification.roles import APPROVER, AUTHOR, READER, grant_roles
from tests.access.walk import answers_of, in_language
from tests.demo.conftest import DemoShop
from tests.fuzz.targets import addresses
from tests.tongues.english import english_in, names_and_typed

ONE_IN = 5
"""Of the addresses, one in so many is read in each language; each language reads others."""
ENGLISH_TEXTS = 75
"""Texts of the sample that may hold English words while sentences are on their way; it may only fall."""


@pytest.mark.parametrize(("language", "first"), [("fr", 0), ("de", 2)])
def test_pages_say_nothing_in_english(language: str, first: int, demo_shop: DemoShop) -> None:
    person = User.objects.get(username="hedda")
    grant_roles(person, [AUTHOR, APPROVER, READER])
    client = Client()
    client.force_login(person)
    typed, found, pages = names_and_typed(language), {}, 0
    for path, page in answers_of(in_language(client, language), addresses()[first::ONE_IN]):
        assert f'<html lang="{language}"' in page
        pages += 1
        found |= {text: (path, words) for text, words in english_in(page, language, typed).items()}
    assert pages > 15
    assert len(found) <= ENGLISH_TEXTS, found


def test_english_is_found_where_it_stands(demo_shop: DemoShop) -> None:
    """The count would be of nothing if the reading found nothing."""
    page = """<!DOCTYPE html><html lang="fr"><body><p>La soudure</p><p>The weld is covered.</p>
      <p lang="en">The welding of steel</p><p>AL-01, 6061 groove and fillet, pulsed GMAW</p>
      <input placeholder="Enter the number"><textarea>What is typed</textarea></body></html>"""
    found = english_in(page, "fr", names_and_typed("fr"))
    assert list(found) == ["The weld is covered.", "Enter the number"]
