"""The engineering tables are read strictly; every published row names a page."""

import copy

import pytest

from qualification.rules.arithmetic.engineering import FOLDER, build, engineering
from qualification.rules.core.findings import Provenance
from qualification.rules.editions import loader
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.schema import TableError

FILES = read_files(ROOT / FOLDER)


def test_the_tables_load_and_are_no_edition() -> None:
    assert engineering().table("spray")
    assert FOLDER not in loader.editions()


def test_every_row_says_where_it_comes_from() -> None:
    used = set()
    for rows in engineering().rows.values():
        for row in rows:
            assert row.origin.provenance is not Provenance.PUBLISHED or row.origin.sources
            used |= {source.key for source in row.origin.sources}
    assert used <= set(engineering().sources)


@pytest.mark.parametrize(
    ("file", "table", "change", "says"),
    [
        ("transfer.toml", "spray", {"diametre": "1 mm"}, "unknown key 'diametre'"),
        ("transfer.toml", "spray", {"diameter": "0.03"}, "has no unit"),
        ("transfer.toml", "spray", {"diameter": "3 A"}, "not a unit"),
        ("transfer.toml", "spray", {"gases": ["argonne"]}, "does not name a gas"),
        ("transfer.toml", "setting", {"modes": ["dip"]}, "'dip' is not one of"),
        ("transfer.toml", "setting", {"volts": {"at_least": "22 V", "up_to": "19 V"}}, "cannot run from"),
        ("heat.toml", "efficiency", {"source": ["NOWHERE"]}, "not listed in sources.toml"),
        ("heat.toml", "efficiency", {"source": None}, "names no source"),
        ("heat.toml", "convention", {"measure": "guess"}, "'guess' is not one of"),
        ("deposition.toml", "yield", {"percent": {"low": 9}}, "expected { low"),
        ("steel.toml", "cet_validity", {"ranges": {"C": [1]}}, "expected [least, most] for C"),
        ("waveform.toml", "threshold", {"unit": "kV"}, "'kV' is not one of"),
    ],
)
def test_a_spoilt_row_is_refused_with_its_place(
    file: str, table: str, change: dict[str, object], says: str
) -> None:
    files = copy.deepcopy(FILES)
    row = files[file][table][0]
    row.update({key: value for key, value in change.items() if value is not None})
    for key in [key for key, value in change.items() if value is None]:
        del row[key]
    with pytest.raises(TableError) as error:
        build(files)
    assert f"engineering/{file}, {table} 1" in str(error.value)
    assert says in str(error.value)


def test_a_missing_a_strange_and_a_doubled_entry_are_refused() -> None:
    with pytest.raises(TableError, match=r"heat\.toml: the file is missing"):
        build({name: body for name, body in FILES.items() if name != "heat.toml"})
    with pytest.raises(TableError, match=r"more\.toml: not a file"):
        build({**FILES, "more.toml": {}})
    doubled = copy.deepcopy(FILES)
    doubled["waveform.toml"]["threshold"].append(copy.deepcopy(doubled["waveform.toml"]["threshold"][0]))
    with pytest.raises(TableError, match="listed twice"):
        build(doubled)
