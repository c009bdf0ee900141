"""Two people in one cell of a weld list."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.shop_records import job, part

pytestmark = pytest.mark.django_db


def test_a_cell_that_somebody_else_wrote_meanwhile_is_not_overwritten(
    author_client: Client, shop: object
) -> None:
    made = job()
    weld = part(made, "A", drawing="7-1", access="")
    seen = {"drawing": "7-1", "access": ""}

    def typed(seen: dict[str, str], **cells: str) -> dict[str, Any]:
        body = {"rows": [{"row": "r0", "pk": weld.pk, "cells": cells, "seen": seen}], "units": "us"}
        answer = author_client.post(
            reverse("weld_cells", args=[made.pk]), json.dumps(body), "application/json"
        ).json()
        weld.refresh_from_db()
        return answer["rows"][0]

    assert typed(seen, drawing="7-2")["problems"] == {}
    # The other page still shows 7-1: its cell waits, and what else it sends is stored.
    late = typed(seen, drawing="7-3", access="Overhead, 12 in")
    assert "changed to “7-2” by " in late["problems"]["drawing"]
    assert (late["now"], weld.drawing, weld.access) == ({"drawing": "7-2"}, "7-2", "Overhead, 12 in")
    # With what stands there before the eyes it is replaced; the same typed by both is no clash.
    assert typed(late["now"], drawing="7-3")["problems"] == {}
    assert typed(seen, drawing="7-3")["problems"] == {}
    assert weld.drawing == "7-3"
