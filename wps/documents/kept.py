"""Whether a file is, byte for byte, one this shop keeps: as issued, of an earlier stage of signing, or
none."""

from __future__ import annotations

from dataclasses import dataclass

from wps.models import IssuedDocument, Packet

AS_ISSUED, EARLIER, OTHER, UNKNOWN = "as_issued", "earlier", "other", "unknown"


@dataclass(frozen=True)
class KnownFile:
    """What the bytes are to this shop."""

    key: str
    """`as_issued`, `earlier` (fewer signatures than by now), `other`, or `unknown`: nothing to compare
    with."""
    words: str


NOTHING_TO_COMPARE = KnownFile(
    UNKNOWN, "The file names nothing issued here, so there is no stored file to compare it with."
)
AS_KEPT = KnownFile(AS_ISSUED, "The file is, byte for byte, the one this shop issued.")
NOT_OURS = KnownFile(
    OTHER, "The file is not, byte for byte, one this shop issued, at any stage of its signing."
)


def kept_document(sha256: str, document: IssuedDocument | None) -> KnownFile:
    """The file against the stages of the document it names."""
    if document is None:
        return NOTHING_TO_COMPARE
    if not document.is_stored:
        return NOT_OURS
    if sha256 == document.sha256:
        return AS_KEPT
    taken = document.signatures.filter(sha256=sha256).first()
    if taken is not None:
        return KnownFile(
            EARLIER, f"The file is an earlier copy: signed by the {taken.role}, others signed later."
        )
    if sha256 == document.rendered_sha256:
        return KnownFile(EARLIER, "The file is an earlier copy, from before anybody signed.")
    return NOT_OURS


def kept_packet(sha256: str, packet: Packet | None) -> KnownFile:
    """The file against the packet it names."""
    if packet is None:
        return NOTHING_TO_COMPARE
    if packet.sha256 and sha256 == packet.sha256:
        return AS_KEPT
    if packet.assembled_sha256 and sha256 == packet.assembled_sha256:
        return KnownFile(EARLIER, "The file is the packet as assembled, from before its issuer signed.")
    return NOT_OURS
