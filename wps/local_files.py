"""The folder that belongs to this machine alone: database, uploads and the secret key."""

import fcntl
import os
import secrets
import zoneinfo
from pathlib import Path

import tzlocal

SERVING = "serving.lock"
"""File in the shop's folder that a server holds while it runs, so that nothing is restored under it."""


def make_private_folder(folder: Path) -> Path:
    """Create the folder if absent, readable by its owner only, and return it."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def secret_key(path: Path) -> str:
    """Return the key kept at `path`; make one on first use, readable by its owner only.

    Two processes may start at once: each writes its own file, and only the first one is linked into place.
    """
    if not path.exists():
        own = path.with_name(f"{path.name}.{os.getpid()}")
        descriptor = os.open(own, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as stream:
            stream.write(secrets.token_urlsafe(64))
        try:
            os.link(own, path)
        except FileExistsError:
            pass
        finally:
            own.unlink()
    return path.read_text(encoding="ascii").strip()


def time_zone(path: Path) -> str:
    """Return the shop's time zone kept at `path`: on first use that of this machine, so that moving the
    program later does not move the days. A machine that names none gets UTC."""
    if not path.exists():
        try:
            found = tzlocal.get_localzone_name() or ""
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            found = ""
        path.write_text(found if found in zoneinfo.available_timezones() else "UTC", encoding="ascii")
    return path.read_text(encoding="ascii").strip()


def hold_for_serving(folder: Path) -> int:
    """Say, until this process ends, that a server runs on the folder; the descriptor that says it. Several
    servers may."""
    descriptor = os.open(folder / SERVING, os.O_RDWR | os.O_CREAT, 0o600)
    fcntl.flock(descriptor, fcntl.LOCK_SH)
    return descriptor
