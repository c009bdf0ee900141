"""Which workers of this machine live: each holds a lock on a file of its own, and the system lets go of it
the moment the process ends, however it ends. Where several machines share the shop's folder, a lock need not
reach from one to another: of another machine's workers nothing is known here."""

from __future__ import annotations

import fcntl
import os
import secrets
import socket
import time
from collections.abc import Collection
from functools import cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings

from wps.local_files import make_private_folder

BOOT = Path("/proc/sys/kernel/random/boot_id")
MACHINE_SIGNS = 12
OLD_SECONDS = 24 * 60 * 60
_held: list[int] = []


def hold_as_worker() -> str:
    """Say, until this process ends, that it works; the name under which `is_alive` knows it."""
    name = _machine() + secrets.token_hex(10)
    descriptor = os.open(make_private_folder(_folder()) / name, os.O_RDWR | os.O_CREAT, 0o600)
    fcntl.flock(descriptor, fcntl.LOCK_EX)
    _held.append(descriptor)
    return name


def is_alive(name: str) -> bool | None:
    """Whether that worker still runs; `None` where this machine does not know it."""
    if not name.startswith(_machine()):
        return None
    try:
        descriptor = os.open(_folder() / name, os.O_RDWR)
    except FileNotFoundError:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    finally:
        os.close(descriptor)
    return False


def forget_all_but(names: Collection[str]) -> None:
    """Remove the files of workers that ended and have no task left under these names; those of another
    machine, or from before this one started, once they are a day old."""
    for path in _folder().iterdir():
        ended = is_alive(path.name) is False if path.name.startswith(_machine()) else _is_old(path)
        if path.name not in names and ended:
            path.unlink(missing_ok=True)


def _is_old(path: Path) -> bool:
    try:
        return time.time() - path.stat().st_mtime > OLD_SECONDS
    except FileNotFoundError:  # its own machine removed it meanwhile
        return False


@cache
def _machine() -> str:
    """Names this machine since it started, containers on it included: they share its locks."""
    said = BOOT.read_text(encoding="ascii") if BOOT.exists() else socket.gethostname()
    return sha256(said.encode()).hexdigest()[:MACHINE_SIGNS]


def _folder() -> Path:
    return Path(settings.LOCAL_DIR) / "workers"
