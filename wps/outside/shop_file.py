"""The whole shop as one file of open formats: every record as JSON, every paper as it is, and the hash of
each. A backup (`wps/backups/`) is a copy of the database for this program; this file is for moving to another
database, and for reading without the program.

The same shop gives the same bytes. The file holds passwords' hashes and the keys of trail and signatures, so
it is as secret as a backup.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core import serializers
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction

from qualification.models.change_mark import ChangeMark
from qualification.rules.core.program import program

FORMAT = "coupon-to-paper-shop/1"
RECORDS, CONTENTS, FILES = "shop.json", "contents.json", "files"
FOLDERS, KEYS = ("media", "issued", "authority"), ("audit_key",)
"""What lies beside the database and belongs to the shop; certificates of the network and the key of sign-ins
belong to the machine."""
WORKED_OUT = {
    "qualification.keptstandings",
    "wps.backgroundtask",
    "wps.filecheck",
    "wps.listimport",
    "wps.listscan",
    "wps.searchdue",
    "wps.searchentry",
    "wps.searchplace",
    "wps.searchword",
    "wps.weldimport",
}
"""Models that are made again from the others, or hold work under way."""
_SAME_DAY = (1980, 1, 1, 0, 0, 0)


class CannotExport(Exception):
    """Why no file was written, and what to do."""


def models_of_the_shop() -> list[type[models.Model]]:
    """Every model that goes along, in one order."""
    own = [
        model
        for app in ("qualification", "wps", "otp_static", "otp_totp")
        for model in apps.get_app_config(app).get_models()
        if model is not ChangeMark and model._meta.label_lower not in WORKED_OUT
    ]
    return [Group, User, *sorted(own, key=lambda model: model._meta.label_lower)]


def rows_of_the_shop() -> dict[str, list[dict[str, Any]]]:
    """Every row of every model, as plain values."""
    return {
        model._meta.label_lower: serializers.serialize(
            "python", model._default_manager.order_by("pk").iterator(chunk_size=500)
        )
        for model in models_of_the_shop()
    }


def export_shop(target: Path) -> dict[str, int]:
    """Write the whole shop to `target`, which only its owner can read; how many rows of each model. Raises
    CannotExport."""
    if target.exists():
        raise CannotExport(f"{target} is there already. Name another file.")
    if not target.parent.is_dir():
        raise CannotExport(f"The folder {target.parent} is not there. Make it first.")
    with transaction.atomic():
        rows = rows_of_the_shop()
        files = list(_files())
    said = {"format": FORMAT, "program": program(), "models": rows}
    text = json.dumps(said, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1, sort_keys=True).encode()
    part = target.with_name(f"{target.name}.part")
    try:
        with (
            open(part, "wb", opener=_for_owner_only) as stream,
            zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed,
        ):
            hashes = {RECORDS: _put(packed, RECORDS, text)}
            for name, path in files:
                hashes[name] = _put(packed, name, path.read_bytes())
            counts = {label: len(found) for label, found in rows.items()}
            contents = {"format": FORMAT, "program": program(), "files": hashes, "rows": counts}
            _put(packed, CONTENTS, json.dumps(contents, indent=1, sort_keys=True).encode())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return counts


def _put(packed: zipfile.ZipFile, name: str, content: bytes) -> str:
    entry = zipfile.ZipInfo(name, _SAME_DAY)
    entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
    packed.writestr(entry, content)
    return hashlib.sha256(content).hexdigest()


def _files() -> Iterator[tuple[str, Path]]:
    local = Path(settings.LOCAL_DIR)
    places = {"media": Path(settings.MEDIA_ROOT), "issued": Path(settings.ISSUED_DIR)}
    for name in KEYS:
        if (local / name).is_file():
            yield f"{FILES}/{name}", local / name
    for folder in FOLDERS:
        top = places.get(folder, local / folder)
        for path in sorted(top.rglob("*")) if top.is_dir() else ():
            if path.is_file():
                yield f"{FILES}/{folder}/{path.relative_to(top).as_posix()}", path


def _for_owner_only(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
