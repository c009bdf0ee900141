"""Files that somebody brings, spoiled: each reader reads or refuses in words, whatever the file does to the
libraries beneath."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from random import Random

import pytest

from qualification.codes.own_tables import parsed
from qualification.rules.tabular.schema import TableError
from qualification.rules.waveform.layout import recognise
from qualification.rules.waveform.reading import read_log
from tests.fuzz import files, readers
from wps.outside.edition_archive import NotImported, read_archive
from wps.pdf.unreadable import NotReadable
from wps.reading.apart import unwatched
from wps.reading.spreadsheet import read_workbook, workbook

WHOLE = workbook("Welders", ["Name", "Stamp"], [["Rosa Lindqvist", "RL"]])


def with_changed(name: str, old: bytes, new: bytes) -> bytes:
    """The workbook with one of its files written otherwise."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(WHOLE)) as source, zipfile.ZipFile(out, "w") as made:
        for each in source.namelist():
            content = source.read(each)
            assert each != name or old in content
            made.writestr(each, content.replace(old, new) if each == name else content)
    return out.getvalue()


def test_no_reader_raises_anything_but_its_refusal(capsys: pytest.CaptureFixture[str]) -> None:
    assert files.run(400, 21) == 0, capsys.readouterr().out


def test_a_reader_that_fails_is_found(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(content: bytes) -> None:
        raise ZeroDivisionError

    failing = readers.Reader("failing", fails, (ValueError,), lambda random: b"1")
    monkeypatch.setattr(readers, "readers", lambda folder: [failing])
    assert files.run(3, 1) == 1
    assert "== failing: ZeroDivisionError" in capsys.readouterr().out


def test_each_example_is_read_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Spoiling starts from what is right, so that it goes beyond the first line of a reader."""
    monkeypatch.setattr(readers, "spoiled", lambda random, content: content)
    monkeypatch.setattr(readers, "MOST_CHANGES", 0)
    monkeypatch.setattr(Random, "randint", lambda *args: 0)
    of = {each.name: each for each in readers.readers(tmp_path)}
    for name in sorted(set(of) - {"json", "edition archive"}):
        of[name].read(of[name].drawn(Random(1)))


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("xl/worksheets/sheet1.xml", b"<row", b'<row w="1"><row'),
        ("xl/worksheets/sheet1.xml", b'<cols><col width="', b'<cols><col w="'),
        ("xl/styles.xml", b"<xf ", b'<xf w="1" '),
        ("xl/styles.xml", b"numFmtId=", b"numFmtId=<"),
    ],
)
def test_a_workbook_its_library_chokes_on_is_refused_in_words(name: str, old: bytes, new: bytes) -> None:
    with pytest.raises(NotReadable, match="Save it again, or save the list as CSV"):
        read_workbook(with_changed(name, old, new), unwatched)


@pytest.mark.parametrize("at", range(30, 60, 5))
def test_an_archive_broken_within_is_refused_in_words(at: int) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("x", b"tables " * 900)
    broken = bytearray(out.getvalue())
    broken[at] ^= 0xFF
    with pytest.raises(NotImported):
        read_archive(bytes(broken))


def test_a_day_that_no_calendar_has_is_a_table_that_cannot_be_read() -> None:
    with pytest.raises(TableError, match="edition.toml"):
        parsed("edition.toml", "read_on = 2026-02-30")


def test_a_byte_that_is_no_letter_spoils_its_own_line_alone(tmp_path: Path) -> None:
    lines = [b"Time (s),Current (A),Voltage (V)"]
    lines += [b"%.2f,%.1f,%.1f" % (n / 100, 150 + n % 7, 22 + n % 3) for n in range(3_000)]
    path = tmp_path / "log.csv"
    path.write_bytes(b"\n".join(lines) + b"\n")
    whole = read_log(path, recognise(path))
    lines[2_000] = lines[2_000].replace(b",", b",\xb7", 1)
    lines[2_500] += b",\xb7"
    path.write_bytes(b"\n".join(lines) + b"\n")
    spoilt = read_log(path, recognise(path))
    assert len(whole.volts) - 2 <= len(spoilt.volts) <= len(whole.volts)
