"""What holds of a shop whatever was killed: looked at from outside, on the database and the files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from tempfile import gettempdir

from django.apps import apps
from django.conf import settings
from django.db import connection

from qualification.models import ProcedureTest, Record, State, Welder, WelderTest
from qualification.models.audit import AuditEntry
from qualification.records.audit_check import Witness, check_trail
from qualification.records.unchanged import changed_since_approval
from tests.crash.acts import ROWS, STAMP
from wps.backups.checking import check, opened
from wps.backups.schedule import present
from wps.documents import vault
from wps.documents.attachments import SUFFIXES
from wps.documents.kinds import document_for
from wps.documents.trail import witness_in
from wps.models import Attachment, IssuedDocument, Packet, PacketState, SignatureTaken, Spec

Stamp = tuple[int, int, int, int]
_backups_seen: set[str] = set()
_witnesses: dict[Path, tuple[Stamp, Witness | None]] = {}
_whole: dict[Path, Stamp] = {}
"""What was looked at before is looked at again once its file was touched."""


def broken() -> list[str]:
    """A sentence for each thing that does not hold."""
    found = [*_database(), *_records(), *_papers(), *_packets(), *_lists(), *_backups()]
    report = check_trail(_seen_witnesses())
    return found if report.holds else [*found, *report.sentences]


def unnamed_files() -> set[str]:
    """Hashes of the files of the vault that no record names: written in full, their record was never
    stored."""
    return _kept_files() - _named_files()


def _seen_witnesses() -> Iterator[Witness]:
    for path in sorted(Path(settings.ISSUED_DIR).glob("*.pdf")):
        stamp = _stamp(path)
        if path not in _witnesses or _witnesses[path][0] != stamp:
            _witnesses[path] = stamp, witness_in(path)
        if (found := _witnesses[path][1]) is not None:
            yield found


def _stamp(path: Path) -> Stamp:
    found = path.stat()
    return found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns


def _database() -> Iterator[str]:
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        for pragma in ("integrity_check", "foreign_key_check"):
            answers = cursor.execute(f"PRAGMA {pragma}").fetchall()
            if answers not in ([], [("ok",)]):
                yield f"{pragma}: {answers[:3]}"


def _records() -> Iterator[str]:
    records: list[type[Record]] = [Spec, ProcedureTest, WelderTest]
    for kind in records:
        told = set(AuditEntry.objects.filter(record_kind=kind.KIND).values_list("record_id", flat=True))
        for record in kind._default_manager.all():
            if record.pk not in told:
                yield f"{record} is not in the audit trail."
            if changed := changed_since_approval(record):
                yield changed
            if record.state == State.APPROVED and document_for(record) is None:
                yield f"{record} is approved and has no document."
        numbers = kind._default_manager.filter(state=State.APPROVED).values_list("number", flat=True)
        for number, count in Counter(numbers).items():
            if count > 1:
                yield f"{number} has {count} approved revisions."


def _papers() -> Iterator[str]:
    signatures = Counter(SignatureTaken.objects.values_list("document_id", flat=True))
    signed = set(AuditEntry.objects.filter(verb="sign").values_list("data__sha256", flat=True))
    for document in IssuedDocument.objects.all():
        if not document.is_stored:
            continue
        yield from _file(f"The document of {document}", document.sha256, ".pdf")
        if signatures[document.pk] and document.sha256 not in signed:
            yield f"{document} is signed and the trail does not say so."
        if document.sha256 == document.rendered_sha256 and signatures[document.pk]:
            yield f"{document} has signatures on record and none in its file."
    for attachment in Attachment.objects.all():
        yield from _file(f"{attachment}", attachment.sha256, SUFFIXES[attachment.media_type])
    if missing := _named_files() - _kept_files():
        yield f"Records name files that are not there: {sorted(missing)[:3]}"


def _packets() -> Iterator[str]:
    for packet in Packet.objects.all():
        if packet.state in (PacketState.READY, PacketState.ISSUED):
            yield from _file(f"{packet}", packet.assembled_sha256, ".pdf")
            if not packet.items.exists() and not packet.obstacles:
                yield f"{packet} is assembled, has no items, and nothing is said to be left out."
        if packet.state == PacketState.ISSUED:
            yield from _file(f"{packet}", packet.sha256, ".pdf")
            if not packet.transmittals.exists():
                yield f"{packet} is issued and went to nobody."


def _file(what: str, sha256: str, suffix: str) -> Iterator[str]:
    path = vault.path_of(sha256, suffix)
    if path.exists() and _whole.get(path) == _stamp(path):
        return
    try:
        vault.open_whole(sha256, suffix).close()
        _whole[path] = _stamp(path)
    except vault.Damaged as damaged:
        yield f"{what}: {damaged}"


def _lists() -> Iterator[str]:
    stamps = Welder.objects.filter(stamp__startswith=STAMP).values_list("stamp", flat=True)
    for number, count in Counter(each.partition("-")[0] for each in stamps).items():
        if count != ROWS:
            yield f"{count} of {ROWS} rows of the list {number} were imported."


def _backups() -> Iterator[str]:
    for path in present():
        if path.name in _backups_seen:
            continue
        _backups_seen.add(path.name)
        with opened(path, "", Path(gettempdir())) as backup:
            check(backup)
            yield from (f"{path.name}: {each}" for each in backup.problems)


def _kept_files() -> set[str]:
    files = Path(settings.ISSUED_DIR).glob("*")
    return {path.stem for path in files if vault.SHA256.fullmatch(path.stem)}


def _named_files() -> set[str]:
    """Every hash that a row of the program's tables names as that of a file."""
    found: set[str] = set()
    for model in apps.get_app_config("wps").get_models():
        for field in model._meta.get_fields():
            if "sha256" in field.name:
                found.update(model._default_manager.values_list(field.name, flat=True))
    return found - {"", None}
