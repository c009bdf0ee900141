"""A shop's own edition goes to another shop as a signed file: imported as a draft, refused where anything is
not as it was signed."""

from __future__ import annotations

import hashlib
import io
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import Settings
from pytest_django.asserts import assertContains

from qualification.codes import own_editions
from qualification.codes.editions import available_editions
from qualification.models import AuditEntry, OwnEdition, Shop
from tests.ellery_works import published, said
from wps.outside.edition_archive import MOST_FILES, NotImported, read_archive
from wps.signing.authority import authority
from wps.signing.for_the_shop import sign_for_shop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _few_documents(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(own_editions, "DOCUMENTS", 1)


@pytest.fixture
def exported(approver_client: Client) -> bytes:
    own = published(approver_client)
    answer = approver_client.get(reverse("own_edition_export", args=[own.pk]))
    assert answer["Content-Disposition"] == f'attachment; filename="{own.key}.zip"'
    assert AuditEntry.objects.filter(verb="export_edition").exists()
    return answer.content


@pytest.fixture
def another_shop(exported: bytes, settings: Settings, tmp_path: Path) -> None:
    """The same server as if it were another shop's: another authority and name, no edition of its own."""
    OwnEdition.objects.all().delete()
    Shop.objects.update(name="Harrow Lane Fabrication")
    settings.AUTHORITY_DIR = tmp_path / "another_authority"


def send(client: Client, content: bytes) -> Any:
    return client.post(reverse("own_edition_import"), {"file": SimpleUploadedFile("edition.zip", content)})


def test_another_shop_imports_it_as_a_draft_and_sees_who_signed(
    exported: bytes, another_shop: None, approver_client: Client
) -> None:
    answer = send(approver_client, exported)
    assert answer.status_code == 302, said(answer)
    own = OwnEdition.objects.get()
    assert own.is_draft
    assert own.received["shop"] == "Tidewater Gangway Works"
    assert own.received["fingerprint"] == own.fingerprint
    assert own.key not in dict(available_editions())
    page = said(approver_client.get(own.get_absolute_url()))
    assert "signed by Tobias Quell" in page
    assert own.received["authority"] in page
    assert "compare the fingerprint by phone" in page
    assert "0 rows differ from what it was begun with" in page
    again = approver_client.post(reverse("own_edition_publish", args=[own.pk]))
    assert again.status_code == 302, said(again)  # its cases came along
    assert own.key in dict(available_editions())


def changed(content: bytes, change: Callable[[dict[str, bytes]], None]) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        packed = {name: archive.read(name) for name in archive.namelist()}
    short = {name.rpartition("/")[2]: body for name, body in packed.items()}
    change(short)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, body in short.items():
            archive.writestr(f"edition/{name}", body)
    return out.getvalue()


def other_byte(name: str) -> Callable[[dict[str, bytes]], None]:
    def change(packed: dict[str, bytes]) -> None:
        packed[name] = packed[name].replace(b"2", b"3", 1)

    return change


def re_signed(packed: dict[str, bytes]) -> None:
    """Tables changed and signed anew, with the fingerprint of the tables before."""
    packed["bands.toml"] = packed["bands.toml"].replace(b"high_factor = 2", b"high_factor = 9")
    contents = tomllib.loads(packed["contents.toml"].decode())
    contents["files"]["bands.toml"] = hashlib.sha256(packed["bands.toml"]).hexdigest()
    packed["contents.toml"] = tomli_w.dumps(contents).encode()
    issuer = authority(Path(re_signed.folder), "Forged Works")  # type: ignore[attr-defined]
    packed["contents.sig"], packed["signer.pem"] = sign_for_shop(packed["contents.toml"], issuer, "Nobody")


CHANGES: dict[str, tuple[Callable[[dict[str, bytes]], None], str]] = {
    "a table": (other_byte("bands.toml"), "bands.toml is not as it was signed"),
    "a case": (other_byte("cases.toml"), "cases.toml is not as it was signed"),
    "the contents": (other_byte("contents.toml"), "something was changed"),
    "no signature": (lambda packed: packed.pop("contents.sig") and None, "has no contents.sig"),
    "a table gone": (
        lambda packed: packed.pop("welder.toml") and None,
        "welder.toml is not as it was signed",
    ),
    "one more file": (lambda packed: packed.update({"free.toml": b""}), "free.toml is not as it was signed"),
    "certificates": (lambda packed: packed.update({"signer.pem": b"x"}), "cannot be read"),
    "tables under another fingerprint": (re_signed, "are not those whose fingerprint was signed"),
}


@pytest.mark.parametrize(("change", "message"), CHANGES.values(), ids=CHANGES.keys())
def test_whatever_is_not_as_signed_is_refused(
    exported: bytes, approver_client: Client, tmp_path: Path, change: Any, message: str
) -> None:
    re_signed.folder = str(tmp_path / "forged")  # type: ignore[attr-defined]
    refused = send(approver_client, changed(exported, change))
    assertContains(refused, message, status_code=422)
    assert OwnEdition.objects.count() == 1


def test_what_is_no_archive_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for number in range(MOST_FILES + 1):
            archive.writestr(f"e/{number}.toml", "")
    for content, message in ((b"no zip", "is no edition"), (out.getvalue(), "is larger than an edition")):
        with pytest.raises(NotImported, match=message):
            read_archive(content)
