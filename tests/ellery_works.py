"""Ellery Works Code 3, an invented book: what its page says, and how a shop enters it.

P.1  Each process needs a test of its own.
P.5  A test qualifies from half to twice its thickness.
"""

from __future__ import annotations

import re
from typing import Any

from django.test import Client
from django.urls import reverse

from qualification.models import OwnEdition

HEAD = {
    "parent": "",
    "code": "Ellery Works Code",
    "edition": "3",
    "title": "Gates and gangways",
    "book": "Office copy 1",
    "processes": ["GMAW"],
    "metal_groups": "p_number",
}
COUPON = """Weld type: Groove
Base metal of side A: 6061
Base metal of side B: same
Thickness of side A: 1/4 in
Thickness of side B: same
Process: GMAW"""
OWN_TEST = {
    "standing-GMAW": "essential",
    "clause": "P.1",
    "because": "Each process needs a test of its own.",
}
THICKNESS = {
    "standing-GMAW": "essential",
    "clause": "P.5",
    "with-bands": "plate",
    "because": "Half to twice the thickness of the coupon.",
}
BAND = {"clause": "P.5", "low_factor": "0.5", "high_factor": "2"}


def begun(client: Client, **changes: Any) -> OwnEdition:
    """A draft without a row."""
    answer = client.post(reverse("own_edition_new"), {**HEAD, **changes})
    assert answer.status_code == 302, answer.content.decode()
    return OwnEdition.objects.get(pk=int(answer.headers["Location"].rstrip("/").rpartition("/")[2]))


def start(own: OwnEdition, table: str, **asked: str) -> str:
    """The address of a new row's form."""
    return f"{reverse('own_row_add', args=[own.pk, table])}?{'&'.join(f'{k}={v}' for k, v in asked.items())}"


def with_page(client: Client, own: OwnEdition) -> OwnEdition:
    """The same with the rows of the page."""
    for address, entries in (
        (start(own, "procedure", variable="process", rule="same"), OWN_TEST),
        (start(own, "bands", name="plate", of="length"), BAND),
        (start(own, "procedure", variable="thickness_thinner", rule="band"), THICKNESS),
    ):
        answer = client.post(address, entries)
        assert answer.status_code == 302, said(answer)
    own.refresh_from_db()
    return own


def add_case(client: Client, own: OwnEdition, thickness: str, expect: str) -> Any:
    """A case: the coupon, and a weld of that thickness."""
    return client.post(
        reverse("own_case_add", args=[own.pk, "procedure"]),
        {
            "name": f"Weld of {thickness}",
            "coupon": COUPON,
            "units": "us",
            "weld": f"Thickness of side A: {thickness}",
            "expect": expect,
        },
    )


def published(client: Client) -> OwnEdition:
    """The page entered, two cases, published."""
    own = with_page(client, begun(client))
    add_case(client, own, "1/2 in", "covered")
    add_case(client, own, "0.51 in", "not_covered")
    answer = client.post(reverse("own_edition_publish", args=[own.pk]))
    assert answer.status_code == 302, said(answer)
    own.refresh_from_db()
    return own


def said(answer: Any) -> str:
    """A page's words."""
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())
