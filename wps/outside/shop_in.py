"""A whole shop that comes in from its file: checked first, then stored whole or not at all, and only where
there is no shop yet. The audit trail comes with the key that sealed it, so that it goes on verifying; signed
papers come byte for byte."""

from __future__ import annotations

import hashlib
import json
import zipfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Group
from django.core import serializers
from django.core.management.color import no_style
from django.core.serializers.base import DeserializationError
from django.db import DatabaseError, connection, transaction

from qualification.models.audit import AuditEntry
from qualification.on_disk import sync
from qualification.records.audit import append
from wps.backups.checking import check, on_the_copy, opened
from wps.outside.shop_file import CONTENTS, FILES, FOLDERS, FORMAT, KEYS, RECORDS, models_of_the_shop
from wps.reading.unpacked import BROKEN_ARCHIVE

LARGEST = 20_000_000_000
EXPORTED = "exported.zip"


class CannotImport(Exception):
    """Why nothing was imported, and what to do."""


@dataclass(frozen=True)
class Brought:
    """What came in, or would."""

    rows: dict[str, int]
    files: int
    is_here: bool = False
    """True where this very file was imported before, and nothing was done."""


class _OnlyTried(Exception):
    """Undoes a dry run."""


def import_shop(file: Path, *, dry_run: bool = False) -> Brought:
    """Bring a shop in from its file. Raises CannotImport."""
    try:
        with zipfile.ZipFile(file) as packed:
            contents = _checked(packed)
            mark = contents["files"][RECORDS]
            if AuditEntry.objects.filter(verb="import", record_kind="shop", data__sha256=mark).exists():
                return Brought(contents["rows"], len(contents["files"]) - 1, is_here=True)
            _refuse_a_shop()
            with transaction.atomic():
                _store(json.loads(packed.read(RECORDS))["models"])
                if dry_run:
                    raise _OnlyTried
                _unpack(packed, contents["files"])
                append("import", "shop", 1, file.name[:120], "The program", {"sha256": mark})
    except _OnlyTried:
        pass
    except (*BROKEN_ARCHIVE, KeyError, TypeError) as problem:
        raise CannotImport(f"{file} is not a whole shop's file: {problem}.") from problem
    except (DatabaseError, DeserializationError) as problem:
        raise CannotImport(
            f"The records do not fit this program: {problem}. Export them with the same release again."
        ) from problem
    return Brought(contents["rows"], len(contents["files"]) - 1)


def import_backup(file: Path, passphrase: str, *, dry_run: bool = False) -> Brought:
    """Bring the shop of a backup in, whatever kind of database this one is: the backup is checked, brought to
    this release and exported beside, then imported. Raises CannotImport, BadBackup and WrongPassphrase."""
    with opened(file, passphrase, Path(settings.LOCAL_DIR)) as backup:
        check(backup)
        if backup.problems:
            raise CannotImport(f"{file.name} is not whole: {' '.join(backup.problems)}")
        packed = backup.folder / EXPORTED
        status, said = on_the_copy(backup.folder, "shop_export", str(packed))
        if status != 0:
            raise CannotImport(f"The shop of {file.name} cannot be taken out of it: {said}")
        return import_shop(packed, dry_run=dry_run)


def _checked(packed: zipfile.ZipFile) -> dict[str, Any]:
    """The list of contents, once every file has the hash that it names. Raises CannotImport."""
    if sum(each.file_size for each in packed.infolist()) > LARGEST:
        raise CannotImport("The file unpacks to more than a shop holds.")
    contents: dict[str, Any] = json.loads(packed.read(CONTENTS))
    if contents.get("format") != FORMAT:
        raise CannotImport(f"The file is not of the format {FORMAT}. Export the shop again.")
    named = set(contents["files"]) | {CONTENTS}
    if strangers := set(packed.namelist()) ^ named:
        raise CannotImport(f"The list of contents and the files differ: {', '.join(sorted(strangers)[:5])}.")
    for name, sha256 in contents["files"].items():
        if name != RECORDS and not _belongs(name):
            raise CannotImport(f"{name} is nothing that belongs to a shop.")
        if hashlib.sha256(packed.read(name)).hexdigest() != sha256:
            raise CannotImport(f"{name} is not as it was exported: its hash differs.")
    return contents


def _belongs(name: str) -> bool:
    parts = PurePosixPath(name).parts
    is_plain = parts[:1] == (FILES,) and ".." not in parts and "\\" not in name
    return is_plain and (parts[1:] in {(key,) for key in KEYS} or (len(parts) > 2 and parts[1] in FOLDERS))


def _refuse_a_shop() -> None:
    for model in models_of_the_shop():
        if model is not Group and model._default_manager.exists():
            raise CannotImport(
                "There is a shop here already, and two cannot become one. Name an empty folder:"
                " CTP_DATA=another-folder manage.py migrate, then import there."
            )


def _store(rows: dict[str, list[dict[str, Any]]]) -> None:
    known = {model._meta.label_lower for model in models_of_the_shop()}
    if strangers := set(rows) - known:
        raise CannotImport(f"The file holds what this program does not know: {', '.join(sorted(strangers))}.")
    for label in (model._meta.label_lower for model in models_of_the_shop()):
        for read in serializers.deserialize("python", rows.get(label, [])):
            read.save(force_insert=not isinstance(read.object, Group))
    connection.check_constraints()
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models_of_the_shop()):
            cursor.execute(statement)


def _unpack(packed: zipfile.ZipFile, files: dict[str, str]) -> None:
    local = Path(settings.LOCAL_DIR)
    places = {"media": Path(settings.MEDIA_ROOT), "issued": Path(settings.ISSUED_DIR)}
    folders = {local, *places.values()}
    for name in files:
        if name == RECORDS:
            continue
        _, first, *others = PurePosixPath(name).parts
        target = places.get(first, local / first).joinpath(*others)
        if target.exists():
            target.chmod(0o600)
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        target.write_bytes(packed.read(name))
        sync(target)
        target.chmod(0o400 if first == "issued" else 0o600)
        folders.add(target.parent)
    for folder in filter(Path.is_dir, folders):
        sync(folder)
