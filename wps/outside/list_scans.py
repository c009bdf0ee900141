"""Scans that come in with a list of records: looked at, kept beside the list with whose paper each is, and
attached when the list is imported."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext

from qualification.roles import Person
from wps.documents import vault
from wps.documents.attachments import SUFFIXES, AttachmentRefused, Kept, attach_kept, look_at
from wps.documents.kinds import KINDS
from wps.documents.left_over import take_back
from wps.models import Attachment, AttachmentKind, ListImport, ListScan
from wps.outside.import_columns import RECORDS, TESTS, WELDER_TESTS
from wps.outside.scan_names import Numbers
from wps.reading.papers import Looked

MOST_AT_ONCE = 50
"""Files taken in one go; more follow in another."""
MOST_BYTES_AT_ONCE = 200_000_000
KIND_OF = {TESTS: "procedure-test", WELDER_TESTS: "welder-test", "procedures": "procedure"}
"""Kinds of record by what the list holds."""


class ScansRefused(Exception):
    """No file was kept; what is wrong with each, by its name (empty for all of them together)."""

    def __init__(self, reasons: Sequence[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{name}: {why}" for name, why in reasons))
        self.reasons = reasons


@dataclass(frozen=True)
class Placed:
    """A scan and whose paper it is."""

    scan: ListScan
    fits: Sequence[str]
    """Numbers of records its name fits."""
    is_of_list: bool
    """Whether the one number is of a row of the list, not only of a record on file."""
    is_there: bool = False
    """Whether the record has the very file already."""

    @property
    def number(self) -> str:
        """The record it will be attached to; empty for none."""
        return self.fits[0] if len(self.fits) == 1 and self.is_of_list else ""

    @property
    def is_new(self) -> bool:
        """Whether the import attaches it."""
        return bool(self.number) and not self.is_there


def look_at_scans(target: str, files: Sequence[UploadedFile[Any]]) -> list[Looked]:
    """What each file is, before a byte of any is kept. Raises ScansRefused, naming all that are refused."""
    if files and target not in RECORDS:
        words = gettext("Scans come in with procedures, procedure tests and welder tests only.")
        raise ScansRefused([("", words)])
    size = sum(file.size or 0 for file in files)
    if len(files) > MOST_AT_ONCE or size > MOST_BYTES_AT_ONCE:
        words = gettext(
            "These are %(files)s files of %(size)s MB. Choose at most %(most)s files of %(largest)s MB"
            " together, and add the others afterwards."
        )
        told = {"files": len(files), "size": -(-size // 10**6)}
        raise ScansRefused(
            [("", words % {**told, "most": MOST_AT_ONCE, "largest": MOST_BYTES_AT_ONCE // 10**6})]
        )
    looked, refused = [], []
    for file in files:
        try:
            looked.append(look_at(file.read()))
        except AttachmentRefused as why:
            refused.append((file.name or "", str(why)))
    if refused:
        raise ScansRefused(refused)
    return looked


@transaction.atomic
def keep_scans(listed: ListImport, files: Sequence[UploadedFile[Any]], looked: Sequence[Looked]) -> None:
    """Keep files that were looked at beside the list; one of the same name takes the place of the earlier."""
    for file, found in zip(files, looked, strict=True):
        file.seek(0)
        content = file.read()
        stored = {
            "sha256": vault.store(content, SUFFIXES[found.media_type]),
            "media_type": found.media_type,
            "size": len(content),
            "pages": found.pages,
        }
        name = (file.name or "")[-160:]
        let_go(listed.scans.filter(filename=name).exclude(sha256=stored["sha256"]))
        ListScan.objects.update_or_create(listed=listed, filename=name, defaults=stored)


@transaction.atomic
def let_go(scans: QuerySet[ListScan]) -> None:
    """Scans wait beside their list no more; a file that nothing else names goes."""
    hashes = set(scans.values_list("sha256", flat=True))
    scans.delete()
    take_back(hashes)


@transaction.atomic
def drop_lists(lists: QuerySet[ListImport]) -> None:
    """Lists that are imported, or not wanted, with the scans that wait beside them."""
    let_go(ListScan.objects.filter(listed__in=lists))
    lists.delete()


def placed(listed: ListImport, numbers: Iterable[str]) -> list[Placed]:
    """Where each scan of the list goes, its rows having those numbers. Numbers on file count too: a paper of
    a record that the list does not name must not go to one with a shorter number."""
    scans = list(listed.scans.all())
    if not scans:
        return []
    kind, mine = KIND_OF[listed.target], set(numbers)
    every = Numbers(mine | set(KINDS[kind].objects.order_by().values_list("number", flat=True)))
    there = set(
        Attachment.objects.filter(
            record_kind=kind, sha256__in={scan.sha256 for scan in scans}, set_aside_because=""
        ).values_list("record_number", "sha256")
    )
    found = []
    for scan in scans:
        fits = every.fitting(scan.filename)
        is_of_list = len(fits) == 1 and fits[0] in mine
        found.append(Placed(scan, fits, is_of_list, is_of_list and (fits[0], scan.sha256) in there))
    return found


def attach_scans(listed: ListImport, scans: Iterable[Placed], person: Person) -> None:
    """Attach each to its record, as the record on paper."""
    for each in scans:
        scan = each.scan
        attach_kept(
            Kept(scan.media_type, scan.pages, scan.size, scan.sha256),
            scan.filename,
            person,
            kind=AttachmentKind.SCAN,
            title=scan.filename,
            record_kind=KIND_OF[listed.target],
            record_number=each.number,
        )
