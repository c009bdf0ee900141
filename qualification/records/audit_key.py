"""The key that seals the audit trail: a file beside the database, so that who can write to the database alone
cannot seal a trail of their own."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from qualification.on_disk import sync


@dataclass(frozen=True)
class AuditKey:
    """The key, and how many entries were in the trail before there was one."""

    secret: bytes
    entries_before: int

    @property
    def name(self) -> str:
        """Tells one key from another without giving it away."""
        return hashlib.sha256(b"name of " + self.secret).hexdigest()[:16]


def key_path() -> Path:
    """Where the key lies."""
    return Path(settings.AUDIT_KEY_FILE)


def present_key() -> AuditKey | None:
    """The key; `None` while there is none. Raises ValueError when the file holds something else."""
    try:
        stored = json.loads(key_path().read_text(encoding="ascii"))
        return AuditKey(bytes.fromhex(stored["key"]), int(stored["entries_before"]))
    except FileNotFoundError:
        return None
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"{key_path()} is damaged. Bring it back from the backup.") from error


def key_for_appending(entries_before: int) -> AuditKey:
    """The key; made on first use, readable by its owner only.

    Two processes may start at once: each writes its own file, and only the first one is linked into place.
    """
    if (found := present_key()) is not None:
        return found
    path = key_path()
    own = path.with_name(f"{path.name}.{os.getpid()}")
    descriptor = os.open(own, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "w", encoding="ascii") as stream:
        json.dump({"key": secrets.token_hex(32), "entries_before": entries_before}, stream)
        stream.flush()
        os.fsync(stream.fileno())
    try:
        os.link(own, path)
    except FileExistsError:
        pass
    finally:
        own.unlink()
    sync(path.parent)
    made = present_key()
    assert made is not None
    return made
