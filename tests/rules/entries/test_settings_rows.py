"""A line with a row of settings for each size of electrode: read, judged row by row, printed, read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import SI, US, QuantityError
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.settings_rows import (
    SettingsRow,
    cells_of,
    read_rows,
    said_rows,
    say_rows,
    text_of,
)
from qualification.rules.entries.showing import entered_groups
from qualification.rules.trials.combinations import checks_of
from qualification.rules.variables.definition import RecordKind
from tests.rules.ranges.test_several_sizes import verdict_of

ROWS = "3/32: 70-100 A, 20-24 V; 1/8: 90-130 A, 22-26 V; 5/32: 130-180 A, 23-27 V"
STEEL = {"base_metal_a": "SA-36", "base_metal_b": "same"}


def stick(text: str, **more: str) -> dict[str, str]:
    return {"process": "SMAW", "filler_classification": "E7018", "settings_by_size": text, **more}


def test_rows_are_read_and_say_sizes_current_and_voltage_of_the_line() -> None:
    found = read_weld(STEEL, [stick(ROWS)], RecordKind.SPEC, US)
    assert found.problems == ()
    line = found.weld.lines[0]
    spans = {key: (line[key].low, line[key].high) for key in ("amps", "volts")}  # type: ignore[union-attr]
    assert spans == {"amps": (70, 180), "volts": (20, 27)}
    sizes = line["filler_diameter"]
    assert isinstance(sizes, Interval)
    assert (str(sizes.low), str(sizes.high)) == ("2.38125", "3.96875")


def test_rows_are_printed_as_typed_with_their_reading() -> None:
    rows = {r.key: r for g in entered_groups({}, [stick(ROWS)], RecordKind.SPEC, US) for r in g.rows}
    table = rows["settings_by_size"]
    assert table.first == ROWS
    assert "1/8 in (3.18 mm): 90 to 130 A, 22 to 26 V" in table.beside
    assert rows["amps"].words == "70 to 180 A, from settings by electrode size"


def test_a_row_out_of_the_current_of_its_size_is_pointed_out_and_the_others_are_not() -> None:
    found = read_weld(STEEL, [stick(ROWS.replace("90-130", "230-260"))], RecordKind.SPEC, US)
    odd = [check for check in checks_of(found, RecordKind.SPEC) if check.key == "current_of_electrode"]
    (entries,) = [check.entries for check in odd]
    assert "Current 230 to 260 A" in entries
    assert "Filler diameter 1/8 in" in entries
    assert checks_of(read_weld(STEEL, [stick(ROWS)], RecordKind.SPEC, US), RecordKind.SPEC) == ()


@pytest.mark.parametrize(
    ("claimed", "covered"), [("3/32: 90 A; 1/8: 120 A", True), ("1/8: 120 A; 3/16: 120 A", False)]
)
def test_every_row_has_to_lie_within_what_was_tested(claimed: str, covered: bool) -> None:
    found = verdict_of("d11_smaw", "settings_by_size", "1/8: 120 A", claimed, about="filler_diameter")
    assert (found.key == "covered") is covered


def test_a_row_beyond_what_the_line_states_is_a_problem() -> None:
    found = read_weld(STEEL, [stick(ROWS, amps="80-130")], RecordKind.SPEC, US)
    assert [p.message for p in found.problems] == ["Settings: a row lies outside current 80-130."]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("3/32", "is not a size with its settings"),
        ("3/32: 70-100 A; 3/32: 90 A", "stands in two rows"),
        ("3/32: 70-100 kg", "is not a current, a voltage or a wire feed speed"),
        ("heavy: 70 A", "could not be read"),
    ],
)
def test_a_row_that_is_not_understood_is_refused(text: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        read_rows(text, US)
    assert read_weld(STEEL, [stick(text)], RecordKind.SPEC, US).problems


ends = st.tuples(st.integers(20, 300), st.integers(0, 80)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@given(
    st.lists(
        st.tuples(st.sampled_from(["1/16", "3/32", "1/8", "5/32", "3/16"]), ends, ends),
        min_size=1,
        max_size=4,
        unique_by=lambda row: row[0],
    ),
    st.sampled_from([US, SI]),
)
def test_printed_rows_read_back_as_the_same(
    rows: list[tuple[str, tuple[int, int], tuple[int, int]]], shown: str
) -> None:
    typed = "; ".join(f"{size} in: {a}-{b} A, {c}-{d} V" for size, (a, b), (c, d) in rows)
    read = read_rows(typed, US)
    again = read_rows(say_rows(read, shown), shown)
    assert [row.values for row in again] == [row.values for row in read]
    for one, two in zip(read, again, strict=True):
        assert isinstance(one, SettingsRow)
        assert abs((one.size.low or 0) - (two.size.low or 0)) <= 0.01  # type: ignore[operator]


CELLS = st.fixed_dictionaries(
    {
        "filler_diameter": st.sampled_from(["3/32", "1/8 in", "2.5 mm", "0.045"]),
        "amps": st.sampled_from(["", "70-100 A", "70 to 100 A", "90 A"]),
        "volts": st.sampled_from(["", "20-24 V", "22 V"]),
        "wire_feed": st.sampled_from(["", "300 ipm", "250-300 ipm", "7.6 m/min"]),
    }
)


@given(st.lists(CELLS, max_size=4), st.sampled_from([US, SI]))
def test_a_table_is_stored_as_one_text_and_comes_back_as_the_same_table(
    rows: list[dict[str, str]], system: str
) -> None:
    text = text_of(rows, system)
    wanted = [{key: cell for key, cell in row.items() if cell} for row in rows]
    assert cells_of(text, system) == wanted
    assert text_of(cells_of(text, system), system) == text


def test_a_bare_number_takes_the_unit_of_its_column() -> None:
    cells = {"filler_diameter": "3/32", "volts": "20-24", "wire_feed": "300"}
    assert text_of([cells], US) == "3/32: 20-24 V, 300 in/min"
    assert text_of([cells], SI) == "3/32: 20-24 V, 300 m/min"
    assert text_of([{"filler_diameter": "3/32", "amps": "130 max"}], US) == "3/32: 130 max A"


def test_the_words_of_rows_come_apart_into_size_and_settings() -> None:
    words = say_rows(read_rows("3/32: 70-100 A, 20-24 V; 1/8: 90-130 A, 250-300 ipm", US), US)
    assert said_rows(words) == [
        ("3/32 in (2.38 mm)", {"amps": "70 to 100 A", "volts": "20 to 24 V"}),
        ("1/8 in (3.18 mm)", {"amps": "90 to 130 A", "wire_feed": "250 to 300 in/min (6.35 to 7.62 m/min)"}),
    ]


def test_what_fits_no_column_stays_in_the_table() -> None:
    assert cells_of("3/32: hot, 20 V; quarter", US) == [
        {"filler_diameter": "3/32", "amps": "hot", "volts": "20 V"},
        {"filler_diameter": "quarter"},
    ]
