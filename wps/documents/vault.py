"""The vault: files kept under the SHA-256 of their bytes, written once and never again."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from pathlib import Path

from django.conf import settings

SHA256 = re.compile(r"[0-9a-f]{64}")


class Damaged(Exception):
    """A file of the vault is gone or no longer has the bytes it was stored with; the message says which."""


def digest(content: bytes) -> str:
    """SHA-256, hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def path_of(sha256: str, suffix: str = ".pdf") -> Path:
    """Where the file with that hash lies."""
    if not SHA256.fullmatch(sha256):
        raise ValueError(f"{sha256!r} is no SHA-256 in hexadecimal.")
    return Path(settings.ISSUED_DIR) / f"{sha256}{suffix}"


def store(content: bytes, suffix: str = ".pdf") -> str:
    """Keep the bytes and return their hash. Whole or not at all: a power cut leaves no half file under a hash."""
    sha256 = digest(content)
    target = path_of(sha256, suffix)
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if target.exists() and digest(target.read_bytes()) == sha256:
        return sha256
    descriptor, name = tempfile.mkstemp(dir=target.parent, prefix="incoming-")
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(0o400)
        Path(name).replace(target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return sha256


def read(sha256: str, suffix: str = ".pdf") -> bytes:
    """The bytes with that hash. Raises Damaged when they are gone or others."""
    path = path_of(sha256, suffix)
    try:
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise Damaged(f"The stored file {path.name} is gone. Bring it back from the backup.") from error
    if digest(content) != sha256:
        raise Damaged(f"The stored file {path.name} was changed after it was stored. Bring it back from the backup.")
    return content
