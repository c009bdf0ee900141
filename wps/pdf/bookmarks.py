"""Bookmarks: those of a stored file moved to where its pages stand in a packet, and the whole tree written
out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import pikepdf
from pikepdf import Array, Dictionary, OutlineItem, Pdf

from wps.pdf.pdf_file import PdfFile, ref


@dataclass
class Bookmark:
    """A line of the outline: where it leads (page from 0) and what stands below it, folded away."""

    title: str
    page: int
    below: list[Bookmark] = field(default_factory=list)

    @property
    def lines(self) -> int:
        """How many lines stand below it when all is unfolded."""
        return sum(1 + each.lines for each in self.below)


def bookmarks_of(source: Pdf, offset: int) -> list[Bookmark]:
    """A source's own bookmarks, for when its first page becomes page `offset`. Those that lead to no page of
    it are left out; what stands below them moves up."""
    numbers = {page.obj.objgen: number for number, page in enumerate(source.pages)}
    with source.open_outline() as outline:
        return _moved(outline.root, numbers, offset)


def _moved(items: list[OutlineItem], numbers: dict[tuple[int, int], int], offset: int) -> list[Bookmark]:
    found: list[Bookmark] = []
    for item in items:
        below = _moved(list(item.children), numbers, offset)
        page = _page_of(item, numbers)
        found += below if page is None else [Bookmark(item.title, page + offset, below)]
    return found


def _page_of(item: OutlineItem, numbers: dict[tuple[int, int], int]) -> int | None:
    target: object = item.destination
    if target is None and item.action is not None:
        target = item.action.get("/D")
    if isinstance(target, Array) and len(target) and isinstance(target[0], Dictionary):
        return numbers.get(target[0].objgen)
    return None


def write_outline(target: PdfFile, bookmarks: Sequence[Bookmark], pages: Sequence[int]) -> int:
    """Write the tree; the number of its root. `pages` are the numbers of the page objects."""
    root = target.reserve()
    first, last = _write_level(target, bookmarks, root, pages)
    target.write(
        root, b"<< /Type /Outlines /First %s /Last %s /Count %d >>" % (ref(first), ref(last), len(bookmarks))
    )
    return root


def _write_level(
    target: PdfFile, level: Sequence[Bookmark], parent: int, pages: Sequence[int]
) -> tuple[int, int]:
    numbers = [target.reserve() for _ in level]
    for index, (bookmark, number) in enumerate(zip(level, numbers, strict=True)):
        body = b"/Title %s /Parent %s /Dest [ %s /Fit ]" % (
            pikepdf.String(bookmark.title).unparse(),
            ref(parent),
            ref(pages[bookmark.page]),
        )
        if index:
            body += b" /Prev " + ref(numbers[index - 1])
        if index + 1 < len(numbers):
            body += b" /Next " + ref(numbers[index + 1])
        if bookmark.below:
            inside = _write_level(target, bookmark.below, number, pages)
            body += b" /First %s /Last %s /Count %d" % (ref(inside[0]), ref(inside[1]), -bookmark.lines)
        target.write(number, b"<< %s >>" % body)
    return numbers[0], numbers[-1]
