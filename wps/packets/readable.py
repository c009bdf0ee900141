"""The readable side of a packet: stored pages put behind one another, with tags, bookmarks and page numbers
kept.

Nothing is rendered again: pages are copied as they were stored, one file at a time, straight to the packet's
file. Signature blocks become part of the page, since the signatures themselves hold for the original file
only, which travels along as an attachment.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf

from wps.pdf.bookmarks import Bookmark, bookmarks_of, write_outline
from wps.pdf.copying import Copier, with_inherited
from wps.pdf.page_numbers import PageNumbers
from wps.pdf.pdf_file import QUICK, PdfFile, ref


@dataclass(frozen=True)
class Original:
    """A file to be attached."""

    filename: str
    media_type: str
    description: str
    relationship: str


class Readable:
    """A packet's file in the making: begins with the front, whose signature field, metadata and language are
    the packet's; grows by whole files; ends with what ties them together."""

    def __init__(self, out: BinaryIO, front: bytes, label: str, total: int) -> None:
        self._target = PdfFile(out)
        self._numbers = PageNumbers(label, total)
        self._font = self._numbers.font.write_to(self._target)
        self._pages: list[int] = []
        self._bookmarks: list[Bookmark] = []
        self._tag_entries: list[tuple[int, bytes]] = []
        self._tag_key = 0
        self._parts: list[int] = []
        self._roles: dict[bytes, bytes] = {}
        self._files: dict[str, int] = {}
        self._page_tree, self._tag_root, self._document = (self._target.reserve() for _ in range(3))
        self._identifier = hashlib.sha256(front).digest()[:16]
        self._catalog, self._info = self._take_front(front)

    def section(self, title: str) -> Bookmark:
        """A bookmark of its own, leading to the next page added."""
        made = Bookmark(title, len(self._pages))
        self._bookmarks.append(made)
        return made

    def add(self, content: bytes, title: str, under: Bookmark) -> int:
        """Append all pages of a PDF, with its tags and bookmarks; the number of its first page, from 1."""
        start = len(self._pages)
        with Pdf.open(io.BytesIO(content)) as source:
            under.below.append(Bookmark(title, start, bookmarks_of(source, start)))
            source.flatten_annotations("all")
            _make_inert(source)
            tags = source.Root.get("/StructTreeRoot")
            kids = _top_elements(source, tags)
            copier = self._copier(source, self._tag_key if kids else None)
            self._take_pages(source, copier)
            if kids:
                self._take_tags(copier, tags, kids)
            copier.write_all()
        return start + 1

    def attach(self, content: bytes, about: Original) -> None:
        """Attach a file byte for byte."""
        checksum = (
            hashlib.md5(content, usedforsecurity=False).hexdigest().encode("ascii")
        )  # what the format asks for, to find damage
        subtype = Name("/" + about.media_type).unparse()
        file = self._target.add_deflated(
            b"/Type /EmbeddedFile /Subtype %s /Params << /Size %d /CheckSum <%s> >>"
            % (subtype, len(content), checksum),
            content,
            QUICK,
        )
        name, description = (pikepdf.String(words).unparse() for words in (about.filename, about.description))
        self._files[about.filename] = self._target.add(
            b"<< /Type /Filespec /F %s /UF %s /Desc %s /AFRelationship /%s /EF << /F %s /UF %s >> >>"
            % (name, name, description, about.relationship.encode("ascii"), ref(file), ref(file))
        )

    def finish(self) -> int:
        """Write what ties the files together; how many pages there are."""
        kids = b" ".join(ref(number) for number in self._pages)
        self._target.write(
            self._page_tree, b"<< /Type /Pages /Count %d /Kids [ %s ] >>" % (len(self._pages), kids)
        )
        self._write_tags()
        outline = write_outline(self._target, self._bookmarks, self._pages)
        names = b" ".join(
            b"%s %s" % (pikepdf.String(name).unparse(), ref(self._files[name]))
            for name in sorted(self._files)
        )
        files = b" ".join(ref(number) for number in self._files.values())
        root = self._target.add(
            self._catalog
            + b" /Outlines %s /Names << /EmbeddedFiles << /Names [ %s ] >> >> /AF [ %s ] >>"
            % (ref(outline), names, files)
        )
        self._target.finish(root, self._info, self._identifier)
        return len(self._pages)

    def _take_front(self, front: bytes) -> tuple[bytes, int | None]:
        """Copy the front; its catalog, not closed yet, and the number of its document information."""
        with Pdf.open(io.BytesIO(front)) as source:
            self._bookmarks += bookmarks_of(source, 0)
            for name, file in source.attachments.items():
                self.attach(
                    file.get_file().read_bytes(),
                    Original(name, file.get_file().mime_type, file.description, "Data"),
                )
            copier = self._copier(source, 0)
            tags = source.Root.StructTreeRoot
            document = tags.K[0] if isinstance(tags.K, Array) else tags.K
            copier.stands_for(tags, self._tag_root)
            copier.stands_for(document, self._document)
            self._take_pages(source, copier)
            self._take_tag_entries(copier, tags)
            self._front_parts = [copier.number_of(kid) for kid in document.K]
            del document["/K"]
            self._document_body = copier.body(document)[:-2]
            for name in ("/Outlines", "/Names", "/AF", "/Pages", "/StructTreeRoot"):
                if name in source.Root:
                    del source.Root[name]
            catalog = copier.body(source.Root)[:-2] + b" /Pages %s /StructTreeRoot %s" % (
                ref(self._page_tree),
                ref(self._tag_root),
            )
            info = copier.number_of(source.trailer.Info) if "/Info" in source.trailer else None
            copier.write_all()
        return catalog, info

    def _copier(self, source: Pdf, tag_key: int | None) -> Copier:
        return Copier(source, self._target, tag_key, b"%d." % len(self._pages) if self._pages else b"")

    def _take_pages(self, source: Pdf, copier: Copier) -> None:
        font = source.make_indirect(Dictionary(Type=Name.Font))
        copier.stands_for(font, self._font)
        for page in source.pages:
            with_inherited(page)
        for node in _nodes(source.Root.Pages):
            copier.stands_for(node, self._page_tree)
        self._numbers.write_on(source, len(self._pages) + 1, font)
        self._pages += [copier.number_of(page.obj) for page in source.pages]

    def _take_tags(self, copier: Copier, tags: Any, kids: list[Any]) -> None:
        copier.stands_for(tags, self._document)
        for kid in kids:
            kid["/S"] = Name.Part
        self._parts += [copier.number_of(kid) for kid in kids]
        for name, role in tags.get("/RoleMap", Dictionary()).items():
            self._roles.setdefault(Name(name).unparse(), role.unparse())
        self._take_tag_entries(copier, tags)

    def _take_tag_entries(self, copier: Copier, tags: Any) -> None:
        highest = self._tag_key
        for key, value in _numbers(tags.get("/ParentTree", Dictionary())):
            self._tag_entries.append((key + self._tag_key, copier.body(Array([value]))[2:-2]))
            highest = max(highest, key + self._tag_key + 1)
        self._tag_key = highest

    def _write_tags(self) -> None:
        kids = b" ".join(ref(number) for number in (*self._front_parts, *self._parts))
        self._target.write(self._document, self._document_body + b" /K [ %s ] >>" % kids)
        entries = b" ".join(b"%d %s" % entry for entry in sorted(self._tag_entries))
        tree = self._target.add(b"<< /Nums [ %s ] >>" % entries)
        roles = (
            b"/RoleMap << %s >> " % b" ".join(b"%s %s" % each for each in self._roles.items())
            if self._roles
            else b""
        )
        self._target.write(
            self._tag_root,
            b"<< /Type /StructTreeRoot /K [ %s ] /ParentTree %s /ParentTreeNextKey %d %s>>"
            % (ref(self._document), ref(tree), self._tag_key, roles),
        )


def _top_elements(source: Pdf, tags: Any) -> list[Any]:
    """The elements right below the root of the tags; none where another program left tags that lead
    nowhere."""
    found = tags.get("/K") if isinstance(tags, Dictionary) else None
    kids = [
        kid
        for kid in (found if isinstance(found, Array) else [found])
        if isinstance(kid, Dictionary) and "/S" in kid
    ]
    return [kid if kid.is_indirect else source.make_indirect(kid) for kid in kids]


def _nodes(node: Any) -> Iterator[Any]:
    """The nodes of a page tree, without its pages."""
    yield node
    for kid in node.get("/Kids", []):
        if isinstance(kid, Dictionary) and "/Kids" in kid:
            yield from _nodes(kid)


def _numbers(tree: Any) -> Iterator[tuple[int, Any]]:
    """Entries of a number tree."""
    nums = tree.get("/Nums", [])
    for index in range(0, len(nums), 2):
        yield int(nums[index]), nums[index + 1]
    for kid in tree.get("/Kids", []):
        yield from _numbers(kid)


def _make_inert(source: Pdf) -> None:
    """Pages do nothing when they are opened, and their links lead to web pages only."""
    for page in source.pages:
        _drop(page, "/AA")
        kept = [each for each in page.obj.get("/Annots", []) if _is_web_link(each)]
        if "/Annots" in page.obj:
            page.obj["/Annots"] = Array(kept)


def _is_web_link(annotation: Any) -> bool:
    action = annotation.get("/A")
    return (
        annotation.get("/Subtype") == Name.Link
        and action is not None
        and action.get("/S") == Name.URI
        and "/AA" not in annotation
    )


def _drop(page: pikepdf.Page, name: str) -> None:
    if name in page.obj:
        del page.obj[name]
