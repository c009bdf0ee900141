"""What survives a power cut: a file once its bytes are synced, its name once its folder is."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from django.core.files.storage import FileSystemStorage


def sync(path: Path) -> None:
    """Have a file, or the names in a folder, written to the disk. A file system that knows no such thing, as
    some of a network do, is let be."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(descriptor)


class MediaOnDisk(FileSystemStorage):
    """Uploads that lie on the disk before the record that names them is stored."""

    def _save(self, name: str, content: object) -> str:
        saved = str(super()._save(name, content))  # type: ignore[misc]  # the stubs leave it out
        path, top = Path(self.path(saved)), Path(self.location)
        sync(path)
        for folder in path.parents:  # one may be new, and then its name lies in the next
            sync(folder)
            if folder == top:
                break
        return saved
