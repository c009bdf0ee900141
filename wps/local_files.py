"""The folder that belongs to this machine alone: database, uploads and the secret key."""

import os
import secrets
from pathlib import Path


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
