"""One file that holds the whole shop as it stood at one moment, taken while the program runs."""

from __future__ import annotations

import os
import sqlite3
import tarfile
import tempfile
from pathlib import Path

from django.conf import settings
from django.db import connection

DATABASE = "shop.sqlite3"
FOLDERS = ("media", "issued", "authority")
FILES = ("secret_key",)
TOP = "shop"
"""The folder inside the archive: what `CTP_DATA` names after unpacking."""


class CannotBackUp(Exception):
    """Why no backup was made, and what to do; nothing is left behind."""


def back_up(target: Path) -> list[str]:
    """Write the shop's data to `target`, a gzipped tar file only its owner can read; names of its entries.

    The database comes first: a record is stored after the files it names, and files are never rewritten, so
    every file a copied record names is there when the folders are read. Raises CannotBackUp.
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
    part = target.with_name(f"{target.name}.part")
    try:
        with tempfile.TemporaryDirectory(dir=settings.LOCAL_DIR) as scratch:
            copy = Path(scratch) / DATABASE
            _copy_database(copy)
            with (
                open(part, "wb", opener=_for_owner_only) as stream,
                tarfile.open(fileobj=stream, mode="w:gz") as archive,
            ):
                archive.add(copy, f"{TOP}/{DATABASE}")
                for name in (*FILES, *FOLDERS):
                    if (found := settings.LOCAL_DIR / name).exists():
                        archive.add(found, f"{TOP}/{name}")
                names = archive.getnames()
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return names


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
