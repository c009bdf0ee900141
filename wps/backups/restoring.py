"""Bringing a shop back from a backup: all is checked beside the present data, then put in its place."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.db import DatabaseError, connection
from django.utils import timezone

from qualification.models import Shop
from qualification.on_disk import sync
from qualification.records.audit import append
from wps.backups import checking
from wps.backups.archive import DATABASE, FILES, FOLDERS
from wps.backups.checking import BadBackup, Opened
from wps.local_files import SERVING

LEFTOVERS = (f"{DATABASE}-wal", f"{DATABASE}-shm", f"{DATABASE}-journal")


class CannotRestore(Exception):
    """Why nothing was restored, and what to do; the present data are as they were."""


def restore(file: Path, passphrase: str = "", *, over_a_shop: bool = False) -> tuple[Opened, Path | None]:
    """Put the shop of a backup in the place of this one. The data that were here are kept in a folder beside,
    which is returned. Raises CannotRestore, BadBackup and WrongPassphrase."""
    local = Path(settings.LOCAL_DIR)
    if not checking.database_is_here():
        raise CannotRestore(
            "This shop's database is not kept in its folder. Restore it with its own tools (pg_restore for"
            f" PostgreSQL), and the folder {local} from its copy."
        )
    if _is_a_shop() and not over_a_shop:
        raise CannotRestore(
            f"There is a shop in {local} already. To put the backup in its place, say --replace; its data are"
            " kept in a folder beside. To open the backup elsewhere, name another folder:"
            f" CTP_DATA=another-folder manage.py restore {file}"
        )
    with _alone(local), checking.opened(file, passphrase, local) as backup:
        checking.check(backup)
        if backup.problems:
            raise BadBackup(" ".join(["Nothing was restored.", *backup.problems[: checking.MOST_NAMED]]))
        connection.close()
        before = _swap(backup.folder, local)
    _note(file, backup)
    return backup, before


def _is_a_shop() -> bool:
    try:
        return User.objects.exists() or Shop.objects.exists()
    except DatabaseError:
        return False  # not made yet


@contextmanager
def _alone(local: Path) -> Iterator[None]:
    """Keep the server out while the data change. Raises CannotRestore while it runs."""
    with open(local / SERVING, "ab", opener=lambda path, flags: os.open(path, flags, 0o600)) as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise CannotRestore("The program is running. Stop it, then restore.") from error
        yield


def _swap(unpacked: Path, local: Path) -> Path | None:
    """Move what is here aside, and what was unpacked here. Both lie on one disk, so each move is at once."""
    before = local / f"before-restore-{timezone.now():%Y%m%d-%H%M%S}"
    before.mkdir(mode=0o700)
    for name in (DATABASE, *LEFTOVERS, *FILES, *FOLDERS):
        if (present := local / name).exists():
            present.rename(before / name)
    for name in (DATABASE, *FILES, *FOLDERS):
        if (brought := unpacked / name).exists():
            brought.rename(local / name)
    sync(local)
    return before


def _note(file: Path, backup: Opened) -> None:
    data = {"file": file.name, "made_by": backup.made_by, "rows": backup.rows, "files": backup.files}
    append("restore", "shop", Shop.ONLY_ID, Shop.current().name[:120], "Command line", data)
