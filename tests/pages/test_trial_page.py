"""One trial to read: passes, results, photos, what stands oddly, and what it becomes."""

from __future__ import annotations

import io
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from qualification.forms import pictures
from qualification.models import Shop, TrialPhoto
from qualification.views import trial_photos
from tests.trial_records import trial, weld_pass

FRAGMENT = {"Accept": "text/x-fragment"}


def picture(kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "grey").save(out, kind)
    return out.getvalue()


def send(client: Client, pk: int, content: bytes, token: str = "", **more: object) -> object:
    data = {"image": SimpleUploadedFile("photo.jpg", content, "image/jpeg"), "token": token or str(uuid4())}
    return client.post(reverse("trial_photo_add", args=[pk]), data, **more)


def test_passes_are_shown_with_speed_and_energy(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author, passes=1)
    weld_pass(made, 2, arc_time="", amps="160")
    html = reader_client.get(made.get_absolute_url()).content.decode()
    assert 'data-label="Travel speed">20 in/min (508 mm/min)' in html
    assert 'data-label="Travel speed">Not known' in html
    assert "For a pulsed or short-circuiting arc it can be far off either way" in html


def test_entries_that_cannot_be_read_are_listed(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author, line={"wire_feed": "fast"})
    assert (
        "Wire feed speed: “fast” could not be read"
        in reader_client.get(made.get_absolute_url()).content.decode()
    )


def test_settings_that_stand_oddly_together_are_pointed_out(
    author: User, reader_client: Client, shop: Shop
) -> None:
    """What the passes showed is held against the wire feed, although the line states no current."""
    made = trial(author, line={"wire_feed": "300", "current_programme": "steady", "transfer_mode": "spray"})
    weld_pass(made, amps="290")
    html = reader_client.get(made.get_absolute_url()).content.decode()
    assert "Entries that stand oddly together" in html
    assert "290 A is much for wire feed speed 300 in/min" in html


def test_results_are_no_settings(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author, line={"seen_wetting": "cold", "tips_used": "0"})
    html = reader_client.get(made.get_absolute_url()).content.decode()
    came, how = html.index("Result"), html.index("How it was set")
    assert came < html.index("Cold, rolled over") < how
    assert html.index("Contact tips used up") < how
    assert html.count("Cold, rolled over") == 1


def test_what_was_not_stated_is_said(author: User, reader_client: Client, shop: Shop) -> None:
    html = reader_client.get(trial(author).get_absolute_url()).content.decode()
    for words in (
        "No pass is recorded yet.",
        "No observations yet.",
        "Hot start",
        "None. A log of voltage and current",
    ):
        assert words in html


def test_a_photo_is_kept_once_and_served(
    author: User, author_client: Client, reader_client: Client, shop: Shop
) -> None:
    made, token = trial(author), str(uuid4())
    for _ in range(2):
        answer = send(author_client, made.pk, picture(), token, headers=FRAGMENT)
        assert answer.status_code == 200
        assert answer.content.decode().count("photos__one") == 1
    photo = TrialPhoto.objects.get()
    assert (photo.width, photo.height, photo.taken_by_name) == (64, 48, "Maren Oosting")
    served = reader_client.get(reverse("trial_photo", args=[made.pk, photo.pk]))
    assert served.headers["Content-Type"] == "image/jpeg"
    assert b"".join(served.streaming_content) == picture()
    assert "took a photo of it" in reader_client.get(made.get_absolute_url()).content.decode()


def test_a_photo_without_script_leads_back_to_the_machine(
    author: User, author_client: Client, shop: Shop
) -> None:
    made = trial(author)
    assert send(author_client, made.pk, picture()).url == reverse("trial_edit", args=[made.pk])


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"no picture", "Photo cannot be read as a picture. Choose a JPEG, PNG or WebP file."),
        (picture("GIF"), "Photo is a GIF file. Choose a JPEG, PNG or WebP file."),
    ],
)
def test_what_is_no_photo_is_refused_in_words(
    content: bytes, message: str, author: User, author_client: Client, shop: Shop
) -> None:
    made = trial(author)
    answer = send(author_client, made.pk, content, headers=FRAGMENT)
    assert (answer.status_code, answer.content.decode()) == (422, message)
    assert message in send(author_client, made.pk, content).content.decode()
    assert not TrialPhoto.objects.exists()


def test_a_photo_beyond_the_limit_is_refused(
    author: User, author_client: Client, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trial_photos, "MOST_BYTES", 100)
    answer = send(author_client, trial(author).pk, picture(), headers=FRAGMENT)
    assert answer.content.decode() == "Photo is 0.0 MB. Choose a picture of 20 MB or less."


@pytest.mark.parametrize(("most", "is_taken"), [(64 * 48, True), (64 * 48 - 1, False)])
def test_a_photo_of_too_many_pixels_is_refused(
    most: int,
    is_taken: bool,
    author: User,
    author_client: Client,
    shop: Shop,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A small file can unpack to more than a machine holds."""
    monkeypatch.setattr(pictures, "MOST_PIXELS", most)
    answer = send(author_client, trial(author).pk, picture(), headers=FRAGMENT)
    assert (answer.status_code == 200) == is_taken
    assert ("million pixels. Make it" in answer.content.decode()) != is_taken
    assert TrialPhoto.objects.exists() == is_taken


def test_a_photo_of_another_trial_is_not_found(author: User, author_client: Client, shop: Shop) -> None:
    first, second = trial(author), trial(author, "T-002")
    send(author_client, first.pk, picture())
    assert (
        author_client.get(reverse("trial_photo", args=[second.pk, TrialPhoto.objects.get().pk])).status_code
        == 404
    )


def test_the_page_reckons_with_sources(author: User, reader_client: Client, shop: Shop) -> None:
    html = reader_client.get(trial(author, passes=1).get_absolute_url()).content.decode()
    by_code = html[html.index('id="codes"') : html.index('id="reckoned"')]
    assert "QW-409.1(a)" in by_code
    assert "thermal efficiency times volts times amperes by travel speed; 0.8 is taken" in by_code.lower()
    assert "Needs a measured waveform of a pass with its length." in by_code
    assert "By the displays, which can be far off for such an arc." in by_code
    follows = html[html.index('id="reckoned"') : html.index('id="set"')]
    for label in ("Current this feed usually draws", "Section that one pass lays down"):
        assert label in follows
    assert "provenance__source" in by_code
    assert "provenance__source" in follows


def test_a_trial_without_passes_shows_no_heat(author: User, reader_client: Client, shop: Shop) -> None:
    html = reader_client.get(trial(author).get_absolute_url()).content.decode()
    assert 'id="codes"' not in html
    assert 'id="reckoned"' in html
