"""The demo shop in French: no mark of two parts stands close to the word before it."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.core import serializers
from django.test import Client
from django.urls import reverse

from qualification.models import ProcedureTest, Welder
from tests.demo.conftest import DemoShop
from tests.tongues.french_marks import close_marks
from wps.models import Job, Packet, Spec

PAGES = ("today", "glossary", "job_list", "procedure_list", "look")
RECORDS = (ProcedureTest, Spec, Welder, Job, Packet)
OF_EACH = 2
"""Records of a kind whose page is read."""


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("<h2>Domaine: <b>GMAW</b></h2>", {"Domaine: GMAW"}),
        ("<h2>Domaine\u202f: GMAW</h2>", set()),
        ("<dt>Domaine:</dt> <dd>GMAW</dd>", set()),
        ('<p title="acier; alliage">10:30 Lot: 4 <i lang="en">as is: so</i></p>', {"acier; alliage"}),
        ("<p>https://a.example</p>", set()),
    ],
)
def test_a_close_mark_is_found(page: str, found: set[str]) -> None:
    assert close_marks(f"<html><body>{page}</body></html>", "Lot: 4") == found


def test_no_page_of_the_demo_has_one(demo_shop: DemoShop) -> None:
    typed = "".join(
        serializers.serialize("json", kind._default_manager.all(), ensure_ascii=False)
        for app in ("qualification", "wps")
        for kind in apps.get_app_config(app).get_models()
    )
    client = Client()
    client.force_login(User.objects.get(username="maren"))
    client.post(reverse("look"), {"look": "", "language": "fr"})
    paths = [reverse(name) for name in PAGES]
    for kind in RECORDS:
        paths += [each.get_absolute_url() for each in kind.objects.order_by("pk")[:OF_EACH]]  # type: ignore[attr-defined]
    found = {path: close_marks(client.get(path).content.decode(), typed) for path in paths}
    assert len(found) > 10
    assert {path: marks for path, marks in found.items() if marks} == {}
