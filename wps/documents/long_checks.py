"""Checking files that hold many others: handed to the background, since each signed file takes a good part of
a second.

The file waits in a folder of its own, is removed once it is checked, and is no part of the vault.
"""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.contrib.auth.models import User
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from wps.background import tasks
from wps.documents.checking import check_file
from wps.documents.report_words import report_content
from wps.models import BackgroundTask, FileCheck
from wps.pdf.unreadable import NotReadable
from wps.reading.apart import run_apart
from wps.reading.pdf import file_count

TASK = "check"
AT_ONCE_BYTES = 5_000_000
AT_ONCE_FILES = 2
"""What a file may hold to be checked while the page waits."""
KEPT = timedelta(days=7)
GONE = "The file is no longer there to be checked. Choose it again."


def takes_long(stream: UploadedFile[Any], size: int) -> bool:
    """Whether checking the file takes longer than a page may. A file that cannot be read is refused at
    once."""
    if size > AT_ONCE_BYTES:
        return True
    try:
        return bool(run_apart(file_count, stream.read()) > AT_ONCE_FILES)
    except NotReadable:
        return False
    finally:
        stream.seek(0)


def begin_check(stream: UploadedFile[Any], filename: str, person: User) -> BackgroundTask:
    """Keep the file until it is checked, and have that done in the background."""
    clear_old()
    path = _path(uuid4().hex)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with path.open("wb") as kept:
        shutil.copyfileobj(stream, kept)
    try:
        with transaction.atomic():
            check = FileCheck.objects.create(person=person, filename=filename[-200:], stored_as=path.stem)
            return tasks.queue(TASK, check.pk, f"Check {filename[-180:]}", check.get_absolute_url(), person)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def run(check_id: int, progress: tasks.Progress) -> None:
    """Check a file: the background task. Begun again after a restart it starts from nothing; does nothing
    twice."""
    check = FileCheck.objects.get(pk=check_id)
    if check.is_over:
        return
    path = _path(check.stored_as)
    try:
        check.report = report_content(check_file(path.read_bytes(), check.filename, progress=progress))
    except FileNotFoundError:
        check.refusal = GONE
    except NotReadable as refused:
        check.refusal = str(refused)[:600]
    check.save()
    path.unlink(missing_ok=True)


def clear_old() -> None:
    """Forget checks of more than a week ago, with files that were never checked."""
    for check in FileCheck.objects.filter(asked_at__lt=timezone.now() - KEPT):
        if check.stored_as:
            _path(check.stored_as).unlink(missing_ok=True)
        check.delete()


def _path(name: str) -> Path:
    return Path(settings.CHECKS_DIR) / f"{name}.pdf"
