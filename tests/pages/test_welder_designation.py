"""A welder test by an ISO standard: its designation on page and document, its standing, and what its form
asks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import State, WelderTest
from qualification.rules.variables.registry import registry
from qualification.welders.continuity import standings_of
from tests.shop_records import welder, welder_test
from wps.documents.context import content_of, document_context
from wps.documents.render import render_html

ALUMINIUM = "iso_9606_2_2004"
RESULTS = [
    {
        "kind": "visual",
        "specimen": "V1",
        "cracks": "no",
        "complete_fusion": "yes",
        "complete_penetration": "yes",
    },
    {"kind": "fracture", "specimen": "F1", "bent_flat": "no", "cracks": "no", "incomplete_root_fusion": "no"},
]
STRING = "ISO 9606-2 131 P BW 23 S t6 PF ss nb"


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


def made(author: User, **changes: Any) -> WelderTest:
    joint = {"thickness_a": "6 mm", **changes.pop("joint", {})}
    line = {
        "deposit_thickness": "6 mm",
        "progression": "up",
        "backing_gas": "none",
        "filler_diameter": "1.2 mm",
        **changes.pop("line", {}),
    }
    return welder_test(
        author, welder(), edition=ALUMINIUM, units="si", results=RESULTS, joint=joint, line=line, **changes
    )


def test_page_and_document_show_the_string(reader_client: Client, author: User) -> None:
    record = made(author)
    assertContains(reader_client.get(record.get_absolute_url()), STRING)
    assert STRING in render_html("documents/welder.html", document_context(content_of(record)), "a4")


def test_what_the_string_wants_for_is_said(reader_client: Client, author: User) -> None:
    record = made(author, state=State.DRAFT, line={"progression": "", "backing_gas": ""})
    page = reader_client.get(record.get_absolute_url())
    assertContains(page, "not whole yet: state vertical progression, backing gas.")
    assertNotContains(page, "ISO 9606-2 131")
    assert "Designation" not in render_html(
        "documents/welder.html", document_context(content_of(record)), "a4"
    )


def test_a_coupon_no_string_is_for_says_so(reader_client: Client, author: User) -> None:
    record = made(author, state=State.DRAFT, line={"shielding_gas": "75Ar/25CO2"})
    assertContains(
        reader_client.get(record.get_absolute_url()), "none: what is stated cannot be written as one."
    )


def test_other_codes_show_no_designation(reader_client: Client, author: User) -> None:
    assertNotContains(reader_client.get(welder_test(author, welder()).get_absolute_url()), "Designation:")


def test_a_passed_coupon_qualifies_and_holds_half_a_year(author: User) -> None:
    record = made(author)
    content = content_of(record)
    assert content["refusals"] == []
    (standing,) = standings_of(record.welder, date(2031, 9, 4))
    assert standing.words == "Holds until 2031-09-04"
    (ended,) = standings_of(record.welder, date(2031, 9, 5))
    assert ended.words == "Lapsed, held until 2031-09-04"


def test_the_form_asks_what_the_edition_asks(author_client: Client, author: User) -> None:
    draft = made(author, state=State.DRAFT)
    page = author_client.get(reverse("welder_test_edit", args=[draft.pk]))
    for label in ("Group (ISO/TR 15608) of side A", "Filler product form", "Shielding gas", "Layers"):
        assertContains(page, label)
    names = set(re.findall(r'name="[^"]*?(\w+)"', page.content.decode()))
    assert {"iso_group_a", "filler_form", "test_position"} <= names
    assert not names & {
        key
        for key in registry()
        if key.startswith(("p_number", "m_number", "s_number", "f_number", "a_number"))
    }
