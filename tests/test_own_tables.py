"""Tables of a shop's own edition without a database: every row that ships goes through text and form
unchanged, and the laws notice rows that no code could have."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from qualification.codes.own_cases import as_cases, broken_laws, read_cases, weld_of
from qualification.codes.own_columns import as_value, body_of, body_shown, variable_named
from qualification.codes.own_rows import (
    declared,
    end_of,
    entries_of,
    has_form,
    kinds_for,
    stamped,
    with_row,
    without_row,
)
from qualification.codes.own_tables import NAMED, RULES, as_texts, build, parsed_all
from qualification.rules.editions import loader
from qualification.rules.ranges.kinds.basic import KINDS
from qualification.rules.tabular.overlay import rows_of, value_at
from qualification.rules.tabular.schema import TableError
from tests.ellery_works import COUPON


@pytest.mark.parametrize("key", loader.editions())
def test_every_shipped_row_goes_through_text_and_form_unchanged(key: str) -> None:
    files = loader.shipped_files(key)
    assert parsed_all(as_texts(files)) == files
    for file, path, row in rows_of(files):
        if not has_form(file, path, files):
            assert file not in (*RULES, *NAMED, "base_metals.toml", "fillers.toml", "acceptance.toml")
            continue
        entries = entries_of(file, path, files, row.get("variable", ""), row.get("rule", ""))
        for entry in entries:
            value = value_at(row, entry.path)
            if value is not None:
                assert entry.read(entry.shown(row)) == value, (file, path, entry)
        known = {entry.path[0] for entry in entries}
        assert set(row) <= known | {"variable", "rule", "standing", "provenance", "source", "remark"}


def test_every_kind_of_rule_has_words() -> None:
    assert {name for name, _ in kinds_for("procedure.toml")} == set(KINDS)


@pytest.mark.parametrize(
    ("typed", "kind", "value"),
    [
        ("1/2 in (13 mm)", "pair", {"us": "1/2 in", "si": "13 mm"}),
        ("13 mm", "pair", "13 mm"),
        ("At least 1/8 in (3 mm), below 1 in (25 mm)", "pair_interval",
            {"at_least": {"us": "1/8 in", "si": "3 mm"}, "below": {"us": "1 in", "si": "25 mm"}}),
        ("weld type: Groove, fillet", "conditions", {"weld_type": ["groove", "fillet"]}),
        ("Weld type: groove; Product form: pipe\nWeld type: plug", "condition_sets",
            [{"weld_type": ["groove"], "product_form": ["pipe"]}, {"weld_type": ["plug"]}]),
        ("a, b; c", "key_lists", [["a", "b"], ["c"]]),
        ("2.50", "number", 2.5),
        ("Face bend, root_bend", "kinds", ["face_bend", "root_bend"]),
        ("Radiograph", "kind", "radiograph"),
        ("4 side bend\n2 face bend, 2 Root bend", "counts",
            [{"side_bend": 4}, {"face_bend": 2, "root_bend": 2}]),
    ],
)  # fmt: skip
def test_what_is_typed_becomes_what_the_tables_write(typed: str, kind: str, value: Any) -> None:
    assert as_value(typed, kind) == value


@pytest.mark.parametrize(
    ("typed", "kind", "message"),
    [
        ("two", "number", "“two” is not a number"),
        ("2.5", "whole", "is not a whole number"),
        ("NaN", "number", "is not a number"),
        ("maybe", "yes_no", "neither yes nor no"),
        ("1/2 in (13 mm", "pair", "is not a limit"),
        ("about 1 in", "pair_interval", "is not the end of a band"),
        ("groove", "conditions", "is no condition"),
        ("Weld shape: groove", "conditions", "is no property of a weld"),
        ("brick test", "kinds", "is no kind of result. One of: "),
        ("two face bend", "counts", "“two” is not a whole number"),
    ],
)
def test_what_cannot_be_read_says_what_to_write(typed: str, kind: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        as_value(typed, kind)


def test_a_coupon_is_typed_a_line_each_and_shown_alike() -> None:
    body = body_of(COUPON + "\namps: 100 A\nProcess: GTAW\nPosition: flat; overhead")
    assert body["joint"]["position"] == ["flat", "overhead"]
    assert [line["process"] for line in body["lines"]] == ["GMAW", "GTAW"]
    assert body_of(body_shown(body)) == body
    with pytest.raises(ValueError, match="is no entry"):
        body_of("just words")
    with pytest.raises(ValueError, match="Close to it: "):
        variable_named("root")


def test_rows_are_put_in_and_taken_out_and_the_head_says_which_files_there_are() -> None:
    files = declared({"edition.toml": {"without": ["bands.toml"]}, "sources.toml": {"source": []}})
    band = {"clause": "P.5", "high_factor": 2, "provenance": "shop"}
    made = with_row(files, "bands.toml", end_of(files, "bands.toml", "plate"), band, "length")
    assert made["bands.toml"] == {"plate": {"of": "length", "row": [band]}}
    assert made["edition.toml"] == {"files": ["bands.toml"]}
    assert end_of(made, "bands.toml", "plate") == ("plate", "row", 1)
    assert without_row(made, "bands.toml", ("plate", "row", 0))["bands.toml"] == {}
    said = stamped({**band, "source": ["X"]}, "Rosa Lindqvist", date(2031, 5, 4), "Copy 1", "n")
    assert said["remark"] == "Entered by Rosa Lindqvist on 2031-05-04 from Copy 1. Note: n"
    assert "source" not in said


def ellery(*rows: dict[str, Any]) -> Any:
    """Ellery Works Code with these rules."""
    common = {"standing": {"GMAW": "essential"}, "because": "Invented.", "provenance": "shop"}
    head = {
        "code": "Ellery Works Code",
        "edition": "3",
        "title": "Gates",
        "family": "other",
        "processes": ["GMAW"],
    }
    files = {
        "edition.toml": head,
        "sources.toml": {"source": []},
        "procedure.toml": {"row": [{**row, **common} for row in rows]},
    }
    return build("own_ellery", declared(files))


PROCESS = {"clause": "P.1", "variable": "process", "rule": "same"}


def case(weld: str = "") -> dict[str, Any]:
    coupon = body_of(f"{COUPON}\namps: 100 A")
    changes = body_of(weld)
    return {
        "name": "one",
        "side": "procedure",
        "units": "us",
        "expect": "covered",
        "clause": "",
        "coupon": coupon,
        "weld": weld_of(coupon, "procedure", "us", changes),
    }


def test_a_row_that_no_code_could_have_breaks_a_law_and_the_document_is_shown() -> None:
    """A code that refuses the weld its own coupon is: amperage fixed where the coupon's is not."""
    allowed = {"allowed": {"at_least": "150 A", "up_to": "200 A"}}
    amps = {"clause": "P.9", "variable": "amps", "rule": "fixed_range", "with": allowed}
    broken = broken_laws(ellery(PROCESS, amps), [case("amps: 160 A")], 1, 4)
    assert any("refuses its equal" in each.message for each in broken)
    assert '"amps"' in broken[0].document_text
    assert broken_laws(ellery(PROCESS), [case()], 1, 4) == []


def test_cases_that_are_none_are_refused() -> None:
    one = case()
    assert read_cases(as_cases([one])) == [one]
    for spoilt in ({**one, "side": "inspector"}, {**one, "weld": {"joint": {}}}, {**one, "brick": "x"},
                   {**one, "coupon": {"joint": {"brick": "x"}, "lines": []}}):  # fmt: skip
        with pytest.raises(TableError, match="cases.toml, case 1"):
            read_cases(as_cases([spoilt]))
    with pytest.raises(TableError, match="cases.toml"):
        read_cases("[[case")
