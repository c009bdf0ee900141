"""Results pasted from a spreadsheet go into the rows of the record, or the block is refused as a whole."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.forms.pasted_results import PasteRefused, put_in, read_block
from qualification.models import State
from qualification.rules.testing.result_entries import read_results
from tests.pages.posts import results_post
from tests.shop_records import procedure_test

TENSIONS = (
    "Specimen No.\tWidth, in\tThickness (in)\tUltimate total load, lb\tUltimate unit stress, psi\tLocation\n"
    "T1\t.750\t.250\t11,900\t63,450\tBM\nT2\t.751\t.250\t11,950\t63,600\tBM\n"
)


def test_a_block_as_laboratories_write_it_is_read() -> None:
    first, second = read_block(TENSIONS)
    assert first == {
        "kind": "tension",
        "specimen": "T1",
        "width": ".750 in",
        "thickness": ".250 in",
        "load": "11,900 lb",
        "stated_strength": "63,450 psi",
        "broke": "BM",
    }
    results, problems = read_results([first, second], "us")
    assert (len(results), problems) == (2, ())


def test_a_pasted_row_takes_the_row_of_its_name_then_an_empty_one_then_a_new_one() -> None:
    rows = [{"kind": "tension", "specimen": "T2"}, {"kind": "tension", "specimen": "T9"}]
    found = put_in(
        rows, [*read_block(TENSIONS), {"kind": "side_bend", "specimen": "SB1", "openings": "none"}]
    )
    assert [(row["kind"], row["specimen"]) for row in found] == [
        ("tension", "T2"),
        ("tension", "T1"),
        ("side_bend", "SB1"),
    ]


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ("T1\t.750", "a line of heads"),
        ("Specimen\tColour\nT1\tred", "“Colour” is not understood"),
        ("Specimen,Openings\nX1,none", "does not say which test it is"),
        ("Specimen\tKind\tFormer\nT1\ttension\t2", "a tension test states no former"),
    ],
)
def test_a_block_that_is_not_understood_is_refused(block: str, words: str) -> None:
    with pytest.raises(PasteRefused, match=words):
        read_block(block)


@pytest.mark.django_db
def test_the_results_page_takes_a_block_and_keeps_one_it_refuses(author_client: Client, author: User) -> None:
    draft = procedure_test(author, state=State.DRAFT, results=[])
    address = reverse("procedure_test_results", args=[draft.pk])
    page = author_client.post(
        address, results_post(draft, [], rows="paste", pasted=TENSIONS)
    ).content.decode()
    assert 'value="11,900 lb"' in page
    refused = author_client.post(address, results_post(draft, [], rows="paste", pasted="Colour\nred"))
    assert "“Colour” is not understood" in refused.content.decode()
    assert "Colour\nred</textarea>" in refused.content.decode()
