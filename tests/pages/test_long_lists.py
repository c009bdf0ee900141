"""Long lists of tests are shown page by page."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Welder, WelderTest
from qualification.views.lists import A_PAGE
from tests.shop_records import welder

pytestmark = pytest.mark.django_db


def _tests(count: int, author: User) -> None:
    WelderTest.objects.bulk_create(
        WelderTest(
            number=f"WT-{n:03}",
            edition="asme_ix_2023",
            welder=welder(),
            author=author,
            author_name="Maren Oosting",
            title="Deck",
        )
        for n in range(count)
    )


@pytest.mark.parametrize(("count", "pages"), [(A_PAGE, 1), (A_PAGE + 1, 2)])
def test_a_page_holds_so_many(count: int, pages: int, reader_client: Client, author: User) -> None:
    _tests(count, author)
    url = reverse("welder_test_list")
    first = reader_client.get(url, {"q": "Deck"})
    assert first.context["page"].paginator.num_pages == pages
    assert len(first.context["rows"]) == A_PAGE
    if pages == 1:
        assertNotContains(first, "Pages of the list")
        return
    assertContains(first, "q=Deck&amp;state=&amp;result=&amp;page=2")
    (last,) = reader_client.get(url, {"q": "Deck", "page": "2"}).context["rows"]
    assert last.record.number == f"WT-{count - 1:03}"
    assert len(reader_client.get(url, {"page": "none"}).context["rows"]) == A_PAGE


@pytest.mark.parametrize(("count", "pages"), [(40, 1), (41, 2)])
def test_so_do_welders(count: int, pages: int, reader_client: Client) -> None:
    Welder.objects.bulk_create(Welder(stamp=f"S{n:02}", name=f"Nobody {n:02}") for n in range(count))
    first = reader_client.get(reverse("welder_list"), {"q": "Nobody"})
    assert first.context["page"].paginator.num_pages == pages
    assert len(first.context["rows"]) == 40
    if pages == 2:
        ((last, standings, _),) = reader_client.get(reverse("welder_list"), {"page": "2"}).context["rows"]
        assert (last.stamp, list(standings)) == ("S40", [])
