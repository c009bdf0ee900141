"""The shop's audit trail checked against its own entries and against every paper in the vault."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path

from django.conf import settings

from qualification.records.audit import head_from
from qualification.records.audit_check import TrailReport, Witness, check_trail
from wps.background.tasks import Progress
from wps.documents.checking import PACKET_FILE
from wps.documents.render import RECORD_FILE
from wps.pdf.attached_files import attachments_of
from wps.pdf.unreadable import NotReadable
from wps.reading.bounded_json import NotBounded, read_json

TASK = "audit"


class TrailBroken(Exception):
    """The trail does not hold; the message says where and why."""

    is_for_people = True


def check_shop_trail(copies: Iterable[Witness] = ()) -> TrailReport:
    """Check the whole trail, with every issued paper as a witness, and copies that others hold."""
    return check_trail(chain(witnesses(), copies))


def check_in_background(subject_id: int, progress: Progress) -> None:
    """What the queue calls for a task of the kind `audit`. Raises TrailBroken."""
    report = check_shop_trail()
    if not report.holds:
        raise TrailBroken(" ".join(report.sentences))
    progress(1, 1)


def witnesses() -> Iterator[Witness]:
    """The ends that papers in the vault name, by the files alone: rows of the database could be gone with the
    entries. Whatever this shop did not seal itself is no witness, and a damaged file is found when it is
    opened, signed or checked."""
    folder = Path(settings.ISSUED_DIR)
    for path in sorted(folder.glob("*.pdf")) if folder.is_dir() else ():
        if (found := witness_in(path)) is not None:
            yield found


def witness_in(path: Path) -> Witness | None:
    """The end that one paper names, such as a customer's copy; `None` where this shop sealed none in it."""
    try:
        with attachments_of(path.read_bytes()) as attached:
            name = next((each for each in (RECORD_FILE, PACKET_FILE) if each in attached), None)
            stated = read_json(attached[name]) if name else None
    except (NotReadable, NotBounded, OSError):
        return None
    if not isinstance(stated, dict) or (found := head_from(stated.get("audit"))) is None:
        return None
    return Witness(_name(stated), found)


def _name(stated: dict[str, object]) -> str:
    content = stated.get("content")
    if isinstance(content, dict):
        return f"{content.get('number')} rev {content.get('revision')}"
    return f"packet {stated.get('number')}"
