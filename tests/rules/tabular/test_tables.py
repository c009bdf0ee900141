"""The loader trusts a table only when it can be trusted: each way to spoil one is refused by file and row."""

import shutil
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from qualification.rules.core.quantities import SI, US
from qualification.rules.editions import loader
from qualification.rules.editions.loader import editions
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from tests.rules.readers.small_edition import FOLDER, build_small


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FOLDER, tmp_path / "invented"))


Spoil = Callable[[str, str, str], Path]


@pytest.fixture
def spoil(folder: Path) -> Spoil:
    """Return a function: (file, old text, new text) -> the folder, with the first such text changed."""

    def change(file: str, old: str, new: str) -> Path:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        return folder

    return change


def refusal(folder: Path) -> str:
    with pytest.raises(TableError) as caught:
        build_small(folder)
    return str(caught.value)


def test_the_whole_edition_is_read() -> None:
    made = build_small()
    assert (made.name, made.processes) == ("Invented code, 1", ("GMAW", "GTAW"))
    assert [row.citation.clause for row in made.procedure] == [f"1.{n}" for n in range(1, 11)]
    assert made.procedure[0].citation.sources[0].url == "https://example.org/page"
    assert made.joins_welder == {"position", "deposit_thickness"}


SPOILT = tomllib.loads(
    (Path(__file__).parents[1] / "cases" / "tabular" / "spoilt_tables.toml").read_text(encoding="utf-8")
)["spoilt"]


@pytest.mark.parametrize("case", SPOILT, ids=[case["title"] for case in SPOILT])
def test_a_spoilt_table_is_refused_by_file_and_row(spoil: Spoil, case: dict[str, Any]) -> None:
    message = refusal(spoil(case["file"], case["old"], case["new"]))
    assert message.startswith("invented/")
    assert [name for name in case["names"] if name not in message] == []


def test_a_repeated_row_names_the_row_it_repeats(spoil: Spoil) -> None:
    (case,) = [case for case in SPOILT if case["title"] == "a repeated row"]
    message = refusal(spoil(case["file"], case["old"], case["new"]))
    assert message == "invented/procedure.toml, row 3 (1.2): says the same as row 1 (1.2)"


@pytest.mark.parametrize("file", sorted(path.name for path in FOLDER.glob("*.toml")))
def test_a_missing_file_is_refused(folder: Path, file: str) -> None:
    (folder / file).unlink()
    assert refusal(folder) == f"invented/{file}: the file is missing"


def test_a_file_nobody_reads_is_refused(folder: Path) -> None:
    (folder / "notes.toml").write_text("")
    assert refusal(folder).startswith("invented/notes.toml: not a file an edition has")


def test_a_file_that_is_not_text_is_refused(folder: Path) -> None:
    (folder / "welder.toml").write_bytes(b"\xff\xfe[[row]]")
    assert refusal(folder).startswith("invented/welder.toml: ")


def test_rows_that_are_no_tables_are_refused(folder: Path) -> None:
    (folder / "welder.toml").write_text('row = ["2.1"]')
    assert refusal(folder).startswith("invented/welder.toml, row 1 (not a row): expected a row")


def test_bands_that_are_no_table_are_refused(folder: Path) -> None:
    (folder / "bands.toml").write_text("deposit = 3")
    assert refusal(folder).startswith("invented/bands.toml, deposit: expected")


def test_an_edition_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(TableError, match="asme_ix_2023"):
        loader.edition("asme_ix_1923")


@pytest.mark.parametrize("name", ["", "..", "catalogue", "asme_ix_2023/"])
def test_only_an_edition_can_be_named(name: str) -> None:
    with pytest.raises(TableError, match="there is no edition"):
        loader.edition(name)


@pytest.mark.parametrize("name", editions())
def test_every_edition_that_ships_is_trusted(name: str) -> None:
    assert isinstance(loader.edition(name), Edition)


def test_the_fingerprint_names_the_numbers_and_not_the_layout(spoil: Spoil, folder: Path) -> None:
    before = build_small(folder).fingerprint
    spoil("edition.toml", "# An invented", "# Some invented")
    assert build_small(folder).fingerprint == before == build_small().fingerprint
    spoil("welder.toml", "factor = 2", "factor = 2.1")
    assert build_small(folder).fingerprint != before


@pytest.mark.parametrize(
    ("system", "tested", "high"), [(US, "3.9", "7.8"), (SI, "3.9", "7.8"), (US, "4", "8")]
)
def test_a_decimal_is_read_as_written(system: str, tested: str, high: str) -> None:
    band = build_small().bands["deposit"].at(Decimal(tested), system)
    assert Decimal(tested) * band.columns["high_factor"] == Decimal(high)
