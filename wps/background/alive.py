"""Which workers of this machine live: each holds a lock on a file of its own, and the system lets go of it
the moment the process ends, however it ends."""

from __future__ import annotations

import fcntl
import os
import secrets
from collections.abc import Collection
from pathlib import Path

from django.conf import settings

from wps.local_files import make_private_folder

_held: list[int] = []


def hold_as_worker() -> str:
    """Say, until this process ends, that it works; the name under which `is_alive` knows it."""
    name = secrets.token_hex(16)
    descriptor = os.open(make_private_folder(_folder()) / name, os.O_RDWR | os.O_CREAT, 0o600)
    fcntl.flock(descriptor, fcntl.LOCK_EX)
    _held.append(descriptor)
    return name


def is_alive(name: str) -> bool | None:
    """Whether that worker still runs; `None` where this machine does not know it."""
    try:
        descriptor = os.open(_folder() / name, os.O_RDWR) if name else -1
    except FileNotFoundError:
        return None
    if descriptor < 0:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    finally:
        os.close(descriptor)
    return False


def forget_all_but(names: Collection[str]) -> None:
    """Remove the files of workers that ended and have no task left under these names."""
    for path in _folder().iterdir():
        if path.name not in names and is_alive(path.name) is False:
            path.unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.LOCAL_DIR) / "workers"
