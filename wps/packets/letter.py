"""The letter that goes with a packet: what is sent to whom, and a place for the recipient to sign for it."""

from __future__ import annotations

from qualification.models import UnitSystem
from qualification.snapshots.snapshot import shop_content
from qualification.tongues.languages import speaking
from wps.documents.render import render
from wps.models import Transmittal
from wps.packets.front import SECTION_TITLES, language_for, units_for

TEMPLATE, DATA_FILE = "documents/letter.html", "transmittal.json"


def letter_of(transmittal: Transmittal) -> bytes:
    """The letter of one handing over as PDF, made anew each time from what was handed over."""
    packet, shop = transmittal.packet, shop_content()
    items = list(packet.items.all())
    listed = [
        {"title": title, "rows": rows}
        for key, title in SECTION_TITLES.items()
        if (rows := [each for each in items if each.section == key])
    ]
    units = units_for(packet)
    metric = units == UnitSystem.SI if units else not shop["inch_first"]
    data = {
        "packet": packet.number,
        "recipient": transmittal.recipient,
        "sent_on": transmittal.sent_on.isoformat(),
        "way": transmittal.way,
        "sha256": transmittal.sha256,
        "documents": [each.reference or each.title for each in items],
    }
    context = {
        "shop": shop,
        "packet": packet,
        "job": packet.job,
        "transmittal": transmittal,
        "sections": listed,
        "count": len(items),
    }
    with speaking(language_for(packet)):
        return render(TEMPLATE, context, data, "a4" if metric else "letter", DATA_FILE).pdf
