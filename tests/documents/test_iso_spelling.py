"""Papers under ISO standards spell as those do; what somebody typed, other codes and other languages stay."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from qualification.models import Shop
from qualification.tongues.languages import speaking
from tests.shop_records import spec
from wps.documents.cautions import cautions_of
from wps.documents.context import content_of
from wps.documents.iso_terms import in_terms_of
from wps.documents.shop_sheet import sheet_context
from wps.models import Spec

pytestmark = pytest.mark.django_db

ISO, ASME = "iso_15614_2_2005", "asme_ix_2023"
HOT = {ISO: "Aluminium shows no colour when hot", ASME: "Aluminum shows no color when hot"}


def _made(author: User, edition: str) -> Spec:
    return spec(author, edition=edition, title="Aluminum lug", line={"cleaning": "No color left"})


@pytest.mark.parametrize("edition", [ISO, ASME])
def test_cautions_and_labels_are_spelled_as_the_code_spells(edition: str, author: User, shop: Shop) -> None:
    made = _made(author, edition)
    content = in_terms_of(content_of(made))
    assert any(each.startswith(HOT[edition]) for each in cautions_of(content))
    rows = {row["key"]: row for group in content["entered"] for row in group["rows"]}
    assert rows["current_programme"]["label"] == f"Current program{'me' if edition == ISO else ''}"
    assert (content["title"], rows["cleaning"]["words"]) == ("Aluminum lug", "No color left")
    sheet = sheet_context(made)["sheet"]
    assert any(each.startswith(HOT[edition]) for each in sheet.cautions)
    assert len(sheet.heads) == 4


def test_another_language_is_looked_up_by_our_own_spelling(author: User, shop: Shop) -> None:
    with speaking("fr"):
        content = in_terms_of(content_of(_made(author, ISO)))
        assert any(each.startswith(HOT[ASME]) for each in cautions_of(content))
