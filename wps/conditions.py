"""What the program needs of its machine: room, a database that takes entries, fonts, background work, a clock
that is right, no password that everybody knows. Each condition is looked at now and answered in a sentence
that says what to do."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.db import DatabaseError, connection, transaction
from django.db.models import Q
from django.utils import timezone

from qualification.models import Shop
from qualification.models.audit import AuditEntry
from wps.backups import schedule
from wps.demo.people import standing_sign_ins
from wps.documents.left_over import left_over
from wps.models import BackgroundTask, TaskState
from wps.serving.ways import is_reached_from_outside

GOOD, OPEN, BAD = "covered", "unknown", "not_covered"
"""In order; worth a look; in the way of work. Named as the shapes that stand beside them."""
LEAST_MB, LITTLE_MB = 200, 2_000
"""Room below which papers and backups may not be written, and below which somebody makes room in time."""
WAITED_LONG = timedelta(minutes=2)
"""A task is started within seconds while the server runs."""
CLOCK_MAY_DIFFER = timedelta(minutes=2)
FONTS = ("fonts/plex-sans-regular.ttf", "fonts/plex-sans-semibold.ttf", "fonts/plex-mono-regular.ttf")


@dataclass(frozen=True)
class Condition:
    """One thing the program needs, and how it stands."""

    what: str
    state: str
    words: str

    @property
    def state_words(self) -> str:
        """The state as the page says it."""
        return {GOOD: "In order", OPEN: "Worth a look", BAD: "Mend this"}[self.state]


def data_folder() -> Condition:
    """Whether database, uploads, papers and keys can be written."""
    what, folder = "Data folder", Path(settings.LOCAL_DIR)
    try:
        with tempfile.NamedTemporaryFile(dir=folder):
            pass
    except OSError as error:
        return Condition(
            what,
            BAD,
            f"{folder} takes no files ({error.strerror}). Mend the disk, or let the account that runs the"
            " program write there; until then nothing is saved.",
        )
    return Condition(what, GOOD, f"{folder} takes files.")


def room_on_disk() -> Condition:
    """Whether papers and backups fit."""
    what, free = "Room on the disk", shutil.disk_usage(settings.LOCAL_DIR).free // 1_000_000
    if free < LEAST_MB:
        return Condition(what, BAD, f"{free} MB are left. Make room now: papers and backups may not fit.")
    if free < LITTLE_MB:
        return Condition(what, OPEN, f"{free} MB are left. Make room soon.")
    return Condition(what, GOOD, f"{free / 1000:,.0f} GB are left.")


def database() -> Condition:
    """Whether the database takes entries."""
    what = "Database"
    try:
        with transaction.atomic():
            # Changes nothing, and needs the same lock and the same rights as a change.
            Shop.objects.filter(pk=0).update(name="")
    except DatabaseError as error:
        return Condition(what, BAD, trouble_with(error) or f"It answered: {error}")
    return Condition(what, GOOD, f"{connection.vendor} takes entries.")


def fonts() -> Condition:
    """Whether papers look as they should."""
    missing = [name for name in FONTS if finders.find(name) is None]
    if missing:
        return Condition(
            "Fonts", BAD, f"Missing: {', '.join(missing)}. Install the program again; papers would be misset."
        )
    return Condition("Fonts", GOOD, "The program's own fonts are in place.")


def background_work() -> Condition:
    """Whether papers, packets and checks get done."""
    what, now = "Work in the background", timezone.now()
    waiting = BackgroundTask.objects.filter(state=TaskState.WAITING).order_by("asked_at").first()
    if waiting is not None and now - waiting.asked_at > WAITED_LONG:
        minutes = int((now - waiting.asked_at).total_seconds() // 60)
        if _goes_on(now):
            count = BackgroundTask.objects.filter(state=TaskState.WAITING).count()
            tasks = f"{count} tasks wait their turn" if count > 1 else "1 task waits its turn"
            return Condition(what, GOOD, f"Work goes on; {tasks}, the first for {minutes} minutes.")
        return Condition(
            what,
            BAD,
            f"“{waiting.label}” has waited for {minutes} minutes. Start the program again with ./run; beside"
            " another server, let manage.py work run every minute.",
        )
    return Condition(what, GOOD, "Nothing waits for long.")


def _goes_on(now: datetime) -> bool:
    """Whether somebody works on a task, or has ended one not long ago: then the others wait their turn."""
    since = now - WAITED_LONG
    lives = Q(state=TaskState.RUNNING, alive_at__gt=since) | Q(finished_at__gt=since)
    return BackgroundTask.objects.filter(lives).exists()


def clock() -> Condition:
    """Whether the clock was set back: validity, continuity and signatures rest on the day it says."""
    last, now = AuditEntry.objects.order_by("-number").first(), timezone.now()
    if last is not None and last.at > now + CLOCK_MAY_DIFFER:
        return Condition(
            "Clock",
            BAD,
            f"It says {timezone.localtime(now):%Y-%m-%d %H:%M}, and the last entry of the audit trail is of"
            f" {timezone.localtime(last.at):%Y-%m-%d %H:%M}. Set the clock of this computer before anybody"
            " approves or signs.",
        )
    return Condition("Clock", GOOD, f"{timezone.localtime(now):%Y-%m-%d %H:%M}, {settings.TIME_ZONE}.")


def backups() -> Condition:
    """Whether there is something to come back to."""
    if not schedule.is_wanted():
        return Condition("Backups", OPEN, "The database server's own tools make them.")
    days = schedule.overdue_days()
    if days is not None:
        return Condition("Backups", OPEN, f"None for {days} days. Look under Shop, Backups.")
    return Condition("Backups", GOOD, "As often as the shop wants.")


def papers() -> Condition:
    """Whether every file of a paper belongs to a record."""
    found = left_over()
    if not found:
        return Condition("Files of papers", GOOD, "Each belongs to a record.")
    are = "1 file belongs" if len(found) == 1 else f"{len(found)} files belong"
    return Condition(
        "Files of papers",
        OPEN,
        f"{are} to no record ({sum(each.size for each in found) / 1e6:.1f} MB): written when the computer"
        " stopped, and made again afterwards. Nobody was given them. Whoever runs the server lists them with"
        " manage.py left_over, and takes them away with --remove.",
    )


def demo_passwords() -> Condition:
    """Whether strangers can sign in with passwords that everybody knows."""
    what, names = "Demo passwords", ", ".join(standing_sign_ins())
    if not names:
        return Condition(what, GOOD, "They open nothing here.")
    if is_reached_from_outside(os.environ):
        return Condition(
            what,
            BAD,
            f"Others reach this program, and the demo passwords still open it ({names}). Change them, or"
            " switch these sign-ins off, under Shop, People.",
        )
    return Condition(
        what,
        OPEN,
        f"They still open this shop ({names}), which only this computer reaches. Change them under Shop,"
        " People, before others do.",
    )


CONDITIONS: tuple[Callable[[], Condition], ...] = (
    data_folder,
    room_on_disk,
    database,
    fonts,
    background_work,
    clock,
    backups,
    papers,
    demo_passwords,
)


def conditions() -> list[Condition]:
    """All of them, looked at now."""
    return [look() for look in CONDITIONS]


FULL = "The disk is full. Whoever runs the server makes room on it."
READ_ONLY = "The data cannot be written. Whoever runs the server mends the disk, or the rights of the folder."
HELD = "Another program holds the database. Wait a minute; if that does not help, start the program again."
SILENT = "The database server does not answer. Whoever runs it starts it again."
SIGNS = {
    "disk is full": FULL,
    "no space left": FULL,
    "disk quota": FULL,
    "readonly": READ_ONLY,
    "read-only": READ_ONLY,
    "unable to open": READ_ONLY,
    "database is locked": HELD,
    "connection": SILENT,
}
"""What databases and systems say, and what it means for people."""


def trouble_with(error: BaseException | None) -> str:
    """What to do about a fault that lies with the machine and not with the program; empty for any other."""
    if not isinstance(error, (DatabaseError, OSError)):
        return ""
    said = str(error).lower()
    return next((words for sign, words in SIGNS.items() if sign in said), "")
