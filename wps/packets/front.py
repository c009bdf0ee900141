"""The front of a packet: cover, index and welder list, as the context of its template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from qualification.content import shop_content
from wps.documents.codes import mark_of
from wps.documents.context import CAUTIONS, UNCONFIRMED, content_of, unconfirmed_in
from wps.documents.render import Rendered, render
from wps.models import Packet, PacketItem
from wps.packets.contents import Contents, WelderEntry

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
class Listed:
    """An item in the index."""

    item: PacketItem
    state: str


def render_front(
    packet: Packet,
    contents: Contents,
    items: Sequence[PacketItem],
    states: Sequence[str],
    embedded: dict[str, Any],
    total: int,
) -> Rendered:
    """Cover, index and welder list as PDF, with the packet's list of files embedded."""
    from wps.documents.checking import PACKET_FILE

    shop = shop_content()
    context = {
        "packet": packet,
        "shop": shop,
        "contents": contents,
        "mark": mark_of(packet.code),
        "total": total,
        "job": packet.job,
        "sections": _sections(items, states),
        "welders": [_welder(entry) for entry in contents.welders],
        "unconfirmed": _unconfirmed(contents),
        "cautions": CAUTIONS[:1],
    }
    return render(
        "documents/packet.html", context, embedded, "letter" if shop["inch_first"] else "a4", PACKET_FILE
    )


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


def _sections(items: Sequence[PacketItem], states: Sequence[str]) -> list[dict[str, Any]]:
    listed = [Listed(item, state) for item, state in zip(items, states, strict=True)]
    return [
        {"title": title, "rows": rows}
        for key, title in SECTION_TITLES.items()
        if (rows := [each for each in listed if each.item.section == key])
    ]


def _welder(entry: WelderEntry) -> dict[str, Any]:
    return {
        "name": entry.welder.name,
        "stamp": entry.welder.stamp,
        "rows": [
            {
                "process": row.standing.process,
                "operation": row.standing.operation_words,
                "record": row.standing.record.reference,
                "welded_on": row.standing.record.welded_on,
                "last_use": row.last_use,
                "standing": row.standing.words,
                "kept": "Confirmed" if row.standing.is_confirmed else "Used",
                "due": row.standing.due_words,
                "ranges": [f"{label}: {words}" for label, words in row.ranges],
            }
            for row in entry.rows
        ],
    }
