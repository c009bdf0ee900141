"""The whole shop goes out as one file and comes in whole: equal records, equal answers, equal files."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import override_settings
from django_otp.plugins.otp_totp.models import TOTPDevice

from qualification import second_step
from qualification.machine_input import read_document
from qualification.models import Passkey, ProcedureTest, Shop
from qualification.models.audit import AuditEntry
from qualification.records import audit_guard
from qualification.records.audit import GENESIS
from tests.shop_records import job, procedure_test, spec
from wps.documents.attachments import bytes_of, keep_attachment
from wps.models import Attachment, Part, Spec
from wps.outside import shop_file
from wps.outside.shop_file import CONTENTS, RECORDS, CannotExport, export_shop, models_of_the_shop
from wps.outside.shop_in import CannotImport, import_shop
from wps.views.record_data import record_data

pytestmark = pytest.mark.django_db


@pytest.fixture
def whole(author: User, tmp_path: Path) -> Path:
    """A shop with a test, a procedure that rests on it, a job and a paper; and the file of it."""
    test = procedure_test(author, number="PT-001", notes="Übergröße, 6 mm “tee”")
    spec(author, test, number="AL-04")
    job()
    keep_attachment(_png(), "mill.png", author, kind="mill", title="6061 plate")
    export_shop(tmp_path / "shop.zip")
    return tmp_path / "shop.zip"


def _png() -> bytes:
    return (Path(settings.BASE_DIR) / "fixtures/screenshots/editor.png").read_bytes()


@pytest.fixture
def empty(tmp_path: Path) -> Callable[[], None]:
    """Makes the database and the folder of files those of a shop nobody has begun."""

    def make() -> None:
        audit_guard.remove(connection)
        with connection.cursor() as cursor:
            for model in reversed(models_of_the_shop()):
                tables = [field.m2m_db_table() for field in model._meta.local_many_to_many]
                for table in (*tables, *(() if model is Group else (model._meta.db_table,))):
                    cursor.execute(f"DELETE FROM {table}")
        audit_guard.install(connection)

    return make


def _answers() -> list[object]:
    """What the machine interface makes of each record saved as data."""
    test, procedure = ProcedureTest.objects.get(), Spec.objects.get()
    return [
        read_document(json.dumps(record_data(record), default=str).encode(), name)
        for record, name in ((test, "ranges"), (procedure, "coverage"))
    ]


def test_a_shop_that_went_out_comes_in_with_equal_answers_and_equal_files(
    whole: Path, empty: Callable[[], None], tmp_path: Path
) -> None:
    answers, trail = _answers(), list(AuditEntry.objects.values_list("hash", flat=True))
    paper = bytes_of(Attachment.objects.get())
    empty()
    with override_settings(ISSUED_DIR=tmp_path / "elsewhere"):
        tried = import_shop(whole, dry_run=True)
        assert (User.objects.count(), tried.is_here) == (0, False)
        assert not (tmp_path / "elsewhere").exists()
        brought = import_shop(whole)
        assert brought.rows["qualification.proceduretest"] == 1
        assert _answers() == answers
        assert bytes_of(Attachment.objects.get()) == paper
        kept = list(AuditEntry.objects.order_by("number").values_list("hash", "previous_hash", "verb"))
        assert [found for found, _, _ in kept[:-1]] == trail
        assert [each[1] for each in kept] == [GENESIS, *(each[0] for each in kept[:-1])]
        assert kept[-1][2] == "import"
        # Again: nothing is done.
        assert import_shop(whole).is_here
        assert Part.objects.count() == brought.rows["wps.part"]
        # And what goes out of it is the same, but for the one entry that says it came in.
        export_shop(tmp_path / "again.zip")
    before, after = (_records(path) for path in (whole, tmp_path / "again.zip"))
    assert len(after["qualification.auditentry"]) == len(before["qualification.auditentry"]) + 1
    for label in before.keys() - {"qualification.auditentry"}:
        assert after[label] == before[label], label


def _records(path: Path) -> dict[str, list[object]]:
    found: dict[str, list[object]] = json.loads(zipfile.ZipFile(path).read(RECORDS))["models"]
    return found


def test_the_same_shop_gives_the_same_bytes(whole: Path, tmp_path: Path) -> None:
    export_shop(tmp_path / "second.zip")
    assert (tmp_path / "second.zip").read_bytes() == whole.read_bytes()
    assert whole.stat().st_mode & 0o777 == 0o600


def test_a_second_step_goes_along(author: User, tmp_path: Path, empty: Callable[[], None]) -> None:
    """Who signs in with a code beside the password does so after the move as well."""
    device = second_step.begin(author)
    TOTPDevice.objects.update(confirmed=True)
    codes = second_step.new_recovery_codes(author)
    Passkey.objects.create(
        person=author, name="phone", host="shop.example", credential="id", public_key=b"key"
    )
    export_shop(tmp_path / "shop.zip")
    empty()
    with override_settings(ISSUED_DIR=tmp_path / "elsewhere"):
        import_shop(tmp_path / "shop.zip")
    moved = User.objects.get(username=author.username)
    app = second_step.app_of(moved)
    assert (app.key if app else "") == device.key
    assert second_step.problem_with(moved, codes[0]) == ""
    assert bytes(moved.passkeys.get().public_key) == b"key"


def test_the_shop_of_a_backup_comes_in_and_its_trail_is_checked(
    tmp_path: Path, empty: Callable[[], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """One that an earlier release made, into whatever database the tests run on; spoiled, it does not."""
    backup = sorted((Path(settings.BASE_DIR) / "tests/upgrades").glob("*.tar.gz"))[-1]
    empty()
    spoiled = tmp_path / "spoiled.tar.gz"
    spoiled.write_bytes(backup.read_bytes()[:-2000])
    own = {name: tmp_path / name.lower() for name in ("ISSUED_DIR", "MEDIA_ROOT")}
    with override_settings(LOCAL_DIR=tmp_path, **own):
        with pytest.raises(CommandError):
            call_command("shop_import", str(spoiled))
        assert not User.objects.exists()
        call_command("shop_import", str(backup))
        assert "The audit trail holds" in capsys.readouterr().out
        assert Spec.objects.count() > 3


def test_nothing_is_laid_over_a_shop(whole: Path) -> None:
    with pytest.raises(CannotImport, match="There is a shop here already"):
        import_shop(whole)


TAMPERED = {
    "records changed": "shop.json is not as it was exported",
    "a file more": "differ: stranger",
    "a file that leads out": "is nothing that belongs to a shop",
    "another format": "not of the format",
    "no zip": "is not a whole shop's file",
}


def test_a_file_that_was_tampered_with_stores_nothing(
    whole: Path, empty: Callable[[], None], tmp_path: Path
) -> None:
    empty()
    for what, said in TAMPERED.items():
        with pytest.raises(CannotImport, match=said):
            import_shop(_spoiled(whole, what, tmp_path / "spoiled.zip"))
        assert not User.objects.exists(), what
        assert not Shop.objects.exists(), what


def _spoiled(whole: Path, what: str, target: Path) -> Path:
    with zipfile.ZipFile(whole) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    contents = json.loads(parts[CONTENTS])
    if what == "records changed":
        parts[RECORDS] = parts[RECORDS].replace(b"PT-001", b"PT-002")
    elif what == "a file more":
        parts["stranger"] = b"x"
    elif what == "a file that leads out":
        parts["files/issued/../../x"] = b"x"
        contents["files"]["files/issued/../../x"] = hashlib.sha256(b"x").hexdigest()
    elif what == "another format":
        contents["format"] = "other/1"
    parts[CONTENTS] = json.dumps(contents).encode()
    with zipfile.ZipFile(target, "w") as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    if what == "no zip":
        target.write_bytes(b"PK no more")
    return target


def test_it_writes_over_no_file_and_into_no_missing_folder(whole: Path, tmp_path: Path) -> None:
    with pytest.raises(CannotExport, match="is there already"):
        export_shop(whole)
    with pytest.raises(CannotExport, match="is not there"):
        export_shop(tmp_path / "none" / "shop.zip")


def test_every_model_goes_along_or_is_named_as_worked_out() -> None:
    labels = {model._meta.label_lower for model in models_of_the_shop()}
    assert {"auth.user", "qualification.auditentry", "wps.spec", "wps.attachment"} <= labels
    assert not labels & shop_file.WORKED_OUT
