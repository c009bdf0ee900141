"""The weld log on a phone out of reach: several welds are logged, kept, shown and sent, none twice."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, Route, expect

from qualification.models import Shop
from tests.shop_records import job, part
from wps.models import WeldEvent

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_several_welds_are_logged_without_a_connection(
    phone: Callable[..., Page], author: User, shop: Shop
) -> None:
    made = job()
    first, *_ = [part(made, f"G-{n}") for n in (1, 2, 3)]
    page = phone(reverse("weld_log_one", args=[made.pk, first.pk]), author)
    kept = page.locator("#log-queue li")
    lost: list[str] = []

    def swallow(route: Route) -> None:  # the program writes the first entry, and its answer never arrives
        if route.request.method == "POST" and not lost:
            lost.append(route.request.url)
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/log/", swallow)
    page.context.set_offline(True)
    page.get_by_label("What was done").select_option("fit_up")
    page.get_by_label("Checked by").fill("HK")
    save = page.get_by_role("button", name="Save", exact=True)
    save.click()
    expect(kept).to_have_count(1)
    page.get_by_label("Weld", exact=True).select_option(index=1)
    save.click()
    expect(kept).to_have_text(
        [
            "G-1: Fit-up, waits on this device for a connection",
            "G-2: Fit-up, waits on this device for a connection",
        ]
    )
    expect(page.locator("#log-status")).to_contain_text("No connection")
    assert not WeldEvent.objects.exists()
    page.context.set_offline(False)
    expect(kept).to_have_count(0)
    assert lost
    logged = WeldEvent.objects.order_by("part__mark").values_list("part__mark", "step", "by_name")
    assert list(logged) == [("G-1", "fit_up", "HK"), ("G-2", "fit_up", "HK")]
