"""Copies of papers in the recipient's language, for reading: made anew for a packet, printed behind the
signed paper, never signed and never attached as an original."""

from __future__ import annotations

import io
import tempfile
from typing import IO

import pikepdf

from qualification.models import Record
from qualification.tongues.languages import LANGUAGES
from wps.documents.issue import reading_copy
from wps.models import IssuedDocument


class ReadingCopies:
    """The copies of one packet, in a file of their own until they are written: memory does not grow with
    them."""

    def __init__(self, language: str) -> None:
        self.language = language
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - it goes with the packet's task
        self._places: dict[int, tuple[int, int]] = {}

    def make(self, position: int, record: Record, document: IssuedDocument) -> int:
        """Make the copy of the paper at this position of the packet; its pages, 0 where the paper is in the
        recipient's language already."""
        if document.language == self.language:
            return 0
        content = reading_copy(record, document, self.language).pdf
        self._places[position] = (self._file.seek(0, io.SEEK_END), len(content))
        self._file.write(content)
        with pikepdf.open(io.BytesIO(content)) as made:
            return len(made.pages)

    def content(self, position: int) -> bytes:
        """The copy made for the position. Raises KeyError where there is none."""
        start, length = self._places[position]
        self._file.seek(start)
        return self._file.read(length)

    @property
    def name(self) -> str:
        """The language by its own name, as bookmarks say it."""
        return LANGUAGES[self.language]
