"""What a PDF somebody brought is made of: its signatures, its embedded record, the files of a packet. Read
without a database; what this shop makes of it is judged elsewhere."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from wps.pdf.attached_files import Attached, attachments_of
from wps.pdf.unreadable import NotReadable
from wps.reading.bounded_json import NotBounded, read_json
from wps.reading.unpacked import refuse_what_unpacks_too_far
from wps.signing.verify import Verification, verify

PACKET_FILE = "packet.json"
RECORD_FILE = "record.json"
MOST_FILES = 2000
"""Files a packet may bring."""
LONGEST_FILENAME = 200
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Inner:
    """A file in a packet."""

    sha256: str
    reading: Reading | None
    """What it is made of; `None` where that was not looked at or cannot be read."""
    refusal: str = ""


@dataclass(frozen=True)
class Reading:
    """One file, read."""

    sha256: str
    verification: Verification
    record: bytes | None = None
    """The embedded record as it lies in the file, JSON that keeps within the limits."""
    record_problem: str = ""
    """Why an embedded record cannot be read, as a sentence."""
    packet: Mapping[str, Any] | None = None
    """The packet's own list; empty where it is of no shape that can be read. `None`: it is no packet."""
    files: Mapping[str, Inner] = field(default_factory=dict)


@dataclass(frozen=True)
class Anchors:
    """Certificates to check signatures against, PEM: of authorities, and of people for their own."""

    authorities: Sequence[bytes] = ()
    pinned: Sequence[bytes] = ()


def read_pdf(pdf: bytes, anchors: Anchors, progress: Progress) -> Reading:
    """Read one file; `progress` is told how many of its files are. Raises NotReadable when it is no PDF, is
    encrypted or goes beyond a limit."""
    refuse_what_unpacks_too_far(pdf)
    verification, sha256 = verify(pdf, anchors.authorities, anchors.pinned), _digest(pdf)
    try:
        with attachments_of(pdf) as attached:
            if PACKET_FILE in attached:
                return _packet(sha256, verification, attached, anchors, progress)
            return _document(sha256, verification, attached)
    except NotReadable as refused:  # the signatures could be read; that the rest cannot is what they then say
        return Reading(sha256, verification, record_problem=str(refused))


def file_count(pdf: bytes, progress: Progress) -> int:
    """How many files the PDF brings. Raises NotReadable as `read_pdf` does."""
    refuse_what_unpacks_too_far(pdf)
    with attachments_of(pdf) as attached:
        return len(attached)


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _document(sha256: str, verification: Verification, attached: Attached) -> Reading:
    if RECORD_FILE not in attached:
        return Reading(sha256, verification)
    content = attached[RECORD_FILE]
    try:
        read_json(content)
    except NotBounded as refused:
        return Reading(
            sha256, verification, record_problem=f"The embedded record cannot be read: it {refused}."
        )
    return Reading(sha256, verification, content)


def _packet(
    sha256: str,
    verification: Verification,
    attached: Attached,
    anchors: Anchors,
    progress: Progress,
) -> Reading:
    try:
        listed = packet_list(read_json(attached[PACKET_FILE]))
    except (NotBounded, NotReadable):
        listed = {}
    sections = {each["filename"]: each["section"] for each in listed.get("files", ())}
    names = [name for name in sections if name in attached]
    names += sorted(name for name in attached if name not in sections and name != PACKET_FILE)
    if len(names) > MOST_FILES:
        raise NotReadable(f"The packet brings {len(names)} files; up to {MOST_FILES} are checked.")
    files = {}
    for done, name in enumerate(names):
        progress(done, len(names))
        files[name] = _inner(attached, name, sections.get(name) == "attachment", anchors)
    return Reading(sha256, verification, packet=listed, files=files)


def _inner(attached: Attached, name: str, is_paper: bool, anchors: Anchors) -> Inner:
    try:
        content = attached[name]
    except NotReadable as refused:
        return Inner("", None, str(refused))
    if is_paper:
        return Inner(_digest(content), None)
    try:
        refuse_what_unpacks_too_far(content)
        verification = verify(content, anchors.authorities, anchors.pinned)
        with attachments_of(content) as inside:
            return Inner(_digest(content), _document(_digest(content), verification, inside))
    except NotReadable as refused:
        return Inner(_digest(content), None, str(refused))


def packet_list(found: Any) -> dict[str, Any]:
    """A packet's own list as far as it has the shape of one, empty otherwise: `code` and `files`, each with
    `filename`, `sha256` and `section`, all text."""
    if not isinstance(found, dict) or not isinstance(found.get("code"), str):
        return {}
    files = found.get("files")
    if not isinstance(files, list) or len(files) > MOST_FILES:
        return {}
    listed = [
        {key: each.get(key) for key in ("filename", "sha256", "section")}
        for each in files
        if isinstance(each, dict)
    ]
    if len(listed) != len(files) or not all(_is_text(value) for each in listed for value in each.values()):
        return {}
    return {"code": found["code"][:40], "files": listed}


def _is_text(value: object) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_FILENAME
