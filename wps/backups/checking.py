"""A backup opened beside the shop and checked: hashes of files, database, release and audit trail."""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tarfile
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from wps.backups import locked
from wps.backups.archive import CONTENTS, DATABASE, PROGRAM, TOP, rows_of
from wps.documents.vault import SHA256

OWN_APPS = ("qualification", "wps")
NAMES_A_FILE = ("wps_issueddocument", "wps_attachment", "wps_packet")
"""Tables whose column `sha256` names a file of the vault."""
MOST_NAMED = 5


class BadBackup(Exception):
    """Why a file is not taken for a backup of a shop, and what to do."""


@dataclass
class Opened:
    """A backup that was unpacked, and what was found."""

    folder: Path
    made_by: str
    files: int = 0
    rows: int = 0
    problems: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


@contextmanager
def opened(file: Path, passphrase: str, beside: Path) -> Iterator[Opened]:
    """Unpack a backup into a folder of its own in `beside`, readable by its owner only; removed afterwards,
    unless it was moved away. Raises BadBackup and WrongPassphrase."""
    if not file.is_file():
        raise BadBackup(f"{file} is not there. Name the file of the backup.")
    with tempfile.TemporaryDirectory(dir=beside, prefix=".restoring-", ignore_cleanup_errors=True) as scratch:
        plain = file
        if locked.is_locked(file):
            if not passphrase:
                raise BadBackup(f"{file.name} is locked with a passphrase. Give it with --passphrase-file.")
            plain = Path(scratch) / "plain.tar.gz"
            locked.unlock(file, passphrase, plain)
        try:
            _unpack(plain, Path(scratch))
        except (tarfile.TarError, gzip.BadGzipFile, zlib.error, EOFError) as error:
            raise BadBackup(f"{file.name} is damaged or no backup: {error}. Take another one.") from error
        folder = Path(scratch) / TOP
        if not (folder / DATABASE).is_file():
            raise BadBackup(f"{file.name} holds no database of a shop. Take another file.")
        made_by = folder / PROGRAM
        yield Opened(folder, made_by.read_text("utf-8").strip() if made_by.is_file() else "an early release")


def _unpack(plain: Path, scratch: Path) -> None:
    with tarfile.open(plain, mode="r:gz") as archive:
        for entry in archive:
            if not (entry.isfile() or entry.isdir()) or entry.name.split("/")[0] != TOP:
                raise tarfile.TarError(f"{entry.name} does not belong into a backup")
            if entry.size > shutil.disk_usage(scratch).free:
                raise BadBackup(f"The disk of {scratch.parent} is full. Make room, then try again.")
            archive.extract(entry, scratch, filter="data")
    close_to_others(scratch / TOP)


def close_to_others(folder: Path) -> None:
    """Folders 700, files 600; papers of the vault stay unwritable."""
    for path in [folder, *folder.rglob("*")]:
        is_paper = path.is_file() and path.parent.name == "issued"
        path.chmod(0o700 if path.is_dir() else 0o400 if is_paper else 0o600)


def refuse_newer(database: Path, made_by: str) -> None:
    """Raises BadBackup for a database that a newer release of the program has worked on."""
    if unknown := unknown_of(_applied(database)):
        raise BadBackup(
            f"The backup was made by {made_by}, a newer program than this one"
            f" ({', '.join(unknown[:MOST_NAMED])} unknown here). Install that release, then restore."
        )


def _applied(database: Path) -> list[tuple[str, str]]:
    read = sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)
    try:
        return read.execute("SELECT app, name FROM django_migrations").fetchall()
    except sqlite3.DatabaseError as error:
        raise BadBackup(f"The database of the backup cannot be read: {error}. Take another one.") from error
    finally:
        read.close()


def unknown_of(applied: list[tuple[str, str]]) -> list[str]:
    """Steps of this program's database that this release does not have."""
    known = MigrationLoader(None).disk_migrations
    return [f"{app} {name}" for app, name in applied if app in OWN_APPS and (app, name) not in known]


def is_newer(applied: list[tuple[str, str]]) -> str:
    """Why this release does not touch a database with these steps, and what to do; empty where it knows
    them."""
    if unknown := unknown_of(applied):
        return (
            "This database was last used by a newer program than this one"
            f" ({', '.join(unknown[:3])} unknown here). Start that release, or restore a backup made by"
            " this one: manage.py restore FILE --replace"
        )
    return ""


def problem_with_the_database() -> str:
    """Why this release cannot work on the shop's database as it is, and what to do; empty when it can."""
    executor = MigrationExecutor(connection)
    if problem := is_newer(list(executor.loader.applied_migrations)):
        return problem
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return (
            "This database is of an earlier release of the program, or new. Run manage.py migrate first: it"
            " backs the shop up and brings it to this release."
        )
    return ""


def check(backup: Opened) -> None:
    """Check everything; what is wrong is added to its problems. Raises BadBackup for a newer program's."""
    refuse_newer(backup.folder / DATABASE, backup.made_by)
    _check_files(backup)
    _check_database(backup)
    if not backup.problems:
        _check_trail(backup)


def _check_files(backup: Opened) -> None:
    stated = _contents(backup)
    for path in sorted(backup.folder.rglob("*")):
        name = path.relative_to(backup.folder).as_posix()
        if not path.is_file() or name in (PROGRAM, CONTENTS):
            continue
        with path.open("rb") as stream:
            found = hashlib.file_digest(stream, "sha256").hexdigest()
        backup.files += 1
        if stated and stated["files"].get(name) != found:
            backup.problems.append(f"{name} is not as it was backed up.")
        elif path.parent.name == "issued" and SHA256.fullmatch(path.stem) and path.stem != found:
            backup.problems.append(f"{name} is not the paper it was stored as.")
    for name in stated.get("files", ()) if stated else ():
        if not (backup.folder / name).is_file():
            backup.problems.append(f"{name} is missing.")


def _contents(backup: Opened) -> dict[str, Any]:
    """What the backup says it holds; empty for one of an early release, which says nothing."""
    try:
        read = json.loads((backup.folder / CONTENTS).read_text("utf-8"))
        return read if isinstance(read["files"], dict) and isinstance(read["rows"], dict) else {}
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        return {}


def _check_database(backup: Opened) -> None:
    database = backup.folder / DATABASE
    read = sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)
    try:
        (verdict,) = read.execute("PRAGMA integrity_check").fetchone()
        if verdict != "ok" or read.execute("PRAGMA foreign_key_check").fetchone():
            backup.problems.append(f"The database is damaged: {verdict}.")
            return
        kept = {path.stem for path in (backup.folder / "issued").glob("*")}
        for table in NAMES_A_FILE:
            for (sha256,) in read.execute(f"SELECT sha256 FROM {table} WHERE sha256 <> ''"):
                if sha256 not in kept:
                    backup.problems.append(f"The paper {sha256[:16]} that {table} names is missing.")
    except sqlite3.DatabaseError as error:
        backup.problems.append(f"The database cannot be read: {error}.")
        return
    finally:
        read.close()
    rows, stated = rows_of(database), _contents(backup).get("rows")
    backup.rows = sum(rows.values())
    if stated and stated != rows:
        backup.problems.append("The tables have other counts of rows than were backed up.")


def _check_trail(backup: Opened) -> None:
    """Bring the copy to this release and check its trail, by the program itself, in a process whose shop the
    copy is."""
    status, said = 0, ""
    if set(MigrationLoader(None).disk_migrations) - set(_applied(backup.folder / DATABASE)):
        status, said = on_the_copy(backup.folder, "migrate", "--verbosity", "0", "--without-backup")
    if status == 0:
        status, said = on_the_copy(backup.folder, "audit")
    backup.said.append(said)
    if status != 0:
        backup.problems.append(said or "The program could not open the copy.")


def on_the_copy(folder: Path, *words: str) -> tuple[int, str]:
    """Run a command of the program on an unpacked backup; its status, and the end of what it said."""
    own = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "CTP_SHARED_AT")}
    run = subprocess.run(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *words],
        env={**own, "CTP_DATA": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    lines = (run.stdout if run.returncode == 0 else run.stdout + run.stderr).strip().splitlines()
    return run.returncode, re.sub(r"\s+", " ", " ".join(lines[-2:]))


def database_is_here() -> bool:
    """Whether the shop's database is a file of its folder, which is what a backup holds."""
    return connection.vendor == "sqlite"
