"""Settings by size of electrode: a table on the form, rows of their own on page, paper and at the arc."""

from __future__ import annotations

from django.utils.datastructures import MultiValueDict
from lxml import html

from qualification.forms.record_forms import RecordForms
from qualification.rules.entries.showing import entered_groups
from qualification.rules.variables.definition import RecordKind
from wps.documents.bands import sheet_of
from wps.documents.shop_sheet import shop_sheet

NAME = "line-0-settings_by_size"
ROWS = "3/32: 70-100 A, 20-24 V; 1/8: 90-130 A, 22-26 V; 5/32: 130-180 A, 23-27 V"
LINE = {"process": "SMAW", "filler_classification": "E7018", "travel_speed": "4-8 ipm"}


def forms_of(data: dict[str, str] | None = None, **line: str) -> RecordForms:
    sent = MultiValueDict({key: [text] for key, text in data.items()}) if data is not None else None
    return RecordForms(RecordKind.SPEC, "us", "asme_ix_2023", {}, [{**LINE, **line}], sent)


def inputs(forms: RecordForms) -> dict[str, str]:
    field = forms.lines[0].form["settings_by_size"]
    return {each.name: each.value or "" for each in html.fromstring(str(field)).iter("input")}


def test_a_table_is_shown_filled_and_what_is_posted_is_stored_and_judged(db: None) -> None:
    shown = inputs(forms_of(settings_by_size=ROWS))
    assert [shown[f"{NAME}.{row}.amps"] for row in range(4)] == ["70-100 A", "90-130 A", "130-180 A", ""]
    posted = {"line_count": "1", "line-0-process": "SMAW"} | {
        f"{NAME}.{row}.{key}": text
        for row, cells in enumerate([("3/32", "70-100", "20-24"), ("1/8", "90-130", ""), ("", "", "")])
        for key, text in zip(("filler_diameter", "amps", "volts"), cells, strict=True)
    }
    forms = forms_of(posted)
    assert forms.line_entries[0]["settings_by_size"] == "3/32: 70-100 A, 20-24 V; 1/8: 90-130 A"
    facts = forms.read.weld.lines[0]
    assert (facts["amps"].low, facts["amps"].high) == (70, 130)  # type: ignore[union-attr]
    assert forms.problems == ()


def test_an_empty_table_states_nothing_and_a_wrong_cell_keeps_its_place(db: None) -> None:
    empty = {
        "line_count": "1",
        "line-0-process": "SMAW",
        f"{NAME}.0.filler_diameter": "",
        f"{NAME}.0.amps": " ",
    }
    assert "settings_by_size" not in forms_of(empty).line_entries[0]
    wrong = {**empty, f"{NAME}.0.filler_diameter": "3/32", f"{NAME}.0.amps": "hot"}
    forms = forms_of(wrong)
    assert any("hot" in problem.message for problem in forms.problems)
    assert inputs(forms)[f"{NAME}.0.amps"].startswith("hot")


def content(**line: str) -> dict[str, object]:
    lines = [{**LINE, **line}]
    groups = entered_groups({}, lines, RecordKind.SPEC, "us")
    return {
        "entered": [group.as_json() for group in groups],
        "code": {},
        "edition": "asme_ix_2023",
        "kind": "spec",
        "joint": {},
        "lines": lines,
        "units": "us",
    }


def test_paper_and_arc_have_a_row_for_each_size_and_never_the_span_of_all() -> None:
    """The span of all sizes would let the smallest be burnt at the current of the largest."""
    settings = sheet_of(content(settings_by_size=ROWS)).settings
    assert [head[0][:2] for head in settings.heads] == [
        ("Current", "A"),
        ("Voltage", "V"),
        ("Travel speed", "in/min"),
    ]
    assert [(row.number, row.part, row.cells[0][0].value) for row in settings.rows] == [  # type: ignore[union-attr]
        (1, "3/32 in", "70–100"),
        (1, "1/8 in", "90–130"),
        (1, "5/32 in", "130–180"),
    ]
    assert {row.cells[2][0].value for row in settings.rows} == {"4–8"}  # type: ignore[union-attr]
    told = sheet_of(content(settings_by_size=ROWS)).electrical
    assert "Settings by electrode size" not in [pair.label for pair in told]


def test_one_setting_for_all_stays_one_row() -> None:
    (row,) = sheet_of(content(amps="90-130")).settings.rows
    assert (row.process, row.cells[0][0].value) == ("SMAW", "90–130")  # type: ignore[union-attr]


def test_the_sheet_at_the_arc_has_the_rows_as_well(db: None) -> None:
    rows = shop_sheet(content(settings_by_size=ROWS)).rows
    assert [(row.part, row.values[0]) for row in rows] == [
        ("3/32 in", "70–100"),
        ("1/8 in", "90–130"),
        ("5/32 in", "130–180"),
    ]
