"""The text of a log, whatever its encoding and line ends: as UTF-8 with plain line ends.

Loggers and spreadsheets write UTF-16, and lines that end with a carriage return alone. Such a file is turned
while it is read, piece by piece, and never held whole.
"""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from .problems import refuse

SNIFFED = 1 << 14


@dataclass(frozen=True)
class Writing:
    """How the characters of a file are written."""

    encoding: str = "utf-8"
    """`utf-8`, `utf-16-le` or `utf-16-be`."""
    returns: bool = False
    """Lines end with a carriage return alone."""

    @property
    def plain(self) -> bool:
        return self.encoding == "utf-8" and not self.returns


def writing_of(path: Path) -> Writing:
    """Told from the beginning of the file. Raises LogError for a file that is not text."""
    with path.open("rb") as file:
        head = file.read(SNIFFED)
    encoding = _encoding(head)
    text = head if encoding == "utf-8" else _turned(head[: len(head) // 2 * 2], encoding)
    return Writing(encoding, b"\r" in text and b"\n" not in text)


def _encoding(head: bytes) -> str:
    if head[:2] == b"\xff\xfe":
        return "utf-16-le"
    if head[:2] == b"\xfe\xff":
        return "utf-16-be"
    noughts = head[:2000].count(0)
    if not noughts:
        return "utf-8"
    # Plain letters in UTF-16 have a nought in every other byte: the second, or the first.
    odd = head[1:2000:2].count(0)
    if noughts > 0.4 * len(head[:2000]) and (odd > 0.9 * noughts or odd < 0.1 * noughts):
        return "utf-16-le" if odd > 0.9 * noughts else "utf-16-be"
    raise refuse("not_text", "The file is not text. Export the log as CSV, one reading to a line.")


def _turned(raw: bytes, encoding: str) -> bytes:
    return raw.decode(encoding, errors="replace").encode("utf-8")


class Text:
    """A file to be read from its beginning, as UTF-8 with plain line ends."""

    def __init__(self, path: Path, writing: Writing) -> None:
        self._file, self._writing = path.open("rb"), writing
        self._decoder = (
            None
            if writing.encoding == "utf-8"
            else codecs.getincrementaldecoder(writing.encoding)(errors="replace")
        )

    def __enter__(self) -> Text:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def read(self, size: int) -> bytes:
        """About `size` bytes more; empty at the end."""
        raw = self._file.read(size)
        if self._writing.plain:
            return raw
        if self._decoder is not None:
            raw = self._decoder.decode(raw, final=not raw).encode("utf-8")
        return raw.replace(b"\r", b"\n") if self._writing.returns else raw

    def skip(self, count: int) -> bytes:
        """Pass over `count` bytes of the text; what was read beyond them is handed back."""
        if self._writing.plain:
            self._file.seek(count)
            return b""
        seen = b""
        while len(seen) < count:
            more = self.read(1 << 16)
            if not more:
                break
            seen += more
        return seen[count:]


def look(path: Path, writing: Writing, at: int, size: int) -> bytes:
    """The text near byte `at` of the file; not at the beginning, from the next line on."""
    at = at // 2 * 2
    with path.open("rb") as file:
        file.seek(at)
        raw = file.read(size // 2 * 2)
    if writing.encoding != "utf-8":
        raw = _turned(raw, writing.encoding)
    if writing.returns:
        raw = raw.replace(b"\r", b"\n")
    return raw if at == 0 else raw[raw.find(b"\n") + 1 :]
