"""Files of the vault that belong to no record.

A paper is written before its record is stored, so that a record never names a file that is not there; when
the computer stops in between, the work is done again and the first file stays. A packet that is assembled
anew leaves its earlier file in the same way. Nobody was given either.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import transaction

from qualification.models import Shop
from qualification.models.audit import AuditEntry
from qualification.records.audit import append
from wps.documents import vault
from wps.documents.trail import witness_in

OLD_SECONDS = 60 * 60
"""A younger file may be of somebody who is storing its record now."""


@dataclass(frozen=True)
class LeftOver:
    """One such file."""

    path: Path
    size: int


def named_files() -> set[str]:
    """The hashes that rows of the program's tables name: every column whose name says that it holds one."""
    found: set[str] = set()
    for app in ("qualification", "wps"):
        for model in apps.get_app_config(app).get_models():
            for field in model._meta.concrete_fields:
                if "sha256" in field.name:
                    rows = model._default_manager.order_by().values_list(field.name, flat=True)
                    found.update(rows.distinct())
    return found - {""}


def left_over() -> list[LeftOver]:
    """Files older than an hour that neither a record nor the audit trail names, by name. One that the trail
    names had a record once, and is kept."""
    folder, now = Path(settings.ISSUED_DIR), time.time()
    # The folder is read first: what is stored meanwhile is then named, and not the other way around.
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    old = [
        path
        for path in files
        if vault.SHA256.fullmatch(path.stem) and now - path.stat().st_mtime > OLD_SECONDS
    ]
    if not old or not (unnamed := {path.stem for path in old} - named_files()):
        return []
    entries = AuditEntry.objects.filter(data__sha256__in=sorted(unnamed))
    unnamed -= set(entries.values_list("data__sha256", flat=True))
    return [LeftOver(path, path.stat().st_size) for path in old if path.stem in unnamed]


def clear_left_over(by: str) -> tuple[list[LeftOver], list[LeftOver]]:
    """Remove them, and note it in the trail: what was removed, and what was not. A paper that names an end
    the trail does not have is the witness of entries, or of a whole database, that are missing: it stays."""
    found = left_over()
    kept = [each for each in found if not _is_of_this_trail(each.path)]
    gone = [each for each in found if each not in kept]
    if gone:
        with transaction.atomic():
            append(
                "clear_left_over",
                "shop",
                Shop.ONLY_ID,
                Shop.current().name[:120],
                by,
                {"files": [each.path.name for each in gone]},
            )
        for each in gone:
            each.path.unlink(missing_ok=True)
    return gone, kept


def _is_of_this_trail(path: Path) -> bool:
    named = witness_in(path)
    if named is None:
        return True
    number, end = named.head.entries, named.head.end
    return number == 0 or AuditEntry.objects.filter(number=number, hash=end).exists()
