"""A PDF written object by object to a file, so that its size is never held in memory.

PDF libraries build a file in memory and write it at the end; a packet of hundreds of tagged pages and scanned
papers then takes hundreds of megabytes. What is copied here was read by such a library (pikepdf) and is
passed on as it stands; only numbering, object streams and the cross-reference stream are written here (ISO
32000-1, 7.5).
"""

from __future__ import annotations

import struct
import zlib
from typing import BinaryIO

HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
PER_OBJECT_STREAM = 200
QUICK, SHORT = 1, 3
"""Levels of compression: for what is mostly compressed already, and for lists of objects, which are much
alike."""
FREE, PLAIN, PACKED = 0, 1, 2
"""Kinds of cross-reference entries."""
_ENTRY = struct.Struct(">BQI")


class PdfFile:
    """A PDF in the making. Every number that was reserved has to be written before `finish`."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._entries = [_ENTRY.pack(FREE, 0, 65535)]
        self._waiting: list[tuple[int, bytes]] = []
        self._at = out.write(HEADER)

    def reserve(self) -> int:
        """The number of an object to be written later."""
        self._entries.append(b"")
        return len(self._entries) - 1

    def write(self, number: int, body: bytes) -> None:
        """An object that is not a stream; it goes into the next object stream."""
        self._waiting.append((number, body))
        if len(self._waiting) == PER_OBJECT_STREAM:
            self._write_waiting()

    def add(self, body: bytes) -> int:
        """The same for an object that nothing names yet; its number."""
        number = self.reserve()
        self.write(number, body)
        return number

    def write_stream(self, number: int, entries: bytes, data: bytes) -> None:
        """A stream: `entries` are those of its dictionary without `/Length`, `data` its bytes as the filter
        left them."""
        self._entries[number] = _ENTRY.pack(PLAIN, self._at, 0)
        head = b"%d 0 obj\n<< %s /Length %d >>\nstream\n" % (number, entries, len(data))
        for part in (head, data, b"\nendstream\nendobj\n"):
            self._at += self._out.write(part)

    def add_deflated(self, entries: bytes, data: bytes, level: int = 6) -> int:
        """A stream of these bytes, compressed; its number."""
        number = self.reserve()
        self.write_stream(number, entries + b" /Filter /FlateDecode", zlib.compress(data, level))
        return number

    def finish(self, root: int, info: int | None, identifier: bytes) -> None:
        """Write what waits and the cross-reference stream. Raises ValueError when a reserved object was never
        written."""
        self._write_waiting()
        number, start = self.reserve(), self._at
        self._entries[number] = _ENTRY.pack(PLAIN, start, 0)
        if (missing := next((n for n, entry in enumerate(self._entries) if not entry), None)) is not None:
            raise ValueError(f"Object {missing} was reserved and never written.")
        names = f"/Info {info} 0 R " if info is not None else ""
        hexadecimal = identifier.hex()
        trailer = (
            f"/Type /XRef /Size {len(self._entries)} /W [ 1 8 4 ] /Root {root} 0 R {names}"
            f"/ID [ <{hexadecimal}> <{hexadecimal}> ] /Filter /FlateDecode"
        )
        self.write_stream(number, trailer.encode("ascii"), zlib.compress(b"".join(self._entries)))
        self._out.write(b"startxref\n%d\n%%%%EOF\n" % start)

    def _write_waiting(self) -> None:
        if not self._waiting:
            return
        container, head, bodies, at = self.reserve(), [], [], 0
        for index, (number, body) in enumerate(self._waiting):
            self._entries[number] = _ENTRY.pack(PACKED, container, index)
            head.append(b"%d %d" % (number, at))
            bodies.append(body)
            at += len(body) + 1
        first = b" ".join(head) + b"\n"
        entries = b"/Type /ObjStm /N %d /First %d /Filter /FlateDecode" % (len(bodies), len(first))
        self.write_stream(container, entries, zlib.compress(first + b"\n".join(bodies), SHORT))
        self._waiting = []


def ref(number: int) -> bytes:
    """A reference to the object of that number."""
    return b"%d 0 R" % number
