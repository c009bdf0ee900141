"""Copying what one PDF's pages need into another, with new object numbers and nothing else changed."""

from __future__ import annotations

import re
import zlib
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream

from wps.pdf.pdf_file import PdfFile, ref

_TOKEN = re.compile(
    rb"\((?:[^\\()]|\\.)*\)"  # a string, left alone: it may look like a reference
    rb"|/StructParents? (?P<key>\d+)(?! \d+ R)"
    rb"|(?<!\d)(?P<number>\d+) (?P<generation>\d+) R",
    re.DOTALL,
)
_NAMED = re.compile(rb"/(?:ID \(|Headers \[[^]]*\])")
"""Where elements of a table name one another."""


class Copier:
    """Objects of one source on their way into a file: each is written once, with whatever it leads to."""

    def __init__(self, source: Pdf, target: PdfFile, tag_key: int | None, apart: bytes = b"") -> None:
        """`tag_key`: what to add to keys of the parent tree, `None` to leave the keys out. `apart`: what to
        put before names of elements, so that they stay apart from those of other sources."""
        self._source, self._target, self._tag_key, self._apart = source, target, tag_key, apart
        self._numbers: dict[tuple[int, int], int] = {}
        self._waiting: list[tuple[int, int]] = []
        self._known: dict[bytes, bytes] = {}

    def stands_for(self, found: Any, number: int) -> None:
        """References to this source object lead to that object of the target; it is not copied."""
        self._numbers[found.objgen] = number

    def number_of(self, found: Any) -> int:
        """The number of this source object in the target; it is written by the next `write_all`."""
        return self._number(found.objgen)

    def _number(self, key: tuple[int, int]) -> int:
        if (number := self._numbers.get(key)) is None:
            number = self._numbers[key] = self._target.reserve()
            self._waiting.append(key)
        return number

    def body(self, found: Any) -> bytes:
        """The object as it is written in the target."""
        plain = (
            found.unparse(resolved=True)
            if isinstance(found, pikepdf.Object)
            else Array([found]).unparse()[2:-2]
        )
        body = _TOKEN.sub(self._renumbered, plain)
        if self._apart and b"/StructElem" in body:
            body = _NAMED.sub(lambda match: match[0].replace(b"(", b"(" + self._apart), body)
        return body

    def write_all(self) -> None:
        """Write what was asked for and all it leads to."""
        while self._waiting:
            key = self._waiting.pop()
            found = self._source.get_object(key)
            if isinstance(found, Stream):
                self._write_stream(self._numbers[key], found)
            else:
                self._target.write(self._numbers[key], self.body(found))

    def _renumbered(self, match: re.Match[bytes]) -> bytes:
        token = match[0]
        if (known := self._known.get(token)) is not None:
            return known
        if match["number"] is not None:
            self._known[token] = made = ref(self._number((int(match["number"]), int(match["generation"]))))
            return made
        if match["key"] is None:
            return token
        if self._tag_key is None:
            return b""
        return b"%s %d" % (token.split(b" ")[0], int(match["key"]) + self._tag_key)

    def _write_stream(self, number: int, found: Stream) -> None:
        stated: Any = found.stream_dict
        entries, data = Dictionary(stated), found.read_raw_bytes()
        if "/Length" in entries:
            del entries["/Length"]
        if "/Filter" not in entries:
            data, entries["/Filter"] = zlib.compress(data), Name.FlateDecode
        self._target.write_stream(number, self.body(entries)[2:-2].strip(), data)


def with_inherited(page: pikepdf.Page) -> None:
    """Give a page the entries it has from the nodes above it, which are not copied."""
    for name in ("/Resources", "/MediaBox", "/CropBox", "/Rotate"):
        node = page.obj.get("/Parent")
        while name not in page.obj and node is not None:
            if name in node:
                page.obj[name] = node[name]
            node = node.get("/Parent")
