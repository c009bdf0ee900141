"""The readable side of a packet: stored pages put behind one another, with tags, bookmarks and page numbers kept.

Nothing is rendered again: pages are copied as they were stored. Signature blocks become part of the page, since
the signatures themselves hold for the original file only, which travels along as an attachment.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, OutlineItem, Pdf
from PIL import Image

PICTURE_INCHES = (7.5, 10.0)
"""The room a picture gets on its page."""
MARGIN_POINTS = 36


class Readable:
    """A packet's readable PDF in the making: starts as the front matter, grows by whole files."""

    def __init__(self, front: bytes) -> None:
        self.pdf = Pdf.open(io.BytesIO(front))
        self.bookmarks: list[OutlineItem] = []
        self._new_tag_entries: list[tuple[int, Any]] = []
        self._tag_key = 1 + max((key for key, _ in self._tag_entries()), default=-1)

    def section(self, title: str) -> OutlineItem:
        """A bookmark of its own, leading to the next page added."""
        item = OutlineItem(title, len(self.pdf.pages))
        item.is_closed = True
        self.bookmarks.append(item)
        return item

    def add(self, content: bytes, title: str, under: OutlineItem) -> int:
        """Append all pages of a PDF, with its tags and bookmarks; the number of its first page, from 1."""
        start = len(self.pdf.pages)
        with Pdf.open(io.BytesIO(content)) as source:
            item = OutlineItem(title, start)
            item.is_closed = True
            item.children.extend(_bookmarks_of(source, start))
            under.children.append(item)
            source.flatten_annotations("all")
            _make_inert(source)
            self._append_pages(source)
        return start + 1

    def add_picture(self, content: bytes, title: str, under: OutlineItem) -> int:
        """Append a picture on a page of its own; the number of that page."""
        return self.add(picture_page(content), title, under)

    def finish(self) -> Pdf:
        """The whole document with its bookmarks: those of the front first."""
        with self.pdf.open_outline() as outline:
            outline.root.extend(self.bookmarks)
        self._write_tag_entries()
        return self.pdf

    def _append_pages(self, source: Pdf) -> None:
        tags = source.Root.get("/StructTreeRoot")
        if tags is not None:
            _shift_tag_keys(source, self._tag_key)
        start = len(self.pdf.pages)
        self.pdf.pages.extend(source.pages)
        if tags is None:
            for page in list(self.pdf.pages)[start:]:
                _drop(page, "/StructParents")
            return
        # Pages first, then the tag tree: a copied tag finds the copied page it belongs to.
        copied = self.pdf.copy_foreign(tags)
        self._take_tags(copied)

    def _take_tags(self, copied: Any) -> None:
        root = self.pdf.Root.StructTreeRoot
        parent = root.K[0] if isinstance(root.K, Array) else root.K
        kids = copied.K if isinstance(copied.K, Array) else Array([copied.K])
        for kid in kids:
            kid["/P"] = parent
            kid["/S"] = Name.Part
            parent.K.append(kid)
        highest = self._tag_key
        for key, value in _numbers(copied.ParentTree):
            self._new_tag_entries.append((key + self._tag_key, value))
            highest = max(highest, key + self._tag_key + 1)
        self._tag_key = highest

    def _tag_entries(self) -> Iterator[tuple[int, Any]]:
        root = self.pdf.Root.get("/StructTreeRoot")
        if root is not None and "/ParentTree" in root:
            yield from _numbers(root.ParentTree)

    def _write_tag_entries(self) -> None:
        flat = sorted([*self._tag_entries(), *self._new_tag_entries], key=lambda entry: entry[0])
        numbers = Array([part for key, value in flat for part in (key, value)])
        root = self.pdf.Root.StructTreeRoot
        root["/ParentTree"] = self.pdf.make_indirect(Dictionary(Nums=numbers))
        root["/ParentTreeNextKey"] = self._tag_key


def _numbers(tree: Any) -> Iterator[tuple[int, Any]]:
    """Entries of a number tree."""
    nums = tree.get("/Nums", [])
    for index in range(0, len(nums), 2):
        yield int(nums[index]), nums[index + 1]
    for kid in tree.get("/Kids", []):
        yield from _numbers(kid)


def _shift_tag_keys(source: Pdf, by: int) -> None:
    for page in source.pages:
        if "/StructParents" in page.obj:
            page.obj["/StructParents"] = int(page.obj.StructParents) + by
        for annotation in page.obj.get("/Annots", []):
            if "/StructParent" in annotation:
                annotation["/StructParent"] = int(annotation.StructParent) + by


def _make_inert(source: Pdf) -> None:
    """Pages do nothing when they are opened, and their links lead to web pages only."""
    for page in source.pages:
        _drop(page, "/AA")
        kept = [each for each in page.obj.get("/Annots", []) if _is_web_link(each)]
        if "/Annots" in page.obj:
            page.obj["/Annots"] = Array(kept)


def _is_web_link(annotation: Any) -> bool:
    action = annotation.get("/A")
    return annotation.get("/Subtype") == Name.Link and action is not None and action.get("/S") == Name.URI and "/AA" not in annotation


def _bookmarks_of(source: Pdf, offset: int) -> list[OutlineItem]:
    numbers = {page.obj.objgen: number for number, page in enumerate(source.pages)}
    with source.open_outline() as outline:
        return _moved(outline.root, numbers, offset)


def _moved(items: list[OutlineItem], numbers: dict[tuple[int, int], int], offset: int) -> list[OutlineItem]:
    found = []
    for item in items:
        children = _moved(list(item.children), numbers, offset)
        page = _page_of(item, numbers)
        if page is None:
            found += children
            continue
        made = OutlineItem(item.title, page + offset)
        made.is_closed = True
        made.children.extend(children)
        found.append(made)
    return found


def _page_of(item: OutlineItem, numbers: dict[tuple[int, int], int]) -> int | None:
    target = item.destination
    if target is None and item.action is not None:
        target = item.action.get("/D")
    if isinstance(target, Array) and len(target) and isinstance(target[0], Dictionary):
        return numbers.get(target[0].objgen)
    return None


def picture_page(content: bytes) -> bytes:
    """A picture as a PDF of one page, no larger than fits a sheet of paper."""
    picture = Image.open(io.BytesIO(content))
    if picture.mode in ("RGBA", "LA", "P"):
        layers = picture.convert("RGBA")
        paper = Image.new("RGB", layers.size, "white")
        paper.paste(layers, mask=layers.getchannel("A"))
        picture = paper
    elif picture.mode not in ("RGB", "L"):
        picture = picture.convert("RGB")
    per_inch = max(picture.width / PICTURE_INCHES[0], picture.height / PICTURE_INCHES[1], 72.0)
    made = io.BytesIO()
    picture.save(made, "PDF", resolution=per_inch)
    with Pdf.open(io.BytesIO(made.getvalue())) as pdf:
        _give_margin(pdf.pages[0])
        out = io.BytesIO()
        pdf.save(out)
    return out.getvalue()


def _give_margin(page: pikepdf.Page) -> None:
    left, bottom, right, top = (float(side) for side in page.mediabox)
    box = Array([left - MARGIN_POINTS, bottom - MARGIN_POINTS, right + MARGIN_POINTS, top + MARGIN_POINTS])
    page.obj["/MediaBox"] = box
    for name in ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox"):
        _drop(page, name)


def _drop(page: pikepdf.Page, name: str) -> None:
    if name in page.obj:
        del page.obj[name]
