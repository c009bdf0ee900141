"""Each kind of record offers only the editions that have rules for it."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from qualification.models import Shop
from tests.shop_records import job

FOR_WELDERS_ALONE = {"iso_9606_1_2012", "iso_9606_2_2004"}
FOR_PROCEDURES_ALONE = {"iso_15614_1_2017_level1", "iso_15614_1_2017_level2", "iso_15614_2_2005"}


def offered(client: Client, name: str, form: str, *args: int) -> tuple[set[str], str]:
    """The editions on the form of that page, and the one that is chosen at first."""
    context = client.get(reverse(name, args=args)).context
    shown = context[form]
    return {key for key, _ in shown.fields["edition"].choices if key}, shown["edition"].value() or ""


@pytest.mark.parametrize(
    ("name", "form", "not_offered", "first"),
    [
        ("procedure_test_add", "form", FOR_WELDERS_ALONE, "iso_15614_2_2005"),
        ("welder_test_add", "form", FOR_PROCEDURES_ALONE, "iso_9606_2_2004"),
        ("procedure_new", "head", FOR_WELDERS_ALONE, "iso_15614_2_2005"),
        ("job_new", "form", FOR_WELDERS_ALONE, "iso_15614_2_2005"),
    ],
)
def test_a_form_offers_the_editions_with_rules_for_it(
    name: str, form: str, not_offered: set[str], first: str, author_client: Client, shop: Shop
) -> None:
    shop.code_edition = "iso_15614_2_2005"
    shop.save()
    editions, chosen = offered(author_client, name, form)
    assert "asme_ix_2023" in editions
    assert not editions & not_offered
    assert chosen == first


def test_a_job_keeps_an_edition_that_is_not_offered_any_more(author_client: Client) -> None:
    made = job(edition="iso_9606_1_2012")
    editions, chosen = offered(author_client, "job_edit", "form", made.pk)
    assert "iso_9606_1_2012" in editions
    assert chosen == "iso_9606_1_2012"
