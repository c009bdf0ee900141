"""What reads files that somebody brings, whole examples for each, and ways to spoil them."""

from __future__ import annotations

import copy
import io
import json
import re
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import pikepdf
from PIL import Image

from qualification.codes.own_tables import HEAD, SOURCES, as_texts, build, parsed
from qualification.machine_input import read_document
from qualification.rules.editions.loader import shipped_files
from qualification.rules.interface.questions import InputRefused, coverage_document, ranges_document
from qualification.rules.tabular.schema import TableError
from qualification.rules.waveform.layout import recognise
from qualification.rules.waveform.problems import LogError
from qualification.rules.waveform.reading import read_log
from tests.fuzz.hostile import KNOWN
from tests.interface.documents import question, test_record
from wps.documents.attachments import MOST_PAGES, MOST_PIXELS
from wps.outside.edition_archive import NotImported, read_archive
from wps.pdf.unreadable import NotReadable
from wps.reading.apart import unwatched
from wps.reading.bounded_json import NotBounded, read_json
from wps.reading.papers import Limits, look
from wps.reading.pdf import Anchors, read_pdf
from wps.reading.spreadsheet import NotAList, as_csv, read_sheet, read_workbook, workbook
from wps.signing.authority import authority, issue_personal
from wps.signing.sign import Box, prepare, sign

TOKENS = [each.encode("utf-8", "surrogatepass") for each in KNOWN] + [
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\n\n", b'"', b";;;;", b"\t", b",,,,", b"1,5", b"1.5e999",
    b"NaN", b"endobj", b"<<>>", b"[[[[[[", b"]]]]", b"stream\n", b"0 0 R", b"/Length -1", b"<!ENTITY x>",
    b"&#0;", b"99999999", b"00:00:00", b"24:60:61", b"31/02/2026", b"\xed\xa0\x80", b"= ", b"[x]", b"''' ",
]  # fmt: skip
MOST_CHANGES = 4
EDITION = "aws_d1_2_2014"


@dataclass(frozen=True)
class Reader:
    """One reader, what it may refuse with, and inputs for it."""

    name: str
    read: Callable[[bytes], object]
    refuses: tuple[type[Exception], ...]
    drawn: Callable[[Random], bytes]


def readers(folder: Path) -> list[Reader]:
    """All of them; `folder` is for files they need."""
    lists = [as_csv(*_ROWS), as_csv(*_ROWS).replace(b",", b";"), as_csv(*_ROWS).decode().encode("utf-16")]
    book, limits = workbook("Welders", *_ROWS), Limits(MOST_PAGES, MOST_PIXELS)
    json_lines = [json.dumps(question()).encode(), b"[[[[1]]]]", b'{"a": [1e5, -0, "\\ud800"]}']
    return [
        Reader("list", _read_list, (NotAList,), _of(lists)),
        Reader(
            "workbook",
            lambda content: read_workbook(content, unwatched),
            (NotReadable, NotAList),
            lambda random: _spoiled_archive(random, book),
        ),
        Reader(
            "paper",
            lambda content: look(content, limits),
            (NotReadable,),
            _of([_pdf(), _picture("PNG"), _picture("JPEG")]),
        ),
        Reader(
            "pdf",
            lambda content: read_pdf(content, Anchors(), unwatched),
            (NotReadable,),
            _of([_pdf(), _signed(folder)]),
        ),
        Reader("json", read_json, (NotBounded,), _of(json_lines)),
        _logs(folder / "log.csv"),
        Reader("edition archive", read_archive, (NotImported,), _of([book])),
        _tables(),
        _questions("coverage", coverage_document, question()),
        _questions("ranges", ranges_document, test_record()),
    ]


def _of(examples: Sequence[bytes]) -> Callable[[Random], bytes]:
    return lambda random: spoiled(random, random.choice(examples))


def _read_list(content: bytes) -> None:
    if content[:4] != b"PK\x03\x04":  # a workbook is read apart
        read_sheet(content, "list.csv")


def _logs(path: Path) -> Reader:
    def read(content: bytes) -> None:
        path.write_bytes(content)
        read_log(path, recognise(path))

    return Reader(
        "log", read, (LogError,), _of([_log(*each) for each in ((",", "."), (";", ","), ("\t", "."))])
    )


def _tables() -> Reader:
    """One file of an edition spoiled among whole ones; its name stands in the first line."""
    texts = as_texts(shipped_files(EDITION))

    def read(content: bytes) -> None:
        name, _, text = content.decode("utf-8", "replace").partition("\n")
        build(
            "own_fuzzed", {each: parsed(each, text if each == name else said) for each, said in texts.items()}
        )

    def drawn(random: Random) -> bytes:
        name = random.choice([*texts, HEAD, SOURCES])
        return f"{name}\n".encode() + spoiled(random, texts[name].encode())

    return Reader("tables", read, (TableError,), drawn)


def _questions(name: str, work_out: Callable[[Any], object], document: dict[str, Any]) -> Reader:
    return Reader(
        name,
        lambda content: work_out(read_document(content, name)),
        (InputRefused, TableError),
        lambda random: _spoiled_document(random, document),
    )


def spoiled(random: Random, content: bytes) -> bytes:
    """A few changes anywhere."""
    for _ in range(random.randint(1, MOST_CHANGES)):
        at = random.randrange(len(content) + 1)
        to = min(len(content), at + int(random.expovariate(1 / 20)))
        change = random.randrange(7)
        if change == 0:
            content = content[:at] + bytes([random.randrange(256)]) + content[at + 1 :]
        elif change == 1:
            content = content[:at] + content[to:]
        elif change == 2:
            content = content[:to] + content[at:to] * random.choice((1, 2, 50)) + content[to:]
        elif change == 3:
            content = content[:at] + random.choice(TOKENS) + content[at:]
        elif change == 4 and (numbers := list(re.finditer(rb"\d++", content[at : at + 4_000]))):
            found = random.choice(numbers)
            start, end = at + found.start(), at + found.end()
            content = content[:start] + random.choice(TOKENS) + content[end:]
        elif change == 5:
            lines = content.split(b"\n")
            one, other = random.randrange(len(lines)), random.randrange(len(lines))
            lines[one], lines[other] = lines[other], lines[one]
            content = b"\n".join(lines)
        elif random.randrange(5) == 0:
            content = content[:at]
    return content


def _spoiled_archive(random: Random, content: bytes) -> bytes:
    """The archive with one of its files changed, and now and then its own bytes."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made,
    ):
        names = source.namelist()
        which = random.choice(
            [name for name in names if "sheet" in name or "shared" in name or "styles" in name]
        )
        for name in names:
            read = source.read(name)
            made.writestr(name, spoiled(random, read) if name == which else read)
    return spoiled(random, out.getvalue()) if random.randrange(6) == 0 else out.getvalue()


def _spoiled_document(random: Random, document: dict[str, Any]) -> bytes:
    """The document with values at a few places changed for others of any kind."""
    document = copy.deepcopy(document)
    for _ in range(random.randint(1, MOST_CHANGES)):
        places = list(_places(document))
        holder, key = random.choice(places)
        if random.randrange(8) == 0 and isinstance(holder, dict):
            del holder[key]
        else:
            holder[key] = _any_value(random)
    return json.dumps(document).encode()


def _any_value(random: Random) -> Any:
    kinds = [None, True, -1, 0, 10**30, 1.5, 1e308, [], {}, ["spray", 5], [[]], {"": ""}]
    return random.choice(KNOWN) if random.randrange(3) else random.choice(kinds)


def _places(value: Any) -> list[tuple[Any, Any]]:
    keys = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    return [place for key in keys for place in [(value, key), *_places(value[key])]]


_ROWS = (
    ["Name", "Stamp", "Born", "Thickness"],
    [[f"Person {number}", f"P{number}", f"{number + 1:02d}/03/1990", "1/4 in"] for number in range(12)],
)


def _picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 120, 60)).save(out, kind)
    return out.getvalue()


def _pdf() -> bytes:
    """Two pages and an embedded record, with nothing packed so that a change meets the reader's words."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        for _ in range(2):
            pdf.add_blank_page(page_size=(200, 300))
            pdf.pages[-1].Contents = pdf.make_stream(b"BT /F1 12 Tf (x) Tj ET")
        record = json.dumps({"format": "x", "code": "A", "content": {"number": "1"}}).encode()
        pdf.attachments["record.json"] = pikepdf.AttachedFileSpec(pdf, record, filename="record.json")
        pdf.save(out, compress_streams=False, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    return out.getvalue()


def _signed(folder: Path) -> bytes:
    made = authority(folder / "authority", "Tidewater Rails")
    key = issue_personal(made, "Maren Oosting", "", "harbour crane lamp")
    prepared = prepare(_pdf(), [Box("Author", "Signature", 0, (10, 10, 150, 60))])
    return sign(prepared, "Author", key, "harbour crane lamp", "I wrote this", certify=True)


def _log(delimiter: str, decimal: str) -> bytes:
    lines = [delimiter.join(("Time (s)", "Current (A)", "Voltage (V)"))]
    for number in range(1_100):
        cells = (f"{number / 100:.2f}", f"{150 + number % 7:.1f}", f"{22 + number % 3:.1f}")
        lines.append(delimiter.join(cells).replace(".", decimal))
    return "\n".join(lines).encode()
