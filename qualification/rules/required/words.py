"""What a record has to state, in words: the rows that pages list and the sentences that stand in the way of
approval."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from ..core.words import within_sentence
from .check import Item, Place, Status, missing
from .items import Need


@dataclass(frozen=True)
class ItemRow:
    """One item as a page lists it."""

    names: tuple[str, ...]
    label: str
    line: int | None
    is_required: bool
    because: str
    clause: str
    code: str
    provenance: str
    provenance_words: str
    sources: tuple[Mapping[str, str], ...]
    remark: str
    url: str = ""
    """Where it is entered; empty where nobody may enter it now."""

    @property
    def number(self) -> int | None:
        """The process line, counted from 1."""
        return None if self.line is None else self.line + 1


def row_of_item(item: Item, url: str = "") -> ItemRow:
    """The item in words."""
    cited = item.citation
    return ItemRow(
        item.names,
        item.label,
        item.line,
        item.need is Need.REQUIRED,
        item.because,
        cited.clause,
        cited.code,
        cited.provenance.value,
        cited.provenance_words,
        tuple({"title": s.title, "url": s.url} for s in cited.sources),
        cited.remark,
        url,
    )


def by_reason(rows: Iterable[ItemRow]) -> list[tuple[str, list[ItemRow]]]:
    """The rows under the reason they share, so that it is said once."""
    found: dict[str, list[ItemRow]] = {}
    for row in rows:
        found.setdefault(row.because, []).append(row)
    return list(found.items())


def say_counts(items: Collection[Item]) -> str:
    """`52 items, 4 of them stated as not applicable`."""
    absent = sum(item.status is Status.NOT_APPLICABLE for item in items)
    return f"{len(items)} items" + (f", {absent} of them stated as not applicable" if absent else "")


def obstacles(items: Collection[Item], told: Collection[Place] = ()) -> list[str]:
    """Sentences on what the code requires and the record does not state. `told` are places somebody else
    names already; an item of them is left out."""
    found = []
    for item in missing(items, required_only=True):
        if any((line, name) in told for name in item.names for line in {None, item.line}):
            continue
        where = f"Process {item.line + 1}, " if item.line is not None else ""
        label = within_sentence(item.label) if where else item.label
        found.append(f"{where}{label}: not stated. {item.because} ({item.citation.short})")
    return found
