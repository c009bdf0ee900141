"""All that scripts say goes through their messages, which a page loads in its language before the scripts."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from qualification.models import Shop
from tests.tongues.catalogues import LANGUAGES, catalogue, script_words, words_file
from tests.tongues.scripts import asked_by, scripts, shown_bare
from tests.tongues.test_catalogues import forms


def test_scripts_say_nothing_outside_a_message() -> None:
    found = {path.name: words for path in scripts() if (words := [*shown_bare(path.read_text("utf-8"))])}
    assert found == {}


@pytest.mark.parametrize(
    ("script", "shown"),
    [
        ('say("Saved.");', ["Saved."]),
        ('say("nothing stated");', ["nothing stated"]),
        ("say(`${count} to state`);", ["${count} to state"]),
        ('say("Open ", mark); // Not this.', ["Open "]),
        ('say(gettext("Saved."));', []),
        ('say(ngettext("One photo waits.", "%(count)s photos wait.", count));', []),
        ('form.querySelector("input, select").className = "button button--plain";', []),
        ('if (event.key === "ArrowDown") at.dataset.part = `part-${at.id}`;', []),
    ],
)
def test_the_words_of_a_script_are_found_where_they_stand(script: str, shown: list[str]) -> None:
    """The test above would be of nothing if the reading found nothing."""
    assert list(shown_bare(script)) == shown


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogue_has_the_messages_of_the_scripts_and_no_others(language: str) -> None:
    asked = {said for path in scripts() for said in asked_by(path)}
    assert len(asked) > 50
    assert {next(forms(each.id)) for each in catalogue(language, "djangojs") if each.id} == asked


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
def test_the_words_a_page_loads_are_those_of_the_catalogue(language: str) -> None:
    """Otherwise: `python -m tests.tongues`."""
    assert words_file(language).read_bytes() == script_words(language)


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
def test_a_page_loads_the_words_of_its_language_before_the_scripts(
    language: str, client: Client, shop: Shop
) -> None:
    page = client.get(reverse("sign_in"), headers={"Accept-Language": language}).content.decode()
    assert [each for each in ("en", *LANGUAGES) if f"js/words.{each}.js" in page] == [language]
    assert page.index("js/words.") == page.index("js/")
