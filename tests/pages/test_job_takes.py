"""What a job takes: totals over its welds, and what is not in them."""

from __future__ import annotations

import io

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from tests.shop_records import job, part

pytestmark = pytest.mark.django_db
JOINT = {
    "weld_type": ["fillet"],
    "fillet_size": "1/4",
    "base_metal_a": "6061-T6",
    "base_metal_b": "same",
    "thickness_a": "1/4",
}
LINE = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "filler_classification": "ER5356",
    "filler_diameter": "3/64",
    "wire_feed": "400",
    "shielding_gas": ["100Ar"],
    "shielding_flow": "35",
}


def test_totals_are_of_all_pieces_and_say_what_is_left_out(
    reader_client: Client, author: User, shop: object
) -> None:
    made = job()
    part(made, mark="1", joint=JOINT, lines=[LINE], length="10", quantity=12)
    part(made, mark="2", joint=JOINT, lines=[LINE], length="")
    part(made, mark="3", joint={**JOINT, "fillet_size": ""}, lines=[LINE], length="10", quantity=2)
    answer = reader_client.get(reverse("job_takes", args=[made.pk]))
    found = answer.context["made"]
    assert (found.reckoned, found.pieces) == (12, 15)
    (wire,) = found.fillers
    # 1/32 in² by 120 in by 0.0961 lb/in³ (2.66 g/cm³) is 0.360 lb of weld metal
    assert float(wire.metal[0]) == pytest.approx(0.360 * 0.45359, rel=5e-3)
    assert wire.packs == (1, 1)
    assert found.hours[0] > found.arc_hours[0] > 0
    assert found.total[0] == sum(span[0] for _, span in found.money)
    said = answer.content.decode()
    assert "Length of weld is not stated." in said
    assert "Not stated: " in said
    assert {mark.part.mark for those in found.left_out.values() for mark in those} == {"2", "3"}
    book = load_workbook(io.BytesIO(reader_client.get(reverse("job_takes_file", args=[made.pk])).content))
    rows = list(book.active.iter_rows(min_row=2, values_only=True))
    assert [row[0] for row in rows] == ["1", "2", "3"]
    assert rows[0][6] == pytest.approx(float(wire.metal[0]), rel=1e-4)
    assert rows[1][16].startswith("Length of weld")


def test_a_job_without_welds_says_so(reader_client: Client, shop: object) -> None:
    assert "has no weld yet" in reader_client.get(reverse("job_takes", args=[job().pk])).content.decode()
