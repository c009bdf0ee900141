"""The main pages in three languages, wide and on a phone: no text is cut off or runs over its box. Every page
is looked at by `python -m tests.access --language de`."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from qualification.models import ProcedureTest, Shop, Trial, Welder, WelderTest
from qualification.tongues.languages import LANGUAGES
from tests.access.answers import in_language
from tests.access.clipped import clipped_on
from tests.browser.written import show
from tests.conftest import DESKTOP, PHONE
from wps.models import Job, Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def main_pages() -> list[str]:
    job, welder = Job.objects.get(number="2112"), Welder.objects.order_by("pk")[0]
    return [
        *map(reverse, ("today", "procedure_list", "procedure_test_list", "code_tables", "find", "shop")),
        Spec.objects.get(number="AL-04").get_absolute_url(),
        reverse("procedure_edit", args=[Spec.objects.get(state="draft").pk]),
        ProcedureTest.objects.get(number="PT-001").get_absolute_url(),
        WelderTest.objects.get(number="WT-011").get_absolute_url(),
        welder.get_absolute_url(),
        job.get_absolute_url(),
        job.parts.order_by("pk")[0].get_absolute_url(),
        reverse("trial_edit", args=[Trial.objects.order_by("pk")[0].pk]),
    ]


def test_no_text_of_the_main_pages_is_cut(
    open_page: Callable[..., Page], signed_in: Callable[[User], Client]
) -> None:
    call_command("demo", verbosity=0)
    person = User.objects.get(username="maren")
    client = signed_in(person)
    # Written before the browser asks, so that it waits for no reckoning.
    written = {
        (language, path): in_language(client, language).get(path).content.decode()
        for language in LANGUAGES
        for path in main_pages()
    }
    assert all(f'<html lang="{language}"' in html for (language, _), html in written.items())
    cut = []
    for width in (DESKTOP, PHONE):
        page = open_page(reverse("glossary"), width, person)
        for (language, path), html in written.items():
            show(page, path, html)
            cut += [f"{language}, {path} at {width}: {each}" for each in clipped_on(page)]
    assert cut == []


BROKEN = """<!DOCTYPE html><html><body style="margin:0"><p>Here is room</p>
<div id="hidden" style="width:3em;overflow:hidden;white-space:nowrap">Wärmeeinflusszone</div>
<div style="width:3em" id="over">Zwischenlagentemperatur</div>
<div style="height:1em;overflow:hidden;width:6em" id="below">Wärme im Einfluss der Zone</div>
<input style="width:4em" placeholder="Zwischenlagentemperatur">
<div style="width:3em;overflow-x:auto"><span>Wärmeeinflusszone</span></div></body></html>"""


def test_each_way_of_cutting_is_found(open_page: Callable[..., Page], shop: Shop) -> None:
    """Nothing would be found if the looking found nothing; what scrolls inside its own box is not cut."""
    page = open_page(reverse("sign_in"), PHONE)
    show(page, "/sign-in/", BROKEN)
    assert [each.split(":")[0] for each in clipped_on(page)] == [
        "runs over its box",
        "runs over its box",
        "is cut below",
        "is cut in its field",
    ]
