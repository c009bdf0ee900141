"""A number without a unit that few would mean in inches or °F: asked about from the value of its row on, and
never taken silently (common practice; no code speaks of it)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import SI, US, read_quantity
from qualification.rules.core.units import DIMENSIONS
from qualification.rules.core.values import Interval
from qualification.rules.entries import bare_numbers
from qualification.rules.entries.bare_numbers import FILE, taken_as_written
from qualification.rules.entries.one_entry import EntryError, read_entry
from qualification.rules.materials.terms import catalogue_file
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.definition import RecordKind, ValueKind
from qualification.rules.variables.registry import registry, variable

D = Decimal
SPEC, TEST = RecordKind.SPEC, RecordKind.TEST
ROWS = sorted(taken_as_written())
WITHOUT_A_ROW = {
    "cup_size": "its reading asks for # or mm",
    "lead_length": "leads of 500 mm and of 40 ft are both everyday; no number tells them apart",
}


def read(key: str, text: str, system: str = US, use: RecordKind = SPEC) -> Interval:
    found = read_entry(text, variable(key), use, system)
    assert isinstance(found, Interval)
    return found


def ends_of(found: Interval) -> str:
    ends = ["" if end is None else f"{end.normalize():f}" for end in (found.low, found.high)]
    return ends[0] if found.is_point else "-".join(ends)


def test_every_length_that_is_typed_has_a_row() -> None:
    typed = {
        key
        for key, each in registry().items()
        if each.kind is ValueKind.NUMBER and each.dimension == "length" and not each.derived
    }
    assert typed == {key for key in ROWS if variable(key).dimension == "length"} | set(WITHOUT_A_ROW)


CASES = [
    # on the value of the row, inside and outside it
    ("thickness_a", "2", "50.8"),
    ("thickness_a", "1.99", "50.546"),
    ("thickness_a", "2.01", ""),
    ("thickness_a", "13", ""),
    ("thickness_a", "<=13", ""),
    ("thickness_a", "10 min", ""),
    ("thickness_a", "8 max", ""),
    ("thickness_a", "3 to 24 mm", "3-24"),
    ("thickness_a", "3/16 to 8", "4.7625-203.2"),
    ("thickness_a", "0.375 to 8", "9.525-203.2"),
    ("thickness_a", ".5 to 8", "12.7-203.2"),
    ("thickness_a", "8 in max", "-203.2"),
    ("thickness_b", "10", ""),
    ("deposit_thickness", "12", ""),
    ("diameter", "24", "609.6"),
    ("diameter", "24.1", ""),
    ("diameter", "60", ""),
    ("diameter", "60 in", "1524"),
    ("diameter", "2-7/8 and over", "73.025-"),
    ("fillet_size", "1 1/4", "31.75"),
    ("fillet_size", "1.3", ""),
    ("fillet_size", "3", ""),
    ("root_opening", "0.75", "19.05"),
    ("root_opening", "1", ""),
    ("filler_diameter", "0.3", "7.62"),
    ("filler_diameter", "0.4", ""),
    ("weave_width", "2", ""),
    ("preheat_min", "32", "32"),
    ("preheat_min", "31", ""),
    ("preheat_min", "10 min", ""),
    ("preheat_min", "10 C", "50"),
    ("preheat_min", "10 °F", "10"),
]


@pytest.mark.parametrize(("key", "text", "ends"), CASES, ids=[f"{c[0]}: {c[1]}" for c in CASES])
def test_it_asks_outside_and_reads_on_and_inside_the_value_of_its_row(key: str, text: str, ends: str) -> None:
    if not ends:
        with pytest.raises(EntryError, match="has no unit"):
            read(key, text)
    else:
        assert ends_of(read(key, text)) == ends


def test_the_question_names_both_readings() -> None:
    for key, words in (
        ("thickness_a", "“13” has no unit. Is it 13 in or 13 mm? Write the unit behind it."),
        ("preheat_min", "“13” has no unit. Is it 13 °F or 13 °C? Write the unit behind it."),
    ):
        with pytest.raises(EntryError) as refused:
            read(key, "13", use=TEST)
        assert str(refused.value) == words
    with pytest.raises(EntryError, match="Write in or mm behind the number"):
        read("thickness_a", "<=13")


def test_a_record_in_metric_units_is_not_asked() -> None:
    assert ends_of(read("thickness_a", "<=13", SI)) == "-13"
    assert ends_of(read("preheat_min", "10 min", SI)) == "50"


NUMBERS = st.decimals(min_value=D("0.1"), max_value=D(400), places=2)
WRITTEN = ["{}", "<= {}", "≤{}", "{} max", "{} min", "≥ {}", "up to {}", "{} and over"]


@given(st.sampled_from(ROWS), NUMBERS, st.sampled_from(WRITTEN))
def test_no_bare_number_beyond_its_row_is_taken_for_inches(key: str, number: Decimal, written: str) -> None:
    """The law: read, it lies within the row or is no number of the metric unit; a unit behind it ends every
    question, and says the same in both unit systems."""
    definition = variable(key)
    dimension = DIMENSIONS[str(definition.dimension)]
    text = ("{}" if definition.bound else written).format(number)
    value, metric = (
        Interval(*[read_quantity(f"{number} {unit.symbol}", dimension.key, US).interval.low] * 2)
        for unit in (dimension.us, dimension.si)
    )
    assert definition.plausible_interval is not None
    taken, asked = said_of(key, text, US)
    within = value.within(taken_as_written()[key])
    assert not (within and "has no unit" in asked)
    if taken:
        assert value.low in (taken.low, taken.high)
        assert within or not metric.within(definition.plausible_interval)
    for unit in (dimension.us, dimension.si):
        with_unit = text.replace(str(number), f"{number} {unit.symbol}")
        us, si = (said_of(key, with_unit, system) for system in (US, SI))
        assert (us[0], "has no unit" in us[1] + si[1]) == (si[0], False)


def said_of(key: str, text: str, system: str) -> tuple[Interval | None, str]:
    """What the text is read as, or the refusal."""
    try:
        return read(key, text, system), ""
    except EntryError as refused:
        return None, str(refused)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"variables": ["thickness_a", "no_such"]}, "'no_such' is not a variable"),
        ({"above": None}, "gives neither above nor below"),
        ({"above": "two"}, "could not be read"),
        ({"variables": ["diameter"]}, "diameter stands in two rows"),
    ],
)
def test_a_row_that_says_nothing_is_refused(
    monkeypatch: pytest.MonkeyPatch, changed: dict[str, object], words: str
) -> None:
    rows = catalogue_file(FILE)["bare"]
    first = {key: value for key, value in {**rows[0], **changed}.items() if value is not None}
    monkeypatch.setattr(bare_numbers, "catalogue_file", lambda _: {"bare": [first, *rows[1:]]})
    taken_as_written.cache_clear()
    try:
        with pytest.raises(TableError, match=words):
            taken_as_written()
    finally:
        taken_as_written.cache_clear()
