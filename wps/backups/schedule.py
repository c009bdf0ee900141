"""The backups the program makes by itself: one a day while the server runs, and one before each change of the
database by an upgrade."""

from __future__ import annotations

import os
import re
import shutil
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from qualification.models import Shop
from qualification.models.audit import AuditEntry
from qualification.on_disk import sync
from qualification.records.audit import append
from wps.background.tasks import Progress
from wps.backups import locked
from wps.backups.archive import PART, CannotBackUp, back_up, clear_unfinished
from wps.backups.checking import database_is_here
from wps.models import BackupPlan

TASK = "backup"
FOLDER = "backups"
DAILY, BEFORE = "shop", "before-upgrade"
KEPT_BEFORE_UPGRADES = 5
OURS = re.compile(r"(shop|before-upgrade)-(\d{8}-\d{6})(\.age\.tar|\.tar\.gz)")


class NotBackedUp(Exception):
    """The daily backup was not made, or not copied; the message says why and what to do."""

    is_for_people = True


def is_wanted() -> bool:
    """Whether the program can back this shop up."""
    return database_is_here()


def own_folder() -> Path:
    """Where the program keeps the backups it makes by itself."""
    return Path(settings.LOCAL_DIR) / FOLDER


def back_up_in_background(subject_id: int, progress: Progress) -> None:
    """What the queue calls for a task of the kind `backup`. Raises NotBackedUp."""
    plan = BackupPlan.current()
    try:
        made = make(DAILY)
    except (CannotBackUp, OSError) as error:
        raise NotBackedUp(
            f"No backup was made: {error} Make room or mend the disk, then try again."
        ) from error
    progress(1, 2)
    _keep_newest(own_folder(), DAILY, plan.kept)
    note(made.name, "Program")
    if plan.folder:
        try:
            _copy(made, Path(plan.folder))
        except OSError as error:
            raise NotBackedUp(
                f"The backup {made.name} lies on this computer alone: it could not be copied to {plan.folder}"
                f" ({error.strerror}). Connect that disk, or name another folder under Shop, Backups."
            ) from error
        _keep_newest(Path(plan.folder), DAILY, plan.kept)
    progress(2, 2)


def make(beginning: str) -> Path:
    """One backup in the program's own folder, locked where the shop has a passphrase. Raises CannotBackUp."""
    folder = own_folder()
    folder.mkdir(mode=0o700, exist_ok=True)
    clear_unfinished(folder)
    return write(folder / f"{beginning}-{timezone.now():%Y%m%d-%H%M%S}")


def write(beginning: Path) -> Path:
    """One backup under that name and the ending of its kind. Raises CannotBackUp."""
    if not locked.has_key():
        plain = beginning.with_name(f"{beginning.name}.tar.gz")
        back_up(plain)
        return plain
    # Killed before it is locked, it is no backup that lies open beside the locked ones.
    plain = beginning.with_name(f"{beginning.name}.tar.gz{PART}")
    sealed = beginning.with_name(f"{beginning.name}.age.tar")
    try:
        back_up(plain)
        locked.lock(plain, sealed)
    finally:
        plain.unlink(missing_ok=True)
    return sealed


def before_upgrade() -> Path:
    """The backup made before the database is changed. Raises CannotBackUp."""
    made = make(BEFORE)
    _keep_newest(own_folder(), BEFORE, KEPT_BEFORE_UPGRADES)
    return made


def note(name: str, by: str) -> None:
    """Put into the audit trail that a backup was made."""
    append("backup", "shop", Shop.ONLY_ID, Shop.current().name[:120], by, {"file": name})


def present() -> list[Path]:
    """The program's own backups, newest first."""
    folder = own_folder()
    found = [path for path in folder.iterdir() if OURS.fullmatch(path.name)] if folder.is_dir() else []
    return sorted(found, key=_moment, reverse=True)


def overdue_days() -> int | None:
    """Days since the last backup, once they are more than the shop wants; `None` while all is well, or the
    shop is younger than that."""
    plan = BackupPlan.current()
    backups = AuditEntry.objects.filter(record_kind="shop", verb="backup")
    last = backups.order_by("-number").first() or AuditEntry.objects.order_by("number").first()
    if last is None or not is_wanted():
        return None
    gone = timezone.now() - last.at
    return gone.days if gone > timedelta(days=plan.warn_days) else None


def _copy(made: Path, folder: Path) -> None:
    """Whole or not at all, and readable by its owner only."""
    part = folder / f"{made.name}.part"
    try:
        with made.open("rb") as source, open(part, "wb", opener=locked.for_owner_only) as target:
            shutil.copyfileobj(source, target)
            target.flush()
            os.fsync(target.fileno())
        part.replace(folder / made.name)
        sync(folder)
    finally:
        part.unlink(missing_ok=True)


def _keep_newest(folder: Path, beginning: str, count: int) -> None:
    """Remove the oldest of the program's own backups of one sort; nothing else in the folder is touched."""
    named = [
        path for path in folder.iterdir() if (found := OURS.fullmatch(path.name)) and found[1] == beginning
    ]
    for path in sorted(named, key=_moment, reverse=True)[count:]:
        path.unlink()


def _moment(path: Path) -> str:
    found = OURS.fullmatch(path.name)
    return found[2] if found else ""
