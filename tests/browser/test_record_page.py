"""The partials of record pages, together on one made-up page: accessible, and still on a phone."""

from collections.abc import Callable

import pytest
from crispy_forms.helper import FormHelper
from django import forms
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import path
from django.utils import timezone
from playwright.sync_api import Page
from pytest_django import Settings

from qualification.models import Shop
from tests.conftest import DESKTOP, PHONE
from wps.urls import urlpatterns as pages

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE = """
{% extends "base.html" %}{% load crispy_forms_tags %}
{% block heading %}
{% include "_title_block.html" with kind="Procedure" number="W-204" title=title state="Draft" %}
{% endblock %}
{% block content %}
<h2>Coverage</h2>
{% include "_table_start.html" with label="Coverage" %}
<table class="table">
  <thead><tr>{% for head in heads %}<th scope="col">{{ head }}</th>{% endfor %}</tr></thead>
  <tbody>{% for verdict in verdicts %}<tr>
    <th scope="row">Thickness</th>
    <td class="number">3.18 to 12.7 mm</td><td class="number">1.59 to 19.1 mm</td>
    <td>{% include "_verdict.html" %}</td><td class="clause">7.10</td>
  </tr>{% endfor %}</tbody>
</table>
{% include "_table_end.html" %}
<form method="post" novalidate>
  {% crispy specimens helper %}
  <button class="button button--danger">Withdraw</button>
</form>
{% include "_history.html" %}
{% endblock %}
"""


class Specimen(forms.Form):
    """A made-up row of a test report."""

    width = forms.DecimalField(label="Width")
    thickness = forms.DecimalField(label="Thickness")
    load = forms.DecimalField(label="Load at break", help_text="As read off the machine")
    place = forms.ChoiceField(label="Broke in", choices=[("weld", "Weld"), ("base", "Base metal")])


def record(request: HttpRequest) -> HttpResponse:
    helper = FormHelper()
    helper.form_tag = False
    helper.template = "shop/table_inline_formset.html"
    helper.table_label = "Specimens"
    typed = {"form-TOTAL_FORMS": "2", "form-INITIAL_FORMS": "0", "form-0-width": "wide"}
    context = {
        "title": "Gangway deck plank to stringer",
        "heads": ["Variable", "Entered", "Qualified", "Verdict", "Clause"],
        "verdicts": ["covered", "not_covered", "unknown", "no_rule", "not_applicable"],
        "specimens": forms.formset_factory(Specimen, extra=2)(typed),
        "helper": helper,
        # A checksum has no place to break; on a phone it must not push the page wider than the screen.
        "events": [
            {
                "at": timezone.now(),
                "who": "Ida Made-Up",
                "did": "had its document made",
                "detail": f"SHA-256 {'0a' * 32}",
            }
        ],
    }
    return HttpResponse(engines["django"].from_string(PAGE.strip()).render(context, request))


urlpatterns = [*pages, path("record/", record)]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_a_record_page_is_accessible_and_only_its_tables_scroll(
    dark: bool,
    width: int,
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
    reader: User,
    shop: Shop,
    settings: Settings,
) -> None:
    settings.ROOT_URLCONF = "tests.browser.test_record_page"
    page = open_page("/record/", width=width, as_person=reader, dark=dark)
    assert_accessible(page)
    if width == PHONE:
        table = page.get_by_role("region", name="Coverage")
        assert table.evaluate("element => element.scrollWidth > element.clientWidth")
