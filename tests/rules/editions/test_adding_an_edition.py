"""The recipe of the tables' README: an edition is a folder of tables, and judges as soon as it is there.

The invented code in `cases/editions/invented_code/` says what no real code says; every expected answer is
reckoned by hand from it.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Report
from qualification.rules.core.quantities import SI, US
from qualification.rules.editions import loader
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.tabular import edition
from qualification.rules.tabular.edition import Edition, read_files
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome import judge, refusals
from qualification.rules.testing.outcome_parts import Overall
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import variables_for
from qualification.rules.welders.continuity import Validity, without_rules

FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_code"
GATE = loader.build("invented_code", read_files(FOLDER))

JOINT = {
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "temper_a": "T6",
    "temper_b": "T6",
    "thickness_a": "1/4 in",
    "thickness_b": "1/4 in",
    "root_opening": "1/16 in",
    "weld_type": "groove",
    "product_form": "plate",
}
LINE = {"process": "GMAW", "amps": "100 A", "shielding_gas": "100Ar", "filler_form": "solid"}


def procedure(coupon: dict[str, str], weld: dict[str, str], system: str = US) -> tuple[str, set[str]]:
    return _said(_report(Side.PROCEDURE, coupon, weld, system))


def welder(coupon: dict[str, str], weld: dict[str, str]) -> tuple[str, set[str]]:
    return _said(
        _report(
            Side.WELDER,
            {"test_position": "3G", "progression": "up", **coupon},
            {"position": "vertical", "progression": "up", **weld},
            US,
        )
    )


def _report(side: Side, coupon: dict[str, str], weld: dict[str, str], system: str) -> Report:
    tested, asked = (
        (RecordKind.TEST, RecordKind.SPEC)
        if side is Side.PROCEDURE
        else (RecordKind.WELDER_TEST, RecordKind.PART)
    )
    made = Coupon("T1", _read(coupon, tested, system), system)
    return coverage(_read(weld, asked, system), [made], GATE, side)


def _read(changes: dict[str, str], use: RecordKind, system: str) -> edition.Any:
    known = {level: {v.key for v in variables_for(use, level)} for level in Level}
    joint, line = ({**base, **changes} for base in (JOINT, LINE))
    read = read_weld(
        {k: v for k, v in joint.items() if k in known[Level.JOINT]},
        [{k: v for k, v in line.items() if k in known[Level.LINE]}],
        use,
        system,
    )
    assert read.problems == (), read.problems
    return read.weld


def _said(report: Report) -> tuple[str, set[str]]:
    return report.verdict.key, {f.variable for f in report.obstacles}


@pytest.fixture
def installed(tmp_path: Path) -> Iterator[Path]:
    """The invented code put where the program looks for its editions."""
    shutil.copytree(FOLDER, tmp_path / "garden_gate_7")
    with mock.patch.object(loader, "ROOT", tmp_path):
        yield tmp_path / "garden_gate_7"
    loader.edition.cache_clear()


def test_a_folder_is_all_it_takes(installed: Path) -> None:
    loader.edition.cache_clear()
    assert loader.editions() == ("garden_gate_7",)
    made = loader.edition("garden_gate_7")
    assert isinstance(made, Edition)
    assert (made.name, made.speaks) == ("Garden gate code, 7", {"other", "m_number"})


def test_its_records_ask_for_its_own_groups_of_metals_and_no_others() -> None:
    asked = {v.key for v in variables_for(RecordKind.TEST, Level.JOINT, speaks=GATE.speaks)}
    assert {"m_number_a", "m_number_b", "base_metal_a"} <= asked
    assert not asked & {"p_number_a", "group_a", "iso_group_a", "d11_group_b", "s_number_a"}
    lines = {v.key for v in variables_for(RecordKind.TEST, Level.LINE, "GMAW", GATE.speaks)}
    assert not lines & {"f_number", "a_number", "filler_group", "amps_mean"}


@pytest.mark.parametrize(
    ("coupon", "weld", "said"),
    [
        ({}, {}, ("covered", set())),
        # base metals: the group, what is asked of them, and the temper
        ({}, {"base_metal_a": "6063"}, ("covered", set())),
        ({"base_metal_a": "6063"}, {}, ("not_covered", {"base_metal_a", "base_metal_b"})),
        ({}, {"base_metal_a": "5083"}, ("not_covered", {"m_pair"})),
        ({"base_metal_a": "5083"}, {"base_metal_a": "5086"},
            ("not_covered", {"base_metal_a", "base_metal_b"})),
        ({"base_metal_a": "5083", "temper_a": "O", "temper_b": "O"}, {"base_metal_a": "5083"},
            ("covered", set())),
        ({"temper_a": "T4", "temper_b": "T4"}, {}, ("not_covered", {"temper_a", "temper_b"})),
        ({"temper_a": "T4"}, {"temper_a": "T4"}, ("covered", set())),
        # thickness: 1/8 or half of it, whichever is larger; 3/4 or twice of it, whichever is smaller
        ({}, {"thickness_a": "1/8 in", "thickness_b": "1/8 in"}, ("covered", set())),
        ({}, {"thickness_a": "0.1249 in"}, ("not_covered", {"thickness_thinner"})),
        ({}, {"thickness_a": "1/2 in", "thickness_b": "1/2 in"}, ("covered", set())),
        ({}, {"thickness_a": "0.5001 in", "thickness_b": "0.5001 in"},
            ("not_covered", {"thickness_thinner"})),
        ({"thickness_a": "1/2 in", "thickness_b": "1/2 in"}, {"thickness_a": "3/4 in",
            "thickness_b": "3/4 in"}, ("covered", set())),
        ({"thickness_a": "1/2 in", "thickness_b": "1/2 in"}, {"thickness_a": "0.7501 in",
            "thickness_b": "0.7501 in"}, ("not_covered", {"thickness_thinner"})),
        ({"thickness_a": "1/2 in", "thickness_b": "1/2 in"}, {"thickness_a": "0.2499 in"},
            ("not_covered", {"thickness_thinner"})),
        ({"thickness_a": "1 in", "thickness_b": "1 in"}, {"thickness_a": "9 in", "thickness_b": "9 in"},
            ("covered", set())),
        ({"thickness_a": "0.1 in", "thickness_b": "0.1 in"}, {"thickness_a": "0.1 in",
            "thickness_b": "0.1 in"}, ("no_rule", {"thickness_thinner"})),
        # current: 20 % below and 10 % above the mean
        ({}, {"amps": "80-110 A"}, ("covered", set())),
        ({}, {"amps": "79.9 A"}, ("not_covered", {"amps"})),
        ({}, {"amps": "110.1 A"}, ("not_covered", {"amps"})),
        ({"amps": "90-110 A", "amps_mean": "96 A"}, {"amps": "76.8-105.6 A"}, ("covered", set())),
        ({"amps": "90-110 A", "amps_mean": "96 A"}, {"amps": "105.7 A"}, ("not_covered", {"amps"})),
        # without the mean: 88 A is in from a mean of 110, 99 A from a mean of 90, whatever it was
        ({"amps": "90-110 A"}, {"amps": "88-99 A"}, ("covered", set())),
        ({"amps": "90-110 A"}, {"amps": "87.9 A"}, ("unknown", {"amps"})),
        ({"amps": "90-110 A"}, {"amps": "72-121 A"}, ("unknown", {"amps"})),
        ({"amps": "90-110 A"}, {"amps": "71.9 A"}, ("not_covered", {"amps"})),
        ({"amps": "90-110 A"}, {"amps": "121.1 A"}, ("not_covered", {"amps"})),
        ({"amps": "50-110 A"}, {}, ("unknown", {"amps"})),
        # what the tables do not hold
        ({}, {"root_opening": "1/8 in"}, ("no_rule", {"root_opening"})),
        ({}, {"root_opening": "1/16-1/8 in"}, ("no_rule", {"root_opening"})),
        ({}, {"root_opening": ""}, ("unknown", {"root_opening"})),
        ({"root_opening": ""}, {}, ("unknown", {"root_opening"})),
    ],
)  # fmt: skip
def test_its_procedures(coupon: dict[str, str], weld: dict[str, str], said: tuple[str, set[str]]) -> None:
    assert procedure(coupon, weld) == said


def test_its_metric_limits_hold_for_metric_records() -> None:
    coupon = {"thickness_a": "12 mm", "thickness_b": "12 mm"}
    assert procedure(coupon, {"thickness_a": "20 mm", "thickness_b": "20 mm"}, SI) == ("covered", set())
    assert procedure(coupon, {"thickness_a": "20.01 mm", "thickness_b": "20.01 mm"}, SI) == (
        "not_covered",
        {"thickness_thinner"},
    )


@pytest.mark.parametrize(
    ("coupon", "weld", "said"),
    [
        ({}, {}, ("covered", set())),
        ({}, {"position": "flat"}, ("covered", set())),
        ({}, {"position": "overhead"}, ("no_rule", {"iso_position"})),
        ({}, {"progression": "down"}, ("no_rule", {"iso_position"})),
        ({}, {"progression": ""}, ("unknown", {"iso_position"})),
        ({"test_position": "3G;4G"}, {"position": "overhead"}, ("covered", set())),
        ({}, {"base_metal_a": "5083"}, ("covered", set())),
        ({}, {"shielding_gas": "82Ar/18CO2"}, ("not_covered", {"iso_process"})),
    ],
)
def test_its_welders(coupon: dict[str, str], weld: dict[str, str], said: tuple[str, set[str]]) -> None:
    assert welder(coupon, weld) == said


def test_what_it_is_without_is_said_and_never_taken_as_met() -> None:
    outcome = judge(Coupon("T1", _read({}, RecordKind.TEST, US)), (), GATE, Side.PROCEDURE)
    assert outcome.overall is Overall.INCOMPLETE
    assert refusals(outcome) == (
        "Garden gate code, 7 is here without its required tests, so no result can be judged under it.",
    )
    assert without_rules(GATE).state is Validity.UNKNOWN


def test_a_side_without_rules_issues_no_range() -> None:
    files = {name: body for name, body in read_files(FOLDER).items() if name != "welder.toml"}
    files["edition.toml"] = {
        **files["edition.toml"],
        "without": [*files["edition.toml"]["without"], "welder.toml"],
        "joins_welder": ["position"],
    }
    made = loader.build("invented_code", files)
    tested = range_qualified(Coupon("T1", _read({}, RecordKind.WELDER_TEST, US)), made, Side.WELDER)
    assert (tested.lines, tested.refusals) == ((), ("Garden gate code, 7 has no rules for a welder test.",))


@pytest.mark.parametrize(
    ("head", "gone", "message"),
    [
        ({"without": ["a_numbers.toml"]}, "", r"/acceptance.toml: the file is missing"),
        ({"without": ["bands.toml"], "files": ["bands.toml"]}, "", "gives both files and without"),
        ({"without": ["bricks.toml"]}, "", "'bricks.toml' is not a file an edition may have or lack"),
        ({"without": ["sources.toml"]}, "", "'sources.toml' is not a file an edition may have or lack"),
        (
            {"without": None, "files": ["procedure.toml", "welder.toml", "bands.toml", "covers.toml"]},
            "",
            "base_metals.toml: edition.toml says",
        ),
        (
            {"without": None, "files": ["base_metals.toml", "bands.toml", "covers.toml"]},
            "procedure.toml welder.toml free.toml",
            "needs procedure.toml",
        ),
        ({}, "covers.toml", "covers.toml: the file is missing"),
        ({}, "edition.toml", "edition.toml: the file is missing"),
        ({"family": "gates"}, "", "'gates' is not one of asme, aws, iso, navy, other"),
        ({"family": None}, "", "the key 'family' is missing"),
        ({"metal_groups": "q_number"}, "", "'q_number' is not one of p_number"),
        ({"metal_groups": "p_number"}, "", "groups metals by m_number, and edition.toml does not"),
        ({"metal_groups": None}, "", "groups metals by m_number, and edition.toml does not"),
    ],
)
def test_an_edition_that_does_not_say_what_it_is_made_of_is_refused(
    head: dict[str, object], gone: str, message: str
) -> None:
    files = read_files(FOLDER)
    files["edition.toml"] = {k: v for k, v in {**files["edition.toml"], **head}.items() if v is not None}
    with pytest.raises(TableError, match=message):
        loader.build(
            "invented_code", {name: body for name, body in files.items() if name not in gone.split()}
        )


SPOILT = {
    "another system's variable": (
        "procedure.toml",
        1,
        {"variable": "p_pair"},
        "p_pair is of another system of metal groups",
    ),
    "a group the system does not have": (
        "procedure.toml",
        3,
        {"with": {"groups": ["5A"]}},
        "'5A' is not a choice of m_number_a",
    ),
    "a group of one side only": (
        "procedure.toml",
        3,
        {"variable": "temper_b"},
        "stated for side A and holds for both",
    ),
    "groups within groups": (
        "procedure.toml",
        1,
        {"rule": "same_group", "with": {"by_name": ["23"]}},
        "M-Numbers have no groups within them",
    ),
    "a negative percentage": (
        "procedure.toml",
        5,
        {"with": {"below": -1, "above": 10}},
        "-1 percent is not a way to move",
    ),
    "a band that is not encoded under another kind": (
        "procedure.toml",
        4,
        {"rule": "groove_thickness"},
        "groove_thickness cannot use the table 'gate_thickness'",
    ),
}


@pytest.mark.parametrize(("file", "index", "changes", "message"), SPOILT.values(), ids=SPOILT.keys())
def test_a_row_that_does_not_fit_the_edition_is_refused(
    file: str, index: int, changes: dict[str, object], message: str
) -> None:
    files = read_files(FOLDER)
    files[file] = {
        "row": [({**row, **changes} if n == index else row) for n, row in enumerate(files[file]["row"])]
    }
    with pytest.raises(TableError, match=message):
        loader.build("invented_code", files)


BANDS = {
    "both low ends without a choice": (
        1,
        {"low_pick": None},
        "gives the low end twice; say which counts with low_pick",
    ),
    "a choice between one end": (
        2,
        {"high_pick": "larger"},
        "high_pick chooses between high and high_factor",
    ),
    "a range where nothing is encoded": (
        0,
        {"unlimited": True},
        "is not encoded, and gives a range all the same",
    ),
    "a low end above the high end": (
        1,
        {
            "low_factor": None,
            "low_pick": None,
            "low": {"us": "1/2 in", "si": "12 mm"},
            "high": None,
            "high_pick": None,
        },
        "its low end lies above",
    ),
}


@pytest.mark.parametrize(("index", "changes", "message"), BANDS.values(), ids=BANDS.keys())
def test_a_band_that_cannot_be_read_is_refused(index: int, changes: dict[str, object], message: str) -> None:
    files = read_files(FOLDER)
    rows = [
        ({k: v for k, v in {**row, **changes}.items() if v is not None} if n == index else row)
        for n, row in enumerate(files["bands.toml"]["gate_thickness"]["row"])
    ]
    files["bands.toml"] = {"gate_thickness": {"of": "length", "row": rows}}
    with pytest.raises(TableError, match=message):
        loader.build("invented_code", files)
