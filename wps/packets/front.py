"""The front of a packet: cover, index and welder list, as the context of its template."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from qualification.models import UnitSystem
from qualification.snapshots.snapshot import shop_content
from qualification.tongues.languages import language_named, speaking
from wps.documents.cautions import WHO_DECIDES
from wps.documents.codes import mark_of
from wps.documents.context import UNCONFIRMED, content_of, unconfirmed_in
from wps.documents.inline import inline_picture
from wps.documents.render import Rendered, render
from wps.documents.vault import Damaged
from wps.documents.weld_map import MapPage, picture
from wps.models import Packet, PacketItem
from wps.packets.contents import Contents, WelderEntry
from wps.packets.evidence import WeldEvidence
from wps.packets.weld_rows import weld_rows
from wps.pdf.unreadable import NotReadable
from wps.reading.pdf import PACKET_FILE

SECTION_TITLES = {
    "procedure": "Procedures",
    "procedure-test": "Procedure tests",
    "welder-test": "Welder tests",
    "attachment": "Attachments",
}
WELDER_LIST = "welder list"
NAMED = 20
"""Documents named before the rest are counted."""


@dataclass(frozen=True)
class ListedItem:
    """An item in the index."""

    item: PacketItem
    state: str
    copy_pages: int = 0

    @property
    def copy_page(self) -> int:
        """First page of its copy in the recipient's language; 0 where there is none."""
        return (self.item.first_page or 0) + self.item.pages if self.copy_pages else 0


def render_front(
    packet: Packet,
    contents: Contents,
    items: Sequence[PacketItem],
    states: Sequence[str],
    embedded: dict[str, Any],
    total: int,
    trail: str,
    copies: Sequence[int] = (),
) -> Rendered:
    """Cover, index and welder list as PDF, with the packet's list of files embedded and the end of the audit
    trail named. `copies` are the pages of each item's reading copy; none where left out."""

    shop = shop_content()
    units = units_for(packet)
    metric = units == UnitSystem.SI if units else not shop["inch_first"]
    context = {
        "packet": packet,
        "shop": shop,
        "contents": contents,
        "mark": {**mark_of(packet.code), "trail": trail},
        "total": total,
        "job": packet.job,
        "sections": _sections(items, states, copies),
        "welders": [_welder(entry, units) for entry in contents.welders],
        "welds": weld_rows(contents.welds, units),
        "weld_counts": _counted(contents.welds),
        "lots": list({lot.pk: lot for each in contents.welds for lot in each.standing.lots}.values()),
        "maps": [_map(each) for each in contents.maps],
        "unconfirmed": _unconfirmed(contents),
        "cautions": [WHO_DECIDES],
    }
    with speaking(language_for(packet)):
        return render("documents/packet.html", context, embedded, "a4" if metric else "letter", PACKET_FILE)


def language_for(packet: Packet) -> str:
    """The recipient's language."""
    return language_named(packet.choice.get("language", ""))


def units_for(packet: Packet) -> str:
    """The recipient's unit system; empty where everything stays in the units of its record."""
    wanted = packet.choice.get("units", "")
    return wanted if wanted in UnitSystem.values else ""


def _counted(welds: Sequence[WeldEvidence]) -> str:
    """`12 welds: 7 complete, 5 not welded`."""
    counts = Counter(each.standing.words.lower() for each in welds)
    said = ", ".join(f"{count} {words}" for words, count in counts.items())
    return f"{len(welds)} weld{'' if len(welds) == 1 else 's'}: {said}"


def _map(page: MapPage) -> dict[str, Any]:
    """A page of a drawing with the welds on it; without its picture where the file cannot be shown."""
    try:
        source, why = inline_picture(picture(page.drawing, page.page, page.marks)), ""
    except (Damaged, NotReadable) as refused:
        source, why = "", str(refused)
    return {"title": page.title, "marks": page.words, "source": source, "why_not": why}


def _unconfirmed(contents: Contents) -> list[tuple[str, list[str]]]:
    """What the documents say of numbers nobody has confirmed, and those the welder list rests on; by code and
    edition, each with the documents it concerns put in front."""
    found: dict[str, tuple[list[str], set[str]]] = {}
    for record in (record for _, _, records in contents.sections for record in records):
        content = content_of(record)
        if numbers := unconfirmed_in(content):
            names, said = found.setdefault(content["code"]["name"], ([], set()))
            names.append(record.reference)
            said.update(numbers)
    for row in (row for entry in contents.welders for row in entry.rows):
        if row.standing.answer.citation.provenance.value == UNCONFIRMED:
            citation = row.standing.answer.citation
            names, said = found.setdefault(f"{citation.code}, {citation.edition}", ([], set()))
            names.append(WELDER_LIST)
            said.add(f"{citation.clause} (how long a qualification holds)")
    return [
        (f"{name}, {_some(list(dict.fromkeys(names)))}", sorted(said))
        for name, (names, said) in found.items()
    ]


def _some(names: list[str]) -> str:
    """The names, as far as a reader takes them in."""
    rest = len(names) - NAMED
    return ", ".join(names) if rest <= 1 else f"{', '.join(names[:NAMED])} and {rest} more"


def _sections(
    items: Sequence[PacketItem], states: Sequence[str], copies: Sequence[int]
) -> list[dict[str, Any]]:
    copied = copies or [0] * len(items)
    listed = [ListedItem(*each) for each in zip(items, states, copied, strict=True)]
    return [
        {"title": title, "rows": rows}
        for key, title in SECTION_TITLES.items()
        if (rows := [each for each in listed if each.item.section == key])
    ]


def _welder(entry: WelderEntry, units: str = "") -> dict[str, Any]:
    return {
        "name": entry.welder.name,
        "stamp": entry.welder.stamp,
        "rows": [
            {
                "process": row.standing.process,
                "operation": row.standing.operation_words,
                "record": row.standing.record.reference,
                "welded_on": row.standing.record.welded_on,
                "kept_by": row.kept_by,
                "standing": row.standing.words,
                "due": row.standing.due_words,
                "ranges": [f"{label}: {words}" for label, words in row.ranges_in(units)],
            }
            for row in entry.rows
        ],
    }
