"""The language of screens: by the browser for who has not signed in, by choice for who has."""

from __future__ import annotations

import pytest
from django import forms
from django.test import Client
from django.urls import reverse

from qualification.models import Shop
from qualification.templatetags.tongues import whole
from qualification.tongues.languages import speaking

UNKNOWN = "0000000000"


@pytest.mark.parametrize(
    ("asked", "language", "said"),
    [
        ("fr-CA,fr;q=0.9", "fr", "Aucun document portant ce code"),
        ("de-DE,de;q=0.9,en;q=0.5", "de", "kein Dokument mit diesem Code"),
        ("es", "en", "No document with this code"),
        ("", "en", "No document with this code"),
    ],
)
def test_the_page_behind_a_code_speaks_as_the_browser_asks(
    asked: str, language: str, said: str, client: Client, shop: Shop
) -> None:
    page = client.get(reverse("verify_code", args=[UNKNOWN]), headers={"Accept-Language": asked})
    text = page.content.decode()
    assert f'<html lang="{language}">' in text
    assert said.casefold() in text.casefold()
    assert "Accept-Language" in page.headers["Vary"]


def test_signing_in_speaks_french(client: Client, shop: Shop) -> None:
    text = client.post(reverse("sign_in"), {}, headers={"Accept-Language": "fr"}).content.decode()
    assert "Entrez votre nom de connexion." in text
    assert "Sign in" not in text


def test_a_person_chooses_the_language_under_look(reader_client: Client) -> None:
    english = reader_client.get(reverse("today"), headers={"Accept-Language": "de"}).content.decode()
    assert '<html lang="en">' in english
    reader_client.post(reverse("look"), {"look": "", "language": "de"})
    german = reader_client.get(reverse("today")).content.decode()
    assert '<html lang="de">' in german
    assert "Wer darf schweißen" in german
    assert "Was im Betrieb auf jemanden wartet." in german


def test_numbers_in_attributes_keep_the_point() -> None:
    from django.template import Context, Template

    with speaking("de"):
        assert Template('<i data-x="{{ x }}">').render(Context({"x": 1234.5})) == '<i data-x="1234.5">'


def test_choices_are_told_and_posted_as_they_are() -> None:
    class Asks(forms.Form):
        state = forms.ChoiceField(choices=[("draft", "Draft"), ("x", "Typed by somebody")])

    with speaking("de"):
        drawn = str(Asks()["state"])
    assert '<option value="draft">Entwurf</option>' in drawn
    assert "Typed by somebody" in drawn


@pytest.mark.parametrize(
    ("said", "drawn"),
    [
        ("GMAW, WT-014", 'GMAW, <span class="whole">WT-014</span>'),
        ("until 2026-06-22.", 'until <span class="whole">2026-06-22</span>.'),
        ("F-Number, <b> & semi-automatic", "F-Number, &lt;b&gt; &amp; semi-automatic"),
        (None, "None"),
    ],
)
def test_a_number_or_a_day_stays_on_one_line_and_is_copied_as_it_is(said: str | None, drawn: str) -> None:
    assert whole(said) == drawn
