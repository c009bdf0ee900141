"""Trials in a real browser on a phone: taps are counted, the connection drops, nothing is lost or made
twice."""

from __future__ import annotations

import io
from collections.abc import Callable
from urllib.parse import urljoin

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from qualification.models import Shop, Trial, TrialPass, TrialPhoto
from tests.browser.settling import settled
from tests.conftest import DESKTOP, PHONE
from tests.trial_records import trial
from tests.waveforms import pulsed_csv

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]
MOST_TAPS = 40
CAMERA_TAPS = 2
"""The shutter and “use this picture”, in the phone's own camera."""


def photo() -> dict[str, object]:
    """A picture as a camera hands it over."""
    out = io.BytesIO()
    Image.new("RGB", (320, 240), "grey").save(out, "JPEG")
    return {"name": "bead.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


class Thumb:
    """Counts every tap, and every key of the on-screen keyboard as one more."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps = page, 0

    def tap(self, target: Locator) -> None:
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44, "too small for a thumb"
        target.click()
        self.taps += 1

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.taps += len(text)

    def next_key(self) -> None:
        self.page.keyboard.press("Enter")
        self.taps += 1


def row(page: Page, number: int) -> Locator:
    return page.locator("[data-pass]").nth(number - 1)


def saved(page: Page) -> None:
    expect(page.locator("#kept")).to_contain_text("Saved at")


def test_three_passes_with_timer_and_photo_take_fewer_than_forty_taps(
    open_page: OpenPage, assert_accessible: Check, author: User, shop: Shop
) -> None:
    trial(author, passes=1)
    page = open_page("/trials/", width=PHONE, as_person=author)
    thumb = Thumb(page)
    thumb.tap(page.get_by_role("button", name="Copy T-001 and change one thing"))
    for number in (1, 2, 3):
        timer = row(page, number).locator("[data-timer]")
        thumb.tap(timer)
        expect(timer).to_contain_text("Stop")
        page.wait_for_timeout(1100)
        thumb.tap(timer)
        thumb.type("155")
        thumb.next_key()
        thumb.type("21.5")
    page.locator("#photo-image").set_input_files(photo())
    thumb.taps += 1 + CAMERA_TAPS
    expect(page.locator("#photo-kept")).to_have_text("The photo is saved.")
    expect(page.locator("#photo-send")).to_be_hidden()
    thumb.tap(page.locator("label", has_text="Accepted").and_(page.locator(":not(:has-text('Not'))")))
    saved(page)
    expect(page.locator(".htmx-request")).to_have_count(0)
    assert_accessible(page)
    thumb.tap(page.get_by_role("button", name="Done"))
    expect(page.locator("h1")).to_contain_text("T-002")
    assert thumb.taps < MOST_TAPS

    made = Trial.objects.get(number="T-002")
    passes = list(made.passes.all())
    assert [(p.entries["amps"], p.entries["volts"], p.entries["pass_length"]) for p in passes] == [
        ("155", "21.5", "6")
    ] * 3
    assert all(1 <= float(p.entries["arc_time"].removesuffix(" s")) < 10 for p in passes)
    assert made.photos.count() == 1
    assert made.verdict == "accepted"


HEARS = """
window.SpeechRecognition = class {
  start() { window.heard = this; }
  stop() { this.onend(); }
};
"""


def test_a_note_is_spoken_where_the_browser_takes_it_down(
    open_page: OpenPage, assert_accessible: Check, author: User, shop: Shop
) -> None:
    made = trial(author, passes=1, note="Quiet arc.")
    page = open_page("/trials/", width=PHONE, as_person=author)
    page.add_init_script(HEARS)
    page.goto(urljoin(page.url, reverse("trial_edit", args=[made.pk])))
    speak = page.get_by_role("button", name="Speak the note")
    speak.click()
    expect(speak).to_have_attribute("aria-pressed", "true")
    page.evaluate(
        "heard.onresult({resultIndex: 0, results:"
        " [Object.assign([{transcript: ' Toes wet out. '}], {isFinal: true}), [{transcript: 'half'}]]})"
    )
    expect(page.get_by_label("Note")).to_have_value("Quiet arc. Toes wet out.")
    saved(page)
    assert_accessible(page)
    speak.click()
    expect(speak).to_have_attribute("aria-pressed", "false")
    made.refresh_from_db()
    assert made.note == "Quiet arc. Toes wet out."


def test_a_browser_that_takes_no_speech_offers_none(open_page: OpenPage, author: User, shop: Shop) -> None:
    made = trial(author, passes=1)
    page = open_page("/trials/", width=PHONE, as_person=author)
    page.add_init_script("delete window.SpeechRecognition; delete window.webkitSpeechRecognition;")
    page.goto(urljoin(page.url, reverse("trial_edit", args=[made.pk])))
    expect(page.get_by_label("Note")).to_be_visible()
    expect(page.locator(".dictation")).to_be_hidden()


def test_the_server_says_the_travel_speed(open_page: OpenPage, author: User, shop: Shop) -> None:
    made = trial(author)
    page = open_page(f"/trials/{made.pk}/machine/", width=PHONE, as_person=author)
    row(page, 1).get_by_label("Length").fill("6")
    row(page, 1).get_by_label("Arc time").fill("18")
    # worked by us: 6 in in 18 s is 20 in/min, 508 mm/min
    expect(row(page, 1)).to_contain_text("Travel 20 in/min (508 mm/min)")
    row(page, 1).get_by_label("Arc time").fill("soon")
    expect(row(page, 1)).to_contain_text("“soon” could not be read as a number with a unit")


def test_nothing_is_lost_when_the_connection_drops(phone: OpenPage, author: User, shop: Shop) -> None:
    made = trial(author)
    page = phone(f"/trials/{made.pk}/machine/", author)
    page.context.set_offline(True)
    page.get_by_label("Wire feed speed").fill("455")
    row(page, 1).get_by_label("Arc time").fill("17.5")
    row(page, 1).get_by_label("Amps shown").fill("161")
    row(page, 2).get_by_label("Arc time").fill("19")
    page.locator("#photo-image").set_input_files(photo())
    expect(page.locator("#kept")).to_contain_text("No connection. Your entries are kept on this device")
    expect(page.locator("#photo-kept")).to_contain_text("1 photo waits on this device")
    assert TrialPass.objects.count() == 0
    page.context.set_offline(False)
    saved(page)
    expect(page.locator("#photo-kept")).to_have_text("The photo is saved.")
    made.refresh_from_db()
    assert made.line["wire_feed"] == "455"
    assert [p.entries for p in made.passes.all()] == [{"arc_time": "17.5", "amps": "161"}, {"arc_time": "19"}]
    assert TrialPhoto.objects.count() == 1
    kept = f"localStorage.getItem('trial-{made.pk}')"
    assert settled(page, lambda: page.evaluate(kept), lambda entries: entries is None) is None


def test_entries_outlive_the_page_and_are_sent_when_it_is_opened_again(
    phone: OpenPage, author: User, shop: Shop
) -> None:
    made = trial(author)
    page = phone(f"/trials/{made.pk}/machine/", author)
    page.context.set_offline(True)
    for number, seconds in enumerate(("11", "12", "13"), start=1):
        row(page, number).get_by_label("Arc time").fill(seconds)
    page.locator("label", has_text="Not accepted").click()
    expect(page.locator("#kept")).to_contain_text("No connection")
    address = page.url
    page.goto("about:blank")
    page.context.set_offline(False)
    page.goto(address)
    expect(page.locator("#put-back")).to_contain_text("put back in. Look them over.")
    saved(page)
    made.refresh_from_db()
    assert [p.entries["arc_time"] for p in made.passes.all()] == ["11", "12", "13"]
    assert made.verdict == "rejected"


def test_an_answer_that_was_lost_makes_no_second_pass(phone: OpenPage, author: User, shop: Shop) -> None:
    made = trial(author)
    page = phone(f"/trials/{made.pk}/machine/", author)
    lost: list[str] = []

    def swallow(route: object) -> None:  # the server takes the save, its answer never arrives
        if route.request.method == "POST" and not lost:
            lost.append(route.request.url)
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/machine/", swallow)
    row(page, 1).get_by_label("Arc time").fill("18")
    expect(page.locator("#kept")).to_contain_text("No connection")
    assert TrialPass.objects.count() == 1
    saved(page)
    assert lost
    assert [p.entries for p in TrialPass.objects.all()] == [{"arc_time": "18"}]


def test_a_running_timer_outlives_a_reload(phone: OpenPage, author: User, shop: Shop) -> None:
    made = trial(author)
    page = phone(f"/trials/{made.pk}/machine/", author)
    page.context.set_offline(True)
    row(page, 1).locator("[data-timer]").click()
    page.wait_for_timeout(500)
    page.context.set_offline(False)
    page.reload()
    expect(row(page, 1).locator("[data-timer]")).to_contain_text("Stop")
    page.wait_for_timeout(700)
    row(page, 1).locator("[data-timer]").click()
    assert float(row(page, 1).get_by_label("Arc time").input_value().removesuffix(" s")) >= 1.2


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_every_page_of_trials_is_accessible(
    width: int, dark: bool, open_page: OpenPage, assert_accessible: Check, author: User, shop: Shop
) -> None:
    first = trial(author, passes=2, verdict="accepted", note="Toes cold on the first inch.")
    second = trial(
        author,
        "T-002",
        passes=3,
        copied_from=first,
        line={"low_level": "55", "seen_wetting": "good"},
        verdict="rejected",
    )
    page = open_page("/trials/", width=width, as_person=author, dark=dark)
    server = page.url.removesuffix("/trials/")
    for path in (
        "/trials/",
        f"/trials/{second.pk}/",
        f"/trials/{second.pk}/machine/",
        f"/trials/{second.pk}/waveforms/new/",
        f"/trials/compare/?t={first.pk}&t={second.pk}&x=low_level&y=read:heat_input",
        "/trials/compare/",
        f"/trials/{second.pk}/window/",
    ):
        page.goto(server + path)
        expect(page.locator("h1"), path).to_have_count(1)
        for summary in page.locator("main details:not([open]) > summary").all():
            if summary.is_visible():
                summary.click()
        page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
        assert_accessible(page)


def test_the_chart_is_drawn(open_page: OpenPage, author: User, shop: Shop) -> None:
    first, second = trial(author, passes=2), trial(author, "T-002", passes=2, line={"low_level": "55"})
    page = open_page(f"/trials/compare/?t={first.pk}&t={second.pk}&x=low_level&y=read:amps", as_person=author)
    drawn = page.locator(".chart img")
    drawn.scroll_into_view_if_needed()
    expect(drawn).to_be_visible()
    expect(drawn).to_have_js_property("complete", True)
    assert drawn.evaluate("image => image.naturalWidth") > 100
    expect(page.locator(".chart figcaption")).to_contain_text("T-001 has the least low-level percentage")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_a_waveform_from_file_to_figures(
    width: int, open_page: OpenPage, assert_accessible: Check, author: User, shop: Shop
) -> None:
    made = trial(author, passes=1, line={"current_programme": "pulsed"})
    page = open_page(f"/trials/{made.pk}/", width=width, as_person=author)
    page.get_by_role("link", name="Upload a waveform file").click()
    page.get_by_label("Waveform file").set_input_files(
        {"name": "scope.csv", "mimeType": "text/csv", "buffer": pulsed_csv()}
    )
    page.get_by_label("Recorded on pass").select_option(label="Pass 1")
    page.get_by_role("button", name="Upload the file").click()
    expect(page.locator("#columns-title")).to_be_visible()
    assert_accessible(page)
    page.get_by_role("button", name="Confirm the columns and analyze").click()
    expect(page.locator(".answer").first).to_contain_text("The arc put in 19.7")
    page.get_by_role("link", name="A few pulses").click()
    drawn = page.locator(".chart img")
    drawn.scroll_into_view_if_needed()
    expect(drawn).to_have_js_property("complete", True)
    assert drawn.evaluate("image => image.naturalWidth") > 100
    assert (drawn.get_attribute("alt") or "").startswith("From ")
    assert_accessible(page)
