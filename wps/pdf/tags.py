"""A lighter tag tree for rendered documents: inline spans that say nothing of their own become part of what
holds them.

WeasyPrint makes an element of every piece of a line, half of all objects of a document. A span without
attributes means nothing to whoever reads the tags (ISO 32000-1, 14.8.4.4.1), and every later step has to read
each of them: signing, checking what was added since, copying into a packet.
"""

from __future__ import annotations

from typing import Any

from pikepdf import Array, Dictionary, Name, Object, Pdf

HOLDERS = frozenset(
    {
        Name.P,
        Name.H1,
        Name.H2,
        Name.H3,
        Name.H4,
        Name.TD,
        Name.TH,
        Name.Caption,
        Name.LBody,
        Name.Lbl,
        Name.Span,
        Name.Link,
    }
)
"""Elements that may hold page content directly; elements that only group others may not."""
PLAIN = frozenset({"/K", "/P", "/Pg", "/S", "/Type"})
"""What an element has that says nothing but where it stands."""

Key = tuple[int, int]


def fold_spans(pdf: Pdf) -> None:
    """Fold every plain span into the element that holds it. Does nothing to a document without tags."""
    root = pdf.Root.get("/StructTreeRoot")
    if root is None or "/Nums" not in root.get("/ParentTree", {}):
        return
    moved: dict[Key, Object] = {}
    _fold_below(root, moved)
    nums = root.ParentTree.Nums
    for index in range(1, len(nums), 2):
        entry = nums[index]
        if isinstance(entry, Array):
            for place, element in enumerate(entry):
                if isinstance(element, Object) and (holder := moved.get(element.objgen)) is not None:
                    entry[place] = holder
        elif (holder := moved.get(entry.objgen)) is not None:
            nums[index] = holder


def _fold_below(holder: Object, moved: dict[Key, Object]) -> None:
    """Fold what stands below. A span is folded before what holds it, so that what is `moved` ends at what
    stays."""
    kids = holder.get("/K")
    if not isinstance(kids, Object):
        return
    listed = list(kids) if isinstance(kids, Array) else [kids]
    may_hold, page = holder.get("/S") in HOLDERS, holder.get("/Pg")
    found: list[Any] = []
    changed = False
    for kid in listed:
        if not isinstance(kid, Dictionary) or kid.get("/Type") != Name.StructElem:
            found.append(kid)
        elif may_hold and _is_plain_span(kid, page):
            _take_in(holder, kid, found, moved)
            changed = True
        else:
            _fold_below(kid, moved)
            found.append(kid)
    if changed:
        holder["/K"] = Array(found)


def _is_plain_span(kid: Object, page: Object | None) -> bool:
    return (
        kid.get("/S") == Name.Span
        and page is not None
        and kid.get("/Pg", page).objgen == page.objgen
        and set(kid.keys()) <= PLAIN
    )


def _take_in(holder: Object, span: Object, found: list[Any], moved: dict[Key, Object]) -> None:
    """Put what the span holds in its place, spans within it as well."""
    moved[span.objgen] = holder
    kids = span.get("/K")
    for kid in list(kids) if isinstance(kids, Array) else [] if kids is None else [kids]:
        if not isinstance(kid, Dictionary) or kid.get("/Type") != Name.StructElem:
            found.append(kid)
        elif _is_plain_span(kid, holder.get("/Pg")):
            _take_in(holder, kid, found, moved)
        else:
            kid["/P"] = holder
            _fold_below(kid, moved)
            found.append(kid)
