"""Trials that stay tidy: kept once something is in them, archived, removed; photos removed."""

from __future__ import annotations

import io
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pytest_django import DjangoCaptureOnCommitCallbacks, Settings
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import AuditEntry, Origin, Shop, Trial, TrialPhoto
from tests.pages.test_trial_edit import post_of, row, save
from tests.trial_records import trial

LIST = "/trials/"


def verbs() -> list[str]:
    return list(
        AuditEntry.objects.filter(record_kind="trial").order_by("number").values_list("verb", flat=True)
    )


def start(client: Client, source: Trial | None = None) -> Trial:
    address = reverse("trial_copy", args=[source.pk]) if source else reverse("trial_start")
    client.post(address, {"process": "GMAW", "token": str(uuid4())})
    return Trial.objects.order_by("-pk")[0]


def photo() -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "PNG")
    return SimpleUploadedFile("bead.png", out.getvalue(), "image/png")


@pytest.fixture(autouse=True)
def _files(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.mark.parametrize("copied", [False, True], ids=["new", "copy"])
def test_a_trial_that_was_only_opened_is_kept_nowhere(
    author: User, author_client: Client, shop: Shop, copied: bool
) -> None:
    source = trial(author, passes=1) if copied else None
    made = start(author_client, source)
    assertNotContains(author_client.get(LIST), f"/trials/{made.pk}/")
    # What the page sends by itself, and "Done", when nothing was typed.
    save(author_client, made, post_of(made), headers={"HX-Request": "true"})
    assertNotContains(author_client.get(LIST), f"/trials/{made.pk}/")
    assert verbs() == []
    answer = save(author_client, made, post_of(made, do="close"))
    assert answer.url == LIST
    assert not Trial.objects.filter(pk=made.pk).exists()
    assertContains(author_client.get(LIST), "Nothing was entered, so no trial was kept.")


def test_the_first_entry_pass_or_photo_keeps_it(author_client: Client, shop: Shop) -> None:
    by_entry, by_pass, by_photo = (start(author_client) for _ in range(3))
    save(author_client, by_entry, post_of(by_entry, title="Gangway"))
    save(author_client, by_pass, post_of(by_pass, [row(amps="155")]))
    author_client.post(reverse("trial_photo_add", args=[by_photo.pk]), {"image": photo()})
    page = author_client.get(LIST)
    for each in (by_entry, by_pass, by_photo):
        assertContains(page, f"/trials/{each.pk}/")
    assert verbs() == ["create", "change", "create", "change", "create", "photo"]


def test_one_left_empty_goes_after_a_week_and_a_begun_one_stays(author_client: Client, shop: Shop) -> None:
    empty, begun = start(author_client), start(author_client)
    save(author_client, begun, post_of(begun, title="Gangway"))
    for days, left in ((6.9, True), (7.1, False)):
        Trial.objects.update(created_at=timezone.now() - timedelta(days=days))
        start(author_client)
        assert Trial.objects.filter(pk=empty.pk).exists() is left
    assert Trial.objects.filter(pk=begun.pk).exists()


def test_the_archive_takes_it_off_the_list_and_gives_it_back(
    author: User, author_client: Client, reader_client: Client, shop: Shop
) -> None:
    made = trial(author)
    archive = reverse("trial_archive", args=[made.pk])
    assert reader_client.post(archive, {"archived": "yes"}).status_code == 403
    for _ in range(2):
        author_client.post(archive, {"archived": "yes"})
    page = author_client.get(LIST)
    assertNotContains(page, f'href="/trials/{made.pk}/"')
    assertNotContains(page, "Copy T-001")
    assertContains(page, "Archived trials (1)")
    assertContains(author_client.get(LIST, {"archived": "1"}), f'href="/trials/{made.pk}/"')
    assertContains(author_client.get(made.get_absolute_url()), "Take it out of the archive")
    author_client.post(archive, {"archived": "no"})
    assertContains(author_client.get(LIST), f'href="/trials/{made.pk}/"')
    assert verbs() == ["archive", "unarchive"]


def test_a_trial_is_removed_with_its_files_unless_a_record_leads_back_to_it(
    author: User,
    author_client: Client,
    shop: Shop,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    used, unused = trial(author, "T-001"), trial(author, "T-002", passes=1)
    author_client.post(reverse("trial_photo_add", args=[unused.pk]), {"image": photo()})
    file = Path(unused.photos.get().image.path)
    Origin.objects.create(record_kind="procedure", record_id=1, variable="amps", entry="150").trials.add(used)
    remove = reverse("trial_remove", args=[used.pk])
    assert author_client.post(remove).status_code == 409
    assertContains(author_client.get(remove), "Put it into the archive", status_code=409)
    assertContains(author_client.get(reverse("trial_remove", args=[unused.pk])), "goes with its passes")
    assert file.exists()
    with django_capture_on_commit_callbacks(execute=True):
        author_client.post(reverse("trial_remove", args=[unused.pk]))
    assert not file.exists()
    assert [each.number for each in Trial.objects.all()] == ["T-001"]
    assert verbs()[-1] == "remove"


def test_a_photo_is_removed_with_its_file(
    author: User,
    author_client: Client,
    shop: Shop,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    made = trial(author)
    author_client.post(reverse("trial_photo_add", args=[made.pk]), {"image": photo()})
    kept = made.photos.get()
    remove = reverse("trial_photo_remove", args=[made.pk, kept.pk])
    assertContains(author_client.get(reverse("trial_edit", args=[made.pk])), remove)
    assertContains(author_client.get(remove), "cannot be brought back")
    assert author_client.post(reverse("trial_photo_remove", args=[made.pk + 1, kept.pk])).status_code == 404
    with django_capture_on_commit_callbacks(execute=True):
        author_client.post(remove)
    assert not TrialPhoto.objects.exists()
    assert not Path(kept.image.path).exists()
    assert verbs()[-1] == "remove_photo"


def test_job_metal_thickness_wire_and_gas_stand_before_the_machine(
    author: User, author_client: Client, shop: Shop
) -> None:
    html = author_client.get(reverse("trial_edit", args=[trial(author).pk])).content.decode()
    machine = html.index("Set on the machine")
    for name in (
        "title",
        "joint-base_metal_a",
        "joint-thickness_a",
        "line-0-filler_classification",
        "line-0-filler_diameter",
        "line-0-shielding_gas",
    ):
        assert html.index(f'name="{name}"') < machine
        assert html.count(f'name="{name}"') == 1


def test_a_copy_says_what_it_keeps(author: User, author_client: Client, shop: Shop) -> None:
    made = start(author_client, trial(author))
    page = author_client.get(reverse("trial_edit", args=[made.pk]))
    assertContains(page, "Day, passes, photos, result and note are its own.")
