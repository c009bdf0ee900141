"""Open items of issuing a packet, in sentences. The issuer may answer them with a statement,
never remove them."""

from __future__ import annotations

from qualification.models import Record, State
from qualification.rules.welders.continuity import Validity as Holding
from wps.documents import vault
from wps.documents.kinds import WORDS, document_for, kind_of
from wps.models import AttachmentKind, IssuedDocument, Packet, Part, Stage
from wps.packets.contents import Contents, Makers, WelderEntry


def obstacles_to(packet: Packet, contents: Contents) -> list[str]:
    """Everything that would have to be put right, empty when the packet is whole."""
    found = [
        sentence
        for _, _, records in contents.sections
        for record in records
        for sentence in _with_document(record)
    ]
    found += _with_procedures(packet, contents)
    for entry in contents.welders:
        found += _with_welder(entry)
    if not contents.welders:
        found.append("No welder is listed.")
    found += _with_attachments(packet, contents)
    return list(dict.fromkeys(found))


def unsigned_in(contents: Contents) -> list[str]:
    """Documents that are approved and lack a signature, in sentences."""
    found = []
    for _, _, records in contents.sections:
        for record in records:
            document = document_for(record)
            if document is not None and document.is_stored and document.stage != Stage.SIGNED:
                found.append(
                    f"{WORDS[kind_of(record)]} {record.reference}: {document.get_stage_display().lower()}."
                )
    return found


def _with_document(record: Record) -> list[str]:
    name = f"{WORDS[kind_of(record)]} {record.reference}"
    if record.state != State.APPROVED:
        return [f"{name} is {record.get_state_display().lower()}."]
    document = document_for(record)
    if document is None or not document.is_stored:
        return [f"{name}: its document has not been made, so it is left out."]
    return _with_bytes(document, name)


def _with_bytes(document: IssuedDocument, name: str) -> list[str]:
    try:
        vault.read(document.sha256)
    except vault.Damaged as damaged:
        return [f"{name} is left out. {damaged}"]
    return [] if document.stage == Stage.SIGNED else [f"{name}: {document.get_stage_display().lower()}."]


def _with_procedures(packet: Packet, contents: Contents) -> list[str]:
    found = [] if contents.procedures else ["No procedure is chosen."]
    found += [
        f"Procedure {spec.reference} names no supporting test."
        for spec in contents.procedures
        if not spec.prequalified and not spec.tests.exists()
    ]
    if packet.job is not None:
        makers = Makers(packet.job, [entry.welder for entry in contents.welders], contents.day)
        for part in packet.job.parts.all():
            found += _with_part(packet, part, contents, makers)
    return found


def _with_part(packet: Packet, part: Part, contents: Contents, makers: Makers) -> list[str]:
    assert packet.job is not None
    if not part.spec_number:
        return [f"Weld {part.mark} of job {packet.job.number} names no procedure."]
    if part.spec_number not in {spec.number for spec in contents.procedures}:
        return [
            f"Weld {part.mark} of job {packet.job.number} names procedure {part.spec_number}, which is not in"
            " the packet."
        ]
    if limits := makers.limits_against(part):
        return [
            f"Weld {part.mark} of job {packet.job.number} does not keep within limits laid over the code:"
            f" {'; '.join(limits)}."
        ]
    if contents.welders and not makers.of(part):
        return [f"No listed welder may make weld {part.mark} of job {packet.job.number} on {contents.day}."]
    return []


def _with_welder(entry: WelderEntry) -> list[str]:
    if not entry.rows:
        return [f"Welder {entry.welder} has no passed test in a process of this packet."]
    return [
        f"Welder {entry.welder}, {row.standing.process}, {row.standing.operation_words.lower()}:"
        f" {row.standing.words.lower()}."
        for row in entry.rows
        if row.standing.answer.state is not Holding.HOLDS
    ]


def _with_attachments(packet: Packet, contents: Contents) -> list[str]:
    brought = {each.kind for each in contents.attachments}
    found = [
        f"{AttachmentKind(kind).label}: the recipient asks for one, and none is in the packet."
        for kind in packet.choice.get("asked_for", [])
        if kind not in brought
    ]
    return found + [
        f"{each} was set aside: {each.set_aside_because}"
        for each in contents.attachments
        if each.set_aside_because
    ]
