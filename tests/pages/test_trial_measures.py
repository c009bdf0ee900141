"""Measuring on a photo: scale first, sizes stored as results with their uncertainty, pairs at one scale."""

from __future__ import annotations

import json
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from qualification.models import Shop, Trial, TrialPhoto
from tests.pages.test_trial_page import picture
from tests.trial_records import trial, weld_pass


def photo_of(of: Trial) -> TrialPhoto:
    image = SimpleUploadedFile("photo.jpg", picture(), "image/jpeg")
    return TrialPhoto.objects.create(trial=of, token=uuid4(), image=image, taken_by_name="Maren Oosting")


def send(
    client: Client, photo: TrialPhoto, what: str, *taps: tuple[float, float], **more: str
) -> HttpResponse:
    data = {"do": "measure", "what": what, "taps": json.dumps(taps), "size": "[64, 48]", "zoom": "1", **more}
    return client.post(reverse("trial_photo_measure", args=[photo.trial_id, photo.pk]), data)  # type: ignore[return-value]


@pytest.fixture
def photo(author: User, shop: Shop) -> TrialPhoto:
    return photo_of(trial(author, units="si", line={"wire_feed": "11 m/min"}))


def line(photo: TrialPhoto) -> dict[str, str]:
    photo.trial.refresh_from_db()
    return photo.trial.line


def test_a_size_becomes_a_result_of_the_trial(photo: TrialPhoto, author_client: Client) -> None:
    # 60 pixels are 30 mm; 20 pixels are 10 mm, with 2 sqrt(2) pixels = 1.41 mm of taps and 4.7 % of scale
    send(author_client, photo, "scale", (0, 40), (60, 40), length="30 mm")
    assert send(author_client, photo, "macro_leg", (0, 0), (20, 0)).status_code == 302
    assert line(photo)["macro_leg"] == "10 ± 3 mm"
    html = author_client.get(photo.trial.get_absolute_url()).content.decode()
    assert "Leg on the section" in html
    photo.refresh_from_db()
    assert photo.shows == "section"


def test_another_scale_carries_the_sizes_along(photo: TrialPhoto, author_client: Client) -> None:
    send(author_client, photo, "scale", (0, 40), (60, 40), length="30 mm")
    send(author_client, photo, "macro_leg", (0, 0), (20, 0))
    send(author_client, photo, "scale", (0, 40), (60, 40), length="60 mm")
    assert line(photo)["macro_leg"] == "20 ± 6 mm"


def test_another_scale_leaves_what_was_typed_over_or_cleared(
    photo: TrialPhoto, author_client: Client
) -> None:
    send(author_client, photo, "scale", (0, 40), (60, 40), length="30 mm")
    send(author_client, photo, "macro_leg", (0, 0), (20, 0))
    send(author_client, photo, "macro_throat", (0, 0), (20, 0))
    made = photo.trial
    made.refresh_from_db()
    made.line = {**made.line, "macro_leg": "9 mm"}
    del made.line["macro_throat"]
    made.save()
    send(author_client, photo, "scale", (0, 40), (60, 40), length="60 mm")
    assert line(photo)["macro_leg"] == "9 mm"
    assert "macro_throat" not in line(photo)


@pytest.mark.parametrize(
    ("what", "taps", "more", "words"),
    [
        ("macro_leg", [(0, 0), (20, 0)], {}, "Set the scale first"),
        ("scale", [(0, 0), (60, 0)], {}, "Enter the length of the scale"),
        ("scale", [(0, 0), (60, 0)], {"length": "long"}, "Length of the scale"),
        ("scale", [(0, 0), (65, 0)], {"length": "1 in"}, "beside the photo"),
        ("scale", [(0, 0), (60, 0)], {"length": "1 in", "size": "[640, 48]"}, "Load the page again"),
        ("scale", [(0, 0), (60, 0)], {"length": "1 in", "taps": "[[1,"}, "taps did not arrive"),
        ("amps", [(0, 0), (60, 0)], {}, "Choose what you measure"),
    ],
)
def test_what_gives_no_size_is_refused_and_nothing_stored(
    photo: TrialPhoto,
    author_client: Client,
    what: str,
    taps: list[tuple[float, float]],
    more: dict[str, str],
    words: str,
) -> None:
    before = line(photo)
    answer = send(author_client, photo, what, *taps, **more)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    photo.refresh_from_db()
    assert (line(photo), photo.scale, photo.measures) == (before, {}, {})


def test_a_reader_measures_nothing(photo: TrialPhoto, reader_client: Client) -> None:
    assert send(reader_client, photo, "scale", (0, 40), (60, 40), length="30 mm").status_code == 403
    assert "Measure on it" not in reader_client.get(photo.trial.get_absolute_url()).content.decode()


def test_beads_stand_at_the_same_scale_once_both_have_one(
    photo: TrialPhoto, author: User, author_client: Client
) -> None:
    other = photo_of(trial(author, "T-002", units="si"))
    address = reverse("trial_compare") + f"?t={photo.trial_id}&t={other.trial_id}"
    send(author_client, photo, "scale", (0, 40), (60, 40), length="30 mm")
    html = author_client.get(address).content.decode()
    assert "set the scale of T-002" in html
    send(author_client, other, "scale", (0, 40), (30, 40), length="30 mm")
    html = author_client.get(address).content.decode()
    assert "Face of the bead, at the same scale" in html
    # 64 by 48 pixels at 0.5 and at 1 mm each, in a frame of 64 by 48 mm for both
    assert html.count('viewBox="0 0 64.000 48.000"') == 2
    assert 'width="32.000" height="24.000"' in html
    assert "The bar is 10 mm long" in html


def test_the_trial_says_what_to_change_next_and_what_it_cost(
    author: User, author_client: Client, shop: Shop
) -> None:
    made = trial(author, line={"seen_wetting": "cold"})
    weld_pass(made, 1)
    html = author_client.get(made.get_absolute_url()).content.decode()
    assert "What to change next" in html
    assert "Raise the low-level current, or travel more slowly." in html
    assert "Cost of the coupon: " in html
    edit = author_client.get(reverse("trial_edit", args=[made.pk])).content.decode()
    assert "Raise the low-level current, or travel more slowly." in edit
