"""Files embedded in a PDF."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import pikepdf

from wps.pdf.unreadable import DAMAGED, ENCRYPTED, NotReadable


class Attached(Mapping[str, bytes]):
    """Files embedded in a PDF, each read when it is asked for: a packet's originals are as large as the
    packet."""

    def __init__(self, found: pikepdf.Pdf) -> None:
        self._files = found.attachments

    def __getitem__(self, name: str) -> bytes:
        """Raises NotReadable where the file is damaged."""
        with _damage_said():
            return self._files[name].get_file().read_bytes()

    def __contains__(self, name: object) -> bool:
        return name in self._files

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


@contextmanager
def _damage_said() -> Iterator[None]:
    try:
        yield
    except pikepdf.PasswordError as error:
        raise NotReadable(ENCRYPTED) from error
    except (pikepdf.PdfError, ValueError, RuntimeError) as error:
        raise NotReadable(DAMAGED) from error


@contextmanager
def attachments_of(pdf: bytes) -> Iterator[Attached]:
    """The embedded files. Raises NotReadable for a damaged file."""
    with _damage_said():
        document = pikepdf.open(io.BytesIO(pdf))
        attached = Attached(document)
    with document:
        yield attached


def attached_files(pdf: bytes) -> dict[str, bytes]:
    """Name -> bytes of each embedded file. Raises NotReadable for a damaged file."""
    with attachments_of(pdf) as attached:
        return dict(attached)
