"""What a power cut must not take: bytes are synced before their name is, and the name before the record."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from pytest_django import Settings

from qualification import on_disk
from qualification.records.audit_key import key_for_appending
from wps.documents import vault


@pytest.fixture
def synced(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What was synced, in order, by its name at that moment."""
    found: list[Path] = []

    def note(descriptor: int) -> None:
        found.append(Path(f"/proc/self/fd/{descriptor}").readlink())

    monkeypatch.setattr(os, "fsync", note)
    return found


def test_an_upload_and_each_new_folder_of_its_path(
    settings: Settings, tmp_path: Path, synced: list[Path]
) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    saved = default_storage.save("trials/photos/bead.png", ContentFile(b"1"))
    assert synced == [settings.MEDIA_ROOT / place for place in (saved, "trials/photos", "trials", "")]
    assert default_storage.open(saved).read() == b"1"


@pytest.mark.django_db
def test_a_paper_and_its_name(settings: Settings, tmp_path: Path, synced: list[Path]) -> None:
    settings.ISSUED_DIR = tmp_path / "issued"
    vault.store(b"%PDF-1.7")
    assert [path.name.partition("-")[0] for path in synced] == ["incoming", "issued"]


def test_the_key_of_the_trail_and_its_name(settings: Settings, tmp_path: Path, synced: list[Path]) -> None:
    settings.AUDIT_KEY_FILE = tmp_path / "audit_key"
    key_for_appending(0)
    assert synced[-1] == tmp_path
    assert synced[0].name.startswith("audit_key.")


def test_a_file_system_that_cannot_sync_a_folder_is_let_be_and_a_broken_disk_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(number: int) -> None:
        def fsync(descriptor: int) -> None:
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(os, "fsync", fsync)

    for number in (errno.EINVAL, errno.ENOTSUP):
        fails(number)
        on_disk.sync(tmp_path)
    fails(errno.EIO)
    with pytest.raises(OSError, match="Input/output"):
        on_disk.sync(tmp_path)
