"""Files of the vault that belong to no record.

A paper is written before its record is stored, so that a record never names a file that is not there; when
the computer stops in between, the work is done again and the first file stays. A packet that is assembled
anew leaves its earlier file in the same way. Nobody was given either. What somebody brought and takes back,
such as a scan of a list that is not imported, goes at once.
"""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import OperationalError, transaction
from django.db.models import Field, Model

from qualification.models import Shop
from qualification.models.audit import AuditEntry
from qualification.records.audit import append, wait_for_the_end_of_the_chain
from wps.documents import vault
from wps.documents.trail import witness_in

OLD_SECONDS = 60 * 60
"""A younger file may be of somebody who was just stopped, and is looked at before."""
TRIES, PAUSE_SECONDS = 20, 0.1
"""How often, and after how long again, whoever takes out tries to be alone with the vault."""


class VaultInUse(Exception):
    """Nothing was taken out, since others put files in all the while or a backup runs; the message says what
    to do."""


@dataclass(frozen=True)
class LeftOver:
    """One such file."""

    path: Path
    size: int


def named_files() -> set[str]:
    """The hashes that rows of the program's tables name: every column whose name says that it holds one."""
    found: set[str] = set()
    for model, field in _naming_columns():
        found.update(model._default_manager.order_by().values_list(field.name, flat=True).distinct())
    return found - {""}


def _naming_columns() -> Iterator[tuple[type[Model], Field[Any, Any]]]:
    for app in ("qualification", "wps"):
        for model in apps.get_app_config(app).get_models():
            yield from ((model, each) for each in model._meta.concrete_fields if "sha256" in each.name)


def _not_named(hashes: Collection[str]) -> set[str]:
    """Those that neither a row nor the audit trail names."""
    left = set(hashes)
    for model, field in _naming_columns():
        named = model._default_manager.order_by().filter(**{f"{field.name}__in": left})
        left -= set(named.values_list(field.name, flat=True))
    entries = AuditEntry.objects.filter(data__sha256__in=sorted(left))
    return left - set(entries.values_list("data__sha256", flat=True))


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
    unnamed = _not_named(unnamed)
    return [LeftOver(path, path.stat().st_size) for path in old if path.stem in unnamed]


def clear_left_over(by: str) -> tuple[list[LeftOver], list[LeftOver]]:
    """Remove them, and note it in the trail: what was removed, and what was not. A paper that names an end
    the trail does not have is the witness of entries, or of a whole database, that are missing: it stays.
    Raises VaultInUse."""
    for _ in range(TRIES):
        # The trail's lock comes first: who puts in may hold it, and then waits for nobody who takes out.
        with transaction.atomic():
            wait_for_the_end_of_the_chain()
            with vault.taking_out() as is_alone:
                if is_alone:
                    return _clear(left_over(), by)
        time.sleep(PAUSE_SECONDS)
    raise VaultInUse("Papers are being stored or backed up. Nothing was removed; try again in a minute.")


def _clear(found: list[LeftOver], by: str) -> tuple[list[LeftOver], list[LeftOver]]:
    kept = [each for each in found if not _is_of_this_trail(each.path)]
    gone = [each for each in found if each not in kept]
    if gone:
        files = {"files": [each.path.name for each in gone]}
        append("clear_left_over", "shop", Shop.ONLY_ID, Shop.current().name[:120], by, files)
        for each in gone:
            each.path.unlink(missing_ok=True)
    return gone, kept


def take_back(hashes: Collection[str]) -> None:
    """What somebody brought is not wanted any more: once that is stored, its files go where nothing else
    names them. What cannot be told just then stays, to be found left over."""
    if hashes:
        transaction.on_commit(lambda: _take_back(hashes), robust=True)


def _take_back(hashes: Collection[str]) -> None:
    for _ in range(TRIES):
        try:
            with vault.taking_out() as is_alone:
                if is_alone:
                    for path in _files_of(_not_named(hashes)):
                        path.unlink(missing_ok=True)
                    return
        except OperationalError:  # somebody writes for longer than anybody waits
            return
        time.sleep(PAUSE_SECONDS)


def _files_of(hashes: Collection[str]) -> Iterator[Path]:
    for sha256 in hashes:
        for path in Path(settings.ISSUED_DIR).glob(f"{sha256}.*"):
            if _is_of_this_trail(path):
                yield path


def _is_of_this_trail(path: Path) -> bool:
    named = witness_in(path)
    if named is None:
        return True
    number, end = named.head.entries, named.head.end
    return number == 0 or AuditEntry.objects.filter(number=number, hash=end).exists()
