"""Pages as a French and a German reader see them, on the demo shop: a sample of every kind of page. All of
them are read by `python -m tests.tongues.pages`."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from qualification.roles import APPROVER, AUTHOR, READER, grant_roles
from qualification.tongues.languages import speaking
from qualification.tongues.told import told
from tests.access.answers import answers_of, in_language
from tests.access.whole_shop import one_of_each
from tests.demo.conftest import DemoShop
from tests.fuzz.targets import addresses
from tests.tongues.english import english_in, names_and_typed
from wps.models import Spec

ONE_IN = 5
"""Of the addresses, one in so many is read in each language; each language reads others."""
ENGLISH_TEXTS = 3
"""Texts of the sample that may hold English words while sentences are on their way; it may only fall."""


@pytest.mark.parametrize(("language", "first"), [("fr", 0), ("de", 2)])
def test_pages_say_nothing_in_english(language: str, first: int, demo_shop: DemoShop) -> None:
    person = User.objects.get(username="hedda")
    grant_roles(person, [AUTHOR, APPROVER, READER])
    client = Client()
    client.force_login(person)
    known = one_of_each(client, person)
    typed, found, pages = names_and_typed(language), {}, 0
    sample = addresses()[first::ONE_IN]
    for path, page in answers_of(in_language(client, language), sample, known, language):
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


@pytest.mark.parametrize("language", ["fr", "de"])
def test_what_the_shop_wrote_stays_on_the_closed_line_of_a_fold(language: str, demo_shop: DemoShop) -> None:
    """The title of a test was told as if the program had said it: “Gepulst GMAW”."""
    client = Client()
    client.force_login(User.objects.get(username="maren"))
    in_language(client, language)
    spec = Spec.objects.get(number="AL-01", revision=0)
    title = spec.tests.get().title
    page = client.get(spec.get_absolute_url()).content.decode()
    assert f'<span class="fold__says">{title}</span>'.replace(" ", "") in page.replace(" ", "").replace(
        "\n", ""
    )


@pytest.mark.parametrize(
    ("language", "said"), [("fr", "Valable aujourd’hui\u202f: GMAW et GTAW"), ("de", "GMAW und GTAW")]
)
def test_what_a_welder_holds_is_told_whole(language: str, said: str) -> None:
    with speaking(language):
        assert said in told("Holds GMAW and GTAW today")


@pytest.mark.parametrize("language", ["fr", "de"])
def test_the_day_at_the_foot_follows_the_language(language: str, demo_shop: DemoShop) -> None:
    client = Client()
    client.force_login(User.objects.get(username="maren"))
    page = in_language(client, language).get(reverse("glossary")).content.decode()
    with speaking(language):
        assert f"<dd>{told(f'{timezone.localdate():%Y-%m-%d}')}</dd>" in page
