"""What the page of a weld keeps between looks: each change shows at the next, and little is asked anew."""

from __future__ import annotations

import io
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.template import Context, Template
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils.safestring import SafeString
from django.utils.translation import override
from PIL import Image
from pytest_django.asserts import assertContains, assertNotContains

from qualification.records.cache import Remembered
from tests.shop_records import job, part
from wps.documents.attachments import keep_attachment
from wps.models import Attachment, AttachmentKind, CouponCosts, Detail, MapMark, Part

pytestmark = pytest.mark.django_db


@pytest.fixture
def weld(author: User, shop: object) -> Part:
    return part(job(), "G-12")


def test_what_stands_beside_a_weld_is_there_as_soon_as_it_changes(
    author_client: Client, author: User, weld: Part
) -> None:
    made = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(made, "PNG")

    def shown() -> Any:
        return author_client.get(weld.get_absolute_url())

    before, again = shown(), shown()
    assert again.context["papers"] == []
    assertNotContains(again, "Deck 7-1")
    kind = AttachmentKind.DRAWING
    drawing = keep_attachment(made.getvalue(), "deck.png", author, kind=kind, title="Deck 7-1", part=weld)
    assertContains(shown(), "Deck 7-1")
    MapMark.objects.create(part=weld, drawing=drawing, across=1, down=1, placed_by_name="AB")
    assertContains(shown(), "Deck 7-1, page 1")
    Detail.objects.create(job=weld.job, number="D-77", title="Corner", units=weld.units)
    assertContains(shown(), "D-77 Corner")
    CouponCosts(pk=CouponCosts.ONLY_ID, rates={"hour": "123"}).save()
    assert shown().context["money"].hour == 123 != before.context["money"].hour
    Attachment.objects.filter(pk=drawing.pk).update(set_aside_because="Of another weld")
    assert shown().context["papers"] == []


@pytest.mark.django_db(transaction=True)
def test_the_next_look_at_a_weld_asks_little_of_the_database(author_client: Client, weld: Part) -> None:
    """The weld itself, and twice what has changed since; papers, marks, details, costs and checks left aside
    were asked for again at each look."""
    for _ in range(2):
        author_client.get(weld.get_absolute_url())
    with CaptureQueriesContext(connection) as asked:
        author_client.get(weld.get_absolute_url())
    statements = [each["sql"] for each in asked]
    assert sum("FROM qualification_changemark" in each for each in statements) <= 2
    assert [each for each in statements if 'FROM "wps_' in each and 'FROM "wps_part"' not in each] == []


def test_a_kept_piece_is_drawn_once_in_each_language() -> None:
    """Pieces of pages were kept in the language of whoever looked first. “Monday” is Django's own word."""
    owner, drawn = SimpleNamespace(drawn=Remembered[SafeString](4)), list[str]()
    context = Context({"owner": owner, "note": lambda: drawn.append("") or ""})
    piece = Template(
        '{% load kept i18n %}{% kept owner "day" %}{{ note }}{% translate "Monday" %}{% endkept %}'
    )
    for language, word in (("en", "Monday"), ("fr", "lundi"), ("de", "Montag"), ("en", "Monday")):
        with override(language):
            assert piece.render(context) == word
    assert len(drawn) == 3
