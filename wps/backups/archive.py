"""One file that holds the whole shop as it stood at one moment, taken while the program runs."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import sqlite3
import tarfile
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction

from qualification.on_disk import sync
from qualification.rules.core.program import program
from wps.backups.locked import LOCKING
from wps.documents import vault

DATABASE = "shop.sqlite3"
FOLDERS = ("media", "issued", "authority", "https", "backup_key")
FILES = ("secret_key", "audit_key", "time_zone")
PROGRAM = "program.txt"
CONTENTS = "contents.json"
"""What the backup holds: the SHA-256 of each file, and how many rows each table has."""
SCRATCH, PART = ".backing-up-", ".part"
"""How a folder begins, and a file ends, that a backup works in."""
OLD_SECONDS = 60 * 60
TOP = "shop"
"""The folder inside the archive."""


class CannotBackUp(Exception):
    """Why no backup was made, and what to do; nothing is left behind."""


def back_up(target: Path) -> list[str]:
    """Write the shop's data to `target`, a gzipped tar file only its owner can read; names of its entries.

    Nothing is written to the database while it is copied and the issued files are listed: a record is stored
    together with the files it names, and files are never rewritten, so both are of one moment. Raises
    CannotBackUp.
    """
    if target.exists():
        raise CannotBackUp(f"{target} is there already. Name another file.")
    if not target.parent.is_dir():
        raise CannotBackUp(f"The folder {target.parent} is not there. Make it first.")
    if connection.vendor != "sqlite":
        raise CannotBackUp(
            "The database is not kept in the shop's folder. Back it up with its own tools (pg_dump for"
            f" PostgreSQL), and copy the folder {settings.LOCAL_DIR} beside it."
        )
    part = target.with_name(f"{target.name}{PART}")
    try:
        with (
            tempfile.TemporaryDirectory(dir=settings.LOCAL_DIR, prefix=SCRATCH) as scratch,
            vault.copying(),
        ):
            copy = Path(scratch) / DATABASE
            with transaction.atomic():
                _copy_database(copy)
                issued = set(_names_in("issued"))
            with (
                open(part, "wb", opener=_for_owner_only) as stream,
                tarfile.open(fileobj=stream, mode="w:gz") as archive,
            ):
                archive.add(copy, f"{TOP}/{DATABASE}")
                files = {DATABASE: _sha256(copy)}
                for name, path in _files_of(issued):
                    archive.add(path, f"{TOP}/{name}", recursive=False)
                    files[name] = _sha256(path)
                archive.addfile(*_entry(PROGRAM, f"{program()}\n"))
                contents = {"program": program(), "files": files, "rows": rows_of(copy)}
                archive.addfile(*_entry(CONTENTS, json.dumps(contents, indent=1)))
                names = archive.getnames()
            sync(part)
        part.replace(target)
        sync(target.parent)
    finally:
        part.unlink(missing_ok=True)
    return names


def clear_unfinished(folder: Path) -> None:
    """Remove what a backup that was killed left half done: copies of the database, and files it was writing
    to in that folder of backups."""
    left = [*folder.glob(f"*{PART}"), *folder.glob(f"{LOCKING}*")]
    for path in (*Path(settings.LOCAL_DIR).glob(f"{SCRATCH}*"), *left):
        if time.time() - path.stat().st_mtime <= OLD_SECONDS:
            continue
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)


def rows_of(database: Path) -> dict[str, int]:
    """Rows of each table of a database file."""
    read = sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)
    try:
        tables = [name for (name,) in read.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: read.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in sorted(tables)}
    finally:
        read.close()


def _entry(name: str, text: str) -> tuple[tarfile.TarInfo, io.BytesIO]:
    """A file of the archive that is written here."""
    content = text.encode()
    entry = tarfile.TarInfo(f"{TOP}/{name}")
    entry.size, entry.mtime = len(content), int(time.time())
    return entry, io.BytesIO(content)


def _files_of(issued: set[str]) -> Iterator[tuple[str, Path]]:
    """The files beside the database, by their names in the archive; without what was issued after it was
    copied."""
    for name in FILES:
        if (path := settings.LOCAL_DIR / name).is_file():
            yield name, path
    for folder in FOLDERS:
        top = settings.LOCAL_DIR / folder
        for path in sorted(top.rglob("*")) if top.is_dir() else ():
            if path.is_file() and (folder != "issued" or path.relative_to(top).parts[0] in issued):
                yield path.relative_to(settings.LOCAL_DIR).as_posix(), path


def _sha256(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _names_in(folder: str) -> list[str]:
    found = settings.LOCAL_DIR / folder
    return [each.name for each in found.iterdir()] if found.is_dir() else []


def _copy_database(copy: Path) -> None:
    """The database as of now, by SQLite's online backup: a plain copy could miss what still lies in its
    log."""
    source = sqlite3.connect(
        f"{Path(connection.settings_dict['NAME']).absolute().as_uri()}?mode=ro", uri=True, timeout=20
    )
    made = sqlite3.connect(copy)
    try:
        source.backup(made)
        made.execute("PRAGMA journal_mode=DELETE")
        (verdict,) = made.execute("PRAGMA integrity_check").fetchone()
    finally:
        source.close()
        made.close()
    if verdict != "ok":
        raise CannotBackUp(
            f"The database is damaged: {verdict}. Keep the last good backup, and look at the disk."
        )


def _for_owner_only(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
