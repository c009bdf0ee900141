"""Files made to do harm: answered in words and within bounds, by page and command and as uploads."""

from __future__ import annotations

import io
import json
import resource
import time
import tracemalloc
import zlib
from pathlib import Path

import pikepdf
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client

from tests.documents.forgers import with_files
from wps.background import tasks
from wps.documents.attachments import AttachmentRefused, look_at
from wps.documents.checking import check_file
from wps.documents.report_words import lines_of
from wps.pdf.unreadable import NotReadable
from wps.reading import apart
from wps.reading.apart import BEYOND, run_apart
from wps.reading.bounded_json import NotBounded, read_json
from wps.reading.unpacked import BASE, refuse_what_unpacks_too_far

pytestmark = pytest.mark.usefixtures("shop")

DEEP = b"[" * 200_000 + b"]" * 200_000
LONG_NUMBER = b'{"code": %s}' % (b"9" * 6_000)
LONE_SURROGATE = b'{"code": "\\ud800", "content": {"title": "\\udfff"}, "files": []}'
WRONG_SHAPES = [
    b"[]",
    b"5",
    b"null",
    b'"text"',
    b'{"code": 5}',
    b'{"code": "A", "files": 5}',
    b'{"code": "A", "files": [1, null, []]}',
    b'{"code": "A", "files": [{"filename": []}]}',
    b'{"code": "A", "files": [{"filename": {}, "sha256": 5, "section": []}]}',
    b'{"code": ["A"], "files": {"a": 1}}',
    b'{"code": "\\u0000", "files": []}',
    b'{"code": NaN, "files": [Infinity]}',
    b"\xff\xfe not text",
    b"",
]
MEGABYTE = 1_000_000


def blank(pages: int = 1, **saving: object) -> bytes:
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        for _ in range(pages):
            pdf.add_blank_page()
        pdf.save(out, **saving)
    return out.getvalue()


def packed_zeros(megabytes: int) -> bytes:
    """A deflate stream of so many megabytes of zeros, made of one piece said over and over."""
    machine = zlib.compressobj(9)
    first = machine.compress(bytes(MEGABYTE)) + machine.flush(zlib.Z_FULL_FLUSH)
    piece = machine.compress(bytes(MEGABYTE)) + machine.flush(zlib.Z_FULL_FLUSH)
    return first + piece * (megabytes - 1)


def with_stream(data: bytes, filters: pikepdf.Object, pages: int = 1) -> bytes:
    """A PDF whose pages all draw this one stream, packed already."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        stream = pikepdf.Stream(pdf, b"")
        stream.write(data, filter=filters)
        for _ in range(pages):
            pdf.add_blank_page()
        for page in pdf.pages:
            page.obj["/Contents"] = stream
        pdf.save(out, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    return out.getvalue()


def bomb(megabytes: int = 1000, pages: int = 1) -> bytes:
    return with_stream(packed_zeros(megabytes), pikepdf.Name.FlateDecode, pages)


@pytest.mark.parametrize("name", ["record.json", "packet.json"])
@pytest.mark.parametrize(
    "content",
    [DEEP, LONG_NUMBER, LONE_SURROGATE, *WRONG_SHAPES],
    ids=["deep", "long number", "surrogate", *(f"shape {number}" for number in range(len(WRONG_SHAPES)))],
)
def test_embedded_json_of_any_kind_is_answered_in_words(name: str, content: bytes) -> None:
    report = check_file(with_files(blank(), **{name: content}), "hostile.pdf")
    assert not report.holds
    assert all(line.words for line in lines_of(report))
    json.dumps([line.words for line in lines_of(report)]).encode("ascii")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (DEEP, "nested deeper than 60 levels"),
        (b"[" * 61 + b"]" * 61, "nested deeper than 60 levels"),
        (LONG_NUMBER, "a number of 6000 digits"),
        (b"1" * 41, "a number of 41 digits"),
        (b"1e999", "too large"),
        (LONE_SURROGATE, "half a character"),
        (b"[NaN]", "NaN in place of a number"),
        (b"not json", "is not JSON"),
        (b"\xff", "is not JSON"),
    ],
)
def test_json_beyond_a_limit_is_refused(content: bytes, says: str) -> None:
    with pytest.raises(NotBounded, match=says):
        read_json(content)


@pytest.mark.parametrize("content", [b"[" * 60 + b"]" * 60, b"1" * 40, b'"\\ud83d\\ude00"', b'{"a": [1.5]}'])
def test_json_on_a_limit_is_read(content: bytes) -> None:
    assert read_json(content) == json.loads(content)


@pytest.mark.parametrize("password", ["open", ""])
def test_an_encrypted_file_is_refused_in_words(
    password: str, reader_client: Client, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = blank(encryption=pikepdf.Encryption(owner="owner", user=password))
    with pytest.raises(NotReadable, match="is encrypted. Ask for one without a password"):
        check_file(pdf, "locked.pdf")
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("locked.pdf", pdf)})
    assert page.status_code == 422
    assert "The file is encrypted" in page.content.decode()
    file = tmp_path / "locked.pdf"
    file.write_bytes(pdf)
    with pytest.raises(CommandError, match="is encrypted") as refused:
        call_command("verify", str(file))
    assert refused.value.returncode == 2
    with pytest.raises(SystemExit) as ended:
        call_command("verify", str(file), "--json")
    assert ended.value.code == 2
    assert json.loads(capsys.readouterr().out)["holds"] is False


def test_a_megabyte_that_unpacks_to_a_thousand_is_refused(reader_client: Client, author: User) -> None:
    pdf = bomb()
    assert len(pdf) < 1.2 * MEGABYTE
    tracemalloc.start()
    with pytest.raises(NotReadable, match="unpacks to more than"):
        refuse_what_unpacks_too_far(pdf)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 10 * MEGABYTE  # a step at a time, and none after the limit
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("bomb.pdf", pdf)})
    assert page.status_code == 422
    assert "unpacks to more than" in page.content.decode()
    with pytest.raises(AttachmentRefused, match="unpacks to more than"):
        look_at(pdf)


def test_a_bomb_among_the_files_it_brings_is_refused() -> None:
    inside = zlib.compress(packed_zeros(1000), 9)
    assert len(inside) < 100_000
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(with_files(blank(), **{"record.json": b"{}"}))) as pdf:
        stream = pdf.Root.Names.EmbeddedFiles.Names[1].EF.F
        twice = pikepdf.Array([pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode])
        stream.write(inside, filter=twice)
        pdf.save(out, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    report = check_file(out.getvalue(), "twice.pdf")
    assert not report.holds
    assert report.content_holds is False


def test_forty_pages_that_share_a_large_drawing_are_refused(author_client: Client) -> None:
    pdf = bomb(megabytes=100, pages=40)
    with pytest.raises(AttachmentRefused, match="drawing of page 1 is too large to be shown"):
        look_at(pdf)
    page = author_client.post(
        "/attachments/add/",
        {"kind": "mill", "title": "Plate", "file": SimpleUploadedFile("plate.pdf", pdf)},
    )
    assert page.status_code == 422


def test_pages_that_share_a_drawing_count_it_each(monkeypatch: pytest.MonkeyPatch) -> None:
    assert look_at(bomb(megabytes=40, pages=10)).pages == 10
    with pytest.raises(AttachmentRefused, match="drawing of page 11 is too large"):
        look_at(bomb(megabytes=40, pages=11))


def test_what_unpacks_up_to_the_limit_is_read() -> None:
    pdf = bomb(megabytes=BASE // MEGABYTE)
    refuse_what_unpacks_too_far(pdf)
    with pytest.raises(NotReadable):
        refuse_what_unpacks_too_far(bomb(megabytes=(BASE + 50 * len(pdf)) // MEGABYTE))


def _eat_memory(content: bytes, progress: object) -> int:
    return len(bytearray(20_000_000_000))


def _spin(content: bytes, progress: object) -> int:
    resource.setrlimit(resource.RLIMIT_CPU, (1, 1))
    while True:
        pass


def _sleep(content: bytes, progress: object) -> None:
    time.sleep(60)


@pytest.mark.parametrize("work", [_eat_memory, _spin])
def test_a_reader_that_goes_beyond_memory_or_time_is_ended_in_words(work: object) -> None:
    with pytest.raises(NotReadable, match="more time or memory"):
        run_apart(work, b"")  # type: ignore[arg-type]


def test_a_reader_that_never_answers_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "WALL_SECONDS", 2)
    with pytest.raises(NotReadable, match=BEYOND[:40]):
        run_apart(_sleep, b"")


def test_a_hostile_packet_is_answered_in_the_background_too(reader_client: Client) -> None:
    files = {f"{number}.pdf": bomb(megabytes=2) for number in range(3)}
    pdf = with_files(blank(), **{"packet.json": DEEP}, **files)
    task = reader_client.post("/verify/", {"file": SimpleUploadedFile("packet.pdf", pdf)}).headers["Location"]
    tasks.run_all()
    assert "Not done" not in reader_client.get(task).content.decode()
