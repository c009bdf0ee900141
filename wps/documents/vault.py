"""The vault: files kept under the SHA-256 of their bytes, written once and never again.

The same bytes brought twice are one file, so whoever takes one out could take it from under somebody who is
just storing a record that names it. Therefore a file goes in by the transaction that stores its record, and
out while no such transaction is open. On SQLite the one transaction that writes is lock enough; on PostgreSQL
those who put in share a lock that whoever takes out needs alone, and never waits for.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from io import BufferedRandom
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import connection, transaction

from qualification.on_disk import sync

UNFINISHED = "incoming-"
OLD_SECONDS = 24 * 60 * 60
SHA256 = re.compile(r"[0-9a-f]{64}")
NAMING_LOCK = 7_248_002
"""Number of the vault's lock among the advisory locks of a PostgreSQL database; any number of our own."""


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
    """Keep the bytes and return their hash. Call it in the transaction that stores what names them."""
    _stay_until_the_transaction_ends()
    sha256 = digest(content)
    target = path_of(sha256, suffix)
    if target.exists() and digest(target.read_bytes()) == sha256:
        return sha256  # whole already
    with incoming() as made:
        made.stream.write(content)
        return made.keep(suffix)


class Incoming:
    """A file being written that is not in the vault yet."""

    def __init__(self, stream: BufferedRandom, path: Path) -> None:
        self.stream, self._path = stream, path

    def keep(self, suffix: str = ".pdf") -> str:
        """Put what was written into the vault under its hash, and return that. Call it in the transaction
        that stores what names it."""
        _stay_until_the_transaction_ends()
        self.stream.flush()
        os.fsync(self.stream.fileno())
        self.stream.seek(0)
        sha256 = hashlib.file_digest(self.stream, "sha256").hexdigest()
        self._path.chmod(0o400)
        self._path.replace(path_of(sha256, suffix))
        sync(self._path.parent)
        return sha256


@contextmanager
def incoming() -> Iterator[Incoming]:
    """A file to write to and read from, beside the vault's own. Whole or not at all: what is not kept is
    removed, and a power cut leaves no half file under a hash."""
    folder = Path(settings.ISSUED_DIR)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    descriptor, name = tempfile.mkstemp(dir=folder, prefix=UNFINISHED)
    with os.fdopen(descriptor, "w+b") as stream:
        try:
            yield Incoming(stream, Path(name))
        finally:
            Path(name).unlink(missing_ok=True)


def stay(sha256: str, suffix: str = ".pdf") -> None:
    """A file that lies in the vault already stays until the transaction ends that stores what names it.
    Raises Damaged where it is gone."""
    _stay_until_the_transaction_ends()
    if not (path := path_of(sha256, suffix)).is_file():
        raise Damaged(_gone(path))


def _gone(path: Path) -> str:
    return f"The stored file {path.name} is gone. Bring it back from the backup."


def _stay_until_the_transaction_ends() -> None:
    """Nothing is taken out from here on, until what names the file is stored."""
    if not connection.in_atomic_block:
        raise RuntimeError("A file goes into the vault by the transaction that stores what names it.")
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock_shared(%s)", [NAMING_LOCK])


@contextmanager
def taking_out() -> Iterator[bool]:
    """A transaction in which files may be taken out: whatever names one is stored by then. False where
    somebody puts one in, or copies the vault for a backup, just now."""
    with transaction.atomic(), _vault_folder() as folder:
        yield _locked(folder, fcntl.LOCK_EX | fcntl.LOCK_NB) and _nobody_puts_in()


@contextmanager
def copying() -> Iterator[None]:
    """Nothing is taken out meanwhile, so that a copy has every file that the records of its moment name."""
    with _vault_folder() as folder:
        _locked(folder, fcntl.LOCK_SH)
        yield


@contextmanager
def _vault_folder() -> Iterator[int]:
    folder = Path(settings.ISSUED_DIR)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        yield descriptor
    finally:
        os.close(descriptor)


def _locked(descriptor: int, how: int) -> bool:
    """False where another process holds it, or the file system knows no locks: then nothing is taken out."""
    try:
        fcntl.flock(descriptor, how)
    except OSError:
        return False
    return True


def _nobody_puts_in() -> bool:
    if connection.vendor != "postgresql":
        return True
    with connection.cursor() as cursor:
        # Not one that waits: who shares it may wait for the end of the audit trail, and that one for this.
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [NAMING_LOCK])
        return bool(cursor.fetchone()[0])


def clear_unfinished() -> None:
    """Remove what a process that was killed left half written more than a day ago."""
    for path in Path(settings.ISSUED_DIR).glob(f"{UNFINISHED}*"):
        if time.time() - path.stat().st_mtime > OLD_SECONDS:
            path.unlink(missing_ok=True)


def read(sha256: str, suffix: str = ".pdf") -> bytes:
    """The bytes with that hash. Raises Damaged when they are gone or others."""
    with opened(sha256, suffix) as stream:
        return stream.read()


@contextmanager
def opened(sha256: str, suffix: str = ".pdf") -> Iterator[BinaryIO]:
    """The file with that hash, to read from. Raises Damaged when it is gone or has other bytes."""
    with open_whole(sha256, suffix) as stream:
        yield stream


def open_whole(sha256: str, suffix: str = ".pdf") -> BinaryIO:
    """The same for who closes it later, such as an answer that is still being sent. Raises Damaged."""
    path = path_of(sha256, suffix)
    try:
        stream = path.open("rb")
    except FileNotFoundError as error:
        raise Damaged(_gone(path)) from error
    if hashlib.file_digest(stream, "sha256").hexdigest() != sha256:
        stream.close()
        raise Damaged(
            f"The stored file {path.name} was changed after it was stored. Bring it back from the backup."
        )
    stream.seek(0)
    return stream
