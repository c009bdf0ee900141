"""How much a PDF unpacks to, found before anything else reads it, and only up to the limit: a file of a
megabyte can unpack to a thousand."""

from __future__ import annotations

import lzma
import re
import zipfile
import zlib

from wps.pdf.unreadable import NotReadable

BASE, PER_BYTE = 400_000_000, 20
"""Bytes that the streams of a file may unpack to together: a base, and so many for each byte of the file."""
BROKEN_ARCHIVE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    RuntimeError,
    EOFError,
    OSError,
    ValueError,
)
"""What `zipfile` and its decompressors raise of a file that is broken."""
_STREAM = re.compile(rb"(?<!end)stream\r?\n")
_PIECE, _STEP = 1 << 16, 1 << 22


def refuse_what_unpacks_too_far(pdf: bytes) -> None:
    """Raises NotReadable for a file whose streams unpack beyond the limit."""
    limit, total = BASE + PER_BYTE * len(pdf), 0
    for start in _STREAM.finditer(pdf):
        total += _inflated(pdf, start.end(), limit - total)
        if total > limit:
            raise NotReadable(
                f"The file of {len(pdf) / 1e6:.1f} MB unpacks to more than {limit / 1e6:.0f} MB, more than"
                " any document needs. Print or scan it into a new PDF."
            )


def _inflated(pdf: bytes, at: int, limit: int) -> int:
    """Bytes that the stream beginning there unpacks to, counted up to a little beyond the limit; 0 for one
    that is not compressed this way."""
    machine, total = zlib.decompressobj(), 0
    try:
        while not machine.eof and at < len(pdf) and total <= limit:
            piece = pdf[at : at + _PIECE]
            at += len(piece)
            total += len(machine.decompress(piece, _STEP))
            while machine.unconsumed_tail and total <= limit:
                total += len(machine.decompress(machine.unconsumed_tail, _STEP))
    except zlib.error:
        return total
    return total
