"""The list of trade terms says what the catalogues say, and each source is described."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.help.trade_terms import TradeTerm, trade_terms
from qualification.models import Shop
from tests.tongues.catalogues import DOMAINS, catalogue
from tests.tongues.test_catalogues import forms


def said_in(language: str) -> str:
    """All that pages and papers can say in the language."""
    messages = (each for domain in DOMAINS for each in catalogue(language, domain) if each.id)
    return "\n".join(said for message in messages for said in forms(message.string)).casefold()


@pytest.mark.parametrize("language", ["fr", "de"])
def test_every_term_listed_is_the_one_that_is_used(language: str) -> None:
    used = said_in(language)
    assert [each.en for each in trade_terms() if getattr(each, language).casefold() not in used] == []


def test_the_page_names_each_term_and_what_is_from_memory(reader_client: Client, shop: Shop) -> None:
    page = reader_client.get(reverse("trade_terms"))
    from_memory = sum((each.fr_source is None) + (each.de_source is None) for each in trade_terms())
    assertContains(page, "From memory", count=from_memory)
    assertContains(page, "Zwischenlagentemperatur")
    assert isinstance(trade_terms()[0], TradeTerm)
