"""An edition of a shop's own as one file: a folder of TOML with its cases, signed by the shop.

    <key>/edition.toml, procedure.toml, ...   the tables
    <key>/cases.toml                          the shop's cases
    <key>/contents.toml                       book, parent, fingerprint, and the SHA-256 of each file
    <key>/contents.sig, signer.pem            signature of contents.toml, and who made it

The same edition gives the same tables and contents; only signature and certificate differ.
"""

from __future__ import annotations

import hashlib
import io
import tomllib
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import tomli_w
from cryptography.hazmat.primitives import hashes
from django.utils import timezone

from qualification.codes.own_cases import FILE as CASES
from qualification.codes.own_editions import receive
from qualification.codes.own_tables import KNOWN, parsed
from qualification.models import OwnEdition, Shop
from qualification.records.audit import name_of
from qualification.roles import Person
from qualification.rules.tabular.schema import TableError
from wps.reading.unpacked import BROKEN_ARCHIVE
from wps.signing.for_the_shop import NotSigned, Signer, sign_for_shop, signer_of
from wps.signing.people import shop_authority

FORMAT = "shop-edition/1"
CONTENTS, SIGNATURE, SIGNER = "contents.toml", "contents.sig", "signer.pem"
LARGEST_FILE, LARGEST = 2_000_000, 8_000_000
"""Bytes of one file, and of all unpacked."""
MOST_FILES = 40
_SAME_DAY = (1980, 1, 1, 0, 0, 0)


class NotImported(ValueError):
    """Why an archive is not taken, and what to do."""


@dataclass(frozen=True)
class Received:
    """An archive whose signature and bytes hold."""

    files: dict[str, dict[str, Any]]
    cases: str
    contents: Mapping[str, Any]
    signer: Signer


def export(own: OwnEdition, person: Person) -> bytes:
    """The archive of a published edition, as ZIP."""
    texts = {**own.files, CASES: own.cases}
    contents = {
        "format": FORMAT,
        "name": own.name,
        "book": own.book,
        "parent": own.parent_name,
        "parent_fingerprint": own.parent_fingerprint,
        "fingerprint": own.fingerprint,
        "shop": Shop.current().name,
        "signed_by": name_of(person),
        "signed_on": timezone.localdate().isoformat(),
        "files": {name: _sha(text.encode()) for name, text in sorted(texts.items())},
    }
    said = tomli_w.dumps(contents).encode()
    signature, certificates = sign_for_shop(said, shop_authority(), name_of(person))
    packed = {name: text.encode() for name, text in sorted(texts.items())}
    packed |= {CONTENTS: said, SIGNATURE: signature, SIGNER: certificates}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in packed.items():
            archive.writestr(zipfile.ZipInfo(f"{own.key}/{name}", _SAME_DAY), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _sha(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def read_archive(content: bytes) -> Received:
    """The archive, once its signature and each of its bytes hold. Raises NotImported."""
    packed = _unpacked(content)
    for needed in (CONTENTS, SIGNATURE, SIGNER):
        if needed not in packed:
            raise NotImported(
                f"The file has no {needed}, so nobody can tell who signed it. Ask for it again."
            )
    try:
        signer = signer_of(packed[CONTENTS], packed[SIGNATURE], packed[SIGNER])
        contents = tomllib.loads(packed[CONTENTS].decode())
    except (NotSigned, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise NotImported(f"{error} Ask the other shop to export it again.") from error
    if contents.get("format") != FORMAT or not isinstance(contents.get("files"), dict):
        raise NotImported(
            "The file is of another format than this release reads. Ask for one of this release."
        )
    named = contents["files"]
    for name in sorted({*named, *packed} - {CONTENTS, SIGNATURE, SIGNER}):
        if name not in named or name not in packed or _sha(packed[name]) != named[name]:
            raise NotImported(f"{name} is not as it was signed. Ask the other shop to export it again.")
    return _read(packed, contents, signer)


def _read(packed: Mapping[str, bytes], contents: Mapping[str, Any], signer: Signer) -> Received:
    strange = sorted(set(contents["files"]) - {*KNOWN, CASES})
    if strange or CASES not in packed or "edition.toml" not in packed or "sources.toml" not in packed:
        raise NotImported(f"{(strange or ['A table'])[0]} does not belong to an edition, or one is missing.")
    try:
        texts = {name: packed[name].decode() for name in contents["files"]}
        files = {name: parsed(name, text) for name, text in texts.items() if name != CASES}
    except (UnicodeDecodeError, TableError) as error:
        raise NotImported(f"A table cannot be read: {error}.") from error
    return Received(files, texts[CASES], contents, signer)


def _unpacked(content: bytes) -> dict[str, bytes]:
    """The files by name, without the folder. Raises NotImported for what is no such archive."""
    found: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            listed = [each for each in archive.infolist() if not each.is_dir()]
            total = sum(each.file_size for each in listed)
            if len(listed) > MOST_FILES or total > LARGEST or any(e.file_size > LARGEST_FILE for e in listed):
                raise NotImported(
                    "The file is larger than an edition is. Choose an edition that was exported."
                )
            for each in listed:
                name = each.filename.rpartition("/")[2]
                if name in found:
                    raise NotImported(f"{name} stands in the file twice. Ask for it again.")
                found[name] = archive.read(each)
    except NotImported:
        raise
    except BROKEN_ARCHIVE as error:
        raise NotImported("The file is no edition that was exported. Choose the .zip file.") from error
    return found


def take_in(received: Received, person: Person) -> OwnEdition:
    """A draft of what was received, which somebody looks at before it is published. Raises NotImported."""
    contents, signer = received.contents, received.signer
    own = signer.authority == _own_authority()
    said = {
        "shop": signer.shop,
        "signed_by": signer.person,
        "signed_on": str(contents.get("signed_on", "")),
        "authority": signer.authority,
        "fingerprint": str(contents.get("fingerprint", "")),
        "trust": "It is this shop's own authority."
        if own
        else "Nobody here knows yet whether that authority is theirs: compare the fingerprint by phone.",
    }
    try:
        return receive(received.files, received.cases, {"book": str(contents.get("book", ""))}, said, person)
    except TableError as error:
        raise NotImported(f"The tables cannot be trusted: {error}. Nothing was imported.") from error


def _own_authority() -> str:
    return shop_authority().certificate.fingerprint(hashes.SHA256()).hex()
