"""A backup locked with a passphrase, in the age format, which other programs open too.

The shop makes a key once. Its public half locks every backup, so that the server needs no passphrase to make
one at night; its secret half is itself locked with the passphrase and goes along inside each backup. The file
is a tar of two: `key.age` and `shop.tar.gz.age` (`age -d key.age > key`, `age -d -i key shop.tar.gz.age`).
"""

from __future__ import annotations

import os
import tarfile
import tempfile
from pathlib import Path

import pyrage
from django.conf import settings

from qualification.on_disk import sync

KEY, SHOP = "key.age", "shop.tar.gz.age"
FOLDER = "backup_key"
PUBLIC = "public.txt"
SHORTEST = 12
"""Characters of a passphrase: whoever finds the file may try as often as the machine can."""


LOCKING = ".locking-"
"""How the folder begins in which a backup is locked."""


class WrongPassphrase(Exception):
    """The passphrase does not open the backup, or there is none."""


def has_key() -> bool:
    """Whether backups of this shop are locked."""
    return (Path(settings.LOCAL_DIR) / FOLDER / PUBLIC).is_file()


def make_key(passphrase: str) -> None:
    """A new key for the backups made from now on; earlier ones keep theirs, and their passphrase."""
    if len(passphrase) < SHORTEST:
        raise ValueError(f"The passphrase has fewer than {SHORTEST} characters. Choose a longer one.")
    folder = Path(settings.LOCAL_DIR) / FOLDER
    folder.mkdir(mode=0o700, exist_ok=True)
    made = pyrage.x25519.Identity.generate()
    locked = pyrage.passphrase.encrypt(str(made).encode(), passphrase)
    for name, content in ((KEY, locked), (PUBLIC, str(made.to_public()).encode())):
        part = folder / f"{name}.part"
        with open(part, "wb", opener=for_owner_only) as stream:
            stream.write(content)
        part.replace(folder / name)


def drop_key() -> None:
    """Backups made from now on are not locked."""
    for name in (PUBLIC, KEY):
        (Path(settings.LOCAL_DIR) / FOLDER / name).unlink(missing_ok=True)


def lock(plain: Path, target: Path) -> None:
    """Write the locked backup to `target`."""
    folder = Path(settings.LOCAL_DIR) / FOLDER
    public = pyrage.x25519.Recipient.from_str((folder / PUBLIC).read_text(encoding="ascii").strip())
    part = target.with_name(f"{target.name}.part")
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=LOCKING) as scratch:
        sealed = Path(scratch) / SHOP
        pyrage.encrypt_file(str(plain), str(sealed), [public])
        with (
            open(part, "wb", opener=for_owner_only) as stream,
            tarfile.open(fileobj=stream, mode="w") as both,
        ):
            both.add(folder / KEY, KEY)
            both.add(sealed, SHOP)
            stream.flush()
            os.fsync(stream.fileno())
    part.replace(target)
    sync(target.parent)


def is_locked(file: Path) -> bool:
    """Whether the file is a locked backup."""
    try:
        with tarfile.open(file, mode="r:") as both:
            return both.next() is not None and KEY in both.getnames()
    except (tarfile.TarError, OSError):
        return False


def unlock(file: Path, passphrase: str, target: Path) -> None:
    """Write the plain backup to `target`. Raises WrongPassphrase."""
    with (
        tempfile.TemporaryDirectory(dir=target.parent, prefix=".opening-") as scratch,
        tarfile.open(file) as both,
    ):
        for name in (KEY, SHOP):
            both.extract(name, scratch, filter="data")
        try:
            secret = pyrage.passphrase.decrypt((Path(scratch) / KEY).read_bytes(), passphrase).decode("ascii")
            identity = pyrage.x25519.Identity.from_str(secret.strip())
            pyrage.decrypt_file(str(Path(scratch) / SHOP), str(target), [identity])
        except (pyrage.DecryptError, pyrage.IdentityError, UnicodeDecodeError) as error:
            raise WrongPassphrase(
                f"{file.name} is not opened by this passphrase, or was changed after it was made. Use the one"
                " that was set on the Shop page when the backup was made."
            ) from error
    target.chmod(0o600)


def for_owner_only(path: str, flags: int) -> int:
    """Opener for files only their owner may read."""
    return os.open(path, flags, 0o600)
