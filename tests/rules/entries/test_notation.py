"""How shops write numbers: each notation read, said in both unit systems, and read back as printed."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import SI, US, QuantityError, show_both
from qualification.rules.core.units import DIMENSIONS
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.entries.notation import Manner, Measure, read_measure
from qualification.rules.entries.reading import EntryError, read_entry, read_weld
from qualification.rules.entries.showing import EnteredRow, entered_groups
from qualification.rules.materials.sizes import sizes
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import variable
from tests.rules.readers.notations import NOTATIONS
from tests.work import A_SECOND, calls_of

D = Decimal
SPEC = RecordKind.SPEC


def read(key: str, entry: str, use: RecordKind = SPEC, system: str = US) -> Stated:
    return read_entry(entry, variable(key), use, system)


def row(key: str, typed: dict[str, str], use: RecordKind = SPEC, system: str = US) -> EnteredRow:
    """The row that page and paper print."""
    joint, lines = (typed, []) if variable(key).level is Level.JOINT else ({}, [{"process": "GMAW", **typed}])
    rows = {r.key: r for group in entered_groups(joint, lines, use, system) for r in group.rows}
    return rows[key]


@pytest.mark.parametrize(
    ("key", "typed", "system", "low", "high", "printed"),
    NOTATIONS,
    ids=[f"{n[0]}: {n[1]}" for n in NOTATIONS],
)
def test_a_notation_is_read_and_printed_as_typed_with_its_reading(
    key: str, typed: str, system: str, low: str | None, high: str | None, printed: str
) -> None:
    wanted = Interval(*(None if end is None else D(end) for end in (low, high)))
    assert read(key, typed, system=system) == wanted
    found = row(key, {key: typed}, system=system)
    assert (found.first, found.beside) in (
        (typed, printed),
        (typed, printed.removeprefix(f"{typed} ")),
    )


@pytest.mark.parametrize(
    ("key", "typed", "system"), [n[:3] for n in NOTATIONS], ids=[f"{n[0]}: {n[1]}" for n in NOTATIONS]
)
def test_the_printed_reading_reads_back_as_the_same_to_its_last_digit(
    key: str, typed: str, system: str
) -> None:
    value = read(key, typed, system=system)
    assert isinstance(value, Interval)
    dimension = str(variable(key).dimension)
    printed = show_both(value, dimension, system)
    back = read_measure(printed, dimension, system, Manner()).interval
    assert back is not None
    for one, two in ((value.low, back.low), (value.high, back.high)):
        assert (one is None) == (two is None)
        assert one is None or two is None or abs(one - two) <= D("0.01")


WORDS = [
    "none required",
    "Per D1.1 table 5.8",
    "—",
    "ambient",
    "Room temperature",
    "as required",
    "by the drawing",
    "per drawing",
    "see sketch",
]


@pytest.mark.parametrize("typed", WORDS)
@pytest.mark.parametrize("use", [SPEC, RecordKind.TEST])
def test_words_that_limit_nothing_are_stated_and_never_a_number(typed: str, use: RecordKind) -> None:
    for key in ("interpass_max", "root_opening", "preheat_min"):
        assert read(key, typed, use) is MISSING
        found = row(key, {key: typed}, use)
        assert (found.first, found.beside, found.state) == (
            typed,
            "stated in words, which set no limit",
            "stated",
        )
    read_as = read_weld({"preheat_min": typed}, [], use, US)
    assert (read_as.problems, "preheat_min" in read_as.weld.joint) == ((), False)


REFUSED = [
    ("thickness_a", "any", RecordKind.TEST, "does not say what was welded"),
    ("thickness_a", "≤ 150", RecordKind.TEST, "does not say what was welded"),
    ("filler_diameter", "1/8 max", RecordKind.TEST, "does not say what was welded"),
    ("weave_width", "3x", RecordKind.TEST, "is not a unit this field takes"),
    ("thickness_a", "OD 168.3 x 7.11", RecordKind.TEST, "has no unit, and reads like mm"),
    ("thickness_a", "SHS 60x60x3", SPEC, "has no unit, and reads like mm"),
    ("thickness_a", "1/4 max", RecordKind.WELDER_TEST, "does not say what was welded"),
    ("thickness_a", "1/16, 3/32", RecordKind.TEST, "names 2 sizes"),
    ("thickness_a", "3/16 thru 3/4", RecordKind.TEST, "Enter one number"),
    ("filler_diameter", "1.2", RecordKind.TEST, "If it is in millimeters, write 1.2 mm"),
    ("amps", "130-90", RecordKind.TEST, "runs downwards"),
    ("preheat_min", "max 250 F", SPEC, "this field is the lowest value"),
    ("thickness_a", "6 ± 1 mm", RecordKind.TEST, "is a range. Enter one number"),
    ("thickness_a", "T/2T", SPEC, "could not be read"),
    ("thickness_a", "23.875 mm (0.95 in)", SPEC, "two different quantities. Which is right"),
    ("thickness_a", "1/4 in (8 mm)", SPEC, "two different quantities"),
    ("preheat_min", "10 C max", SPEC, "this field is the lowest value"),
    ("interpass_max", "≥ 150", SPEC, "this field is the highest value"),
    ("amps", "10 ± 20 A", SPEC, "below zero"),
    ("thickness_a", "Sch 80", SPEC, "Write the nominal size with it"),
    ("thickness_a", "NPS 6", SPEC, "gives no wall"),
    ("diameter", "wall .280", SPEC, "is a wall"),
    ("diameter", "HSS 4x4x1/4", SPEC, "no outside diameter"),
    ("diameter", "6 in Sch 80 (.280 wall)", RecordKind.TEST, "two walls. Which is right"),
    ("diameter", "NPS 7", SPEC, "not a pipe size known here"),
    ("diameter", "NPS 6 Sch 100", SPEC, "has no wall for Sch 100"),
    ("thickness_a", "10 ga", SPEC, "0.1345 in of steel, 0.1382 in of galvanized, 0.1406 in of stainless"),
    ("thickness_a", "10 ga zinc", SPEC, "not a sheet whose gauges are known"),
    ("thickness_a", "99 ga", SPEC, "not a gauge of sheet"),
    ("diameter", "NPS 1/0", SPEC, "divides by zero"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "typed", "use", "words"), REFUSED, ids=[f"{r[0]}: {r[1]} ({r[2].value})" for r in REFUSED]
)
def test_what_leaves_something_open_is_refused_in_words(
    key: str, typed: str, use: RecordKind, words: str
) -> None:
    with pytest.raises(EntryError, match=words):
        read(key, typed, use)


LIMITS = [
    ("amps", "130 max", US, "up to 130 A"),
    ("amps", "≤ 130 A", SI, "up to 130 A"),
    ("amps", "90 min", US, "90 A or more"),
    ("amps", "any", US, "no limit"),
    ("travel_speed", "4 ipm min", US, "4 in/min or more (102 mm/min or more)"),
    ("shielding_flow", "≤ 1 m3/h", SI, "up to 16.7 L/min (up to 35 cfh)"),
    ("contact_tube_distance", "3/4 max", US, "up to 3/4 in (up to 19.05 mm)"),
]


@pytest.mark.parametrize(("key", "typed", "system", "said"), LIMITS, ids=[f"{n[0]}: {n[1]}" for n in LIMITS])
def test_a_limit_on_a_record_of_a_weld_is_kept_and_gives_no_number(
    key: str, typed: str, system: str, said: str
) -> None:
    found = row(key, {key: typed}, RecordKind.TEST, system)
    assert (found.first, found.beside, found.state) == (
        typed,
        f"{said}: a limit, not what was welded",
        "stated",
    )
    weld = read_weld({}, [{"process": "GMAW", key: typed}], RecordKind.TEST, system)
    assert (weld.problems, weld.weld.lines[0].given(key)) == ((), False)
    claimed = read(key, typed, SPEC, system)
    assert isinstance(claimed, Interval)
    assert None in (claimed.low, claimed.high)


@pytest.mark.parametrize("typed", ["3x dia max", "2.5 x electrode diameter", "max 3 times core wire"])
def test_a_width_by_the_electrode_is_stated_in_words(typed: str) -> None:
    assert read("weave_width", typed) is MISSING
    assert row("weave_width", {"weave_width": typed}).beside == "stated in words, which set no limit"


def joint(
    use: RecordKind = RecordKind.TEST, system: str = US, **typed: str
) -> tuple[dict[str, Stated], list[str]]:
    found = read_weld(typed, [], use, system)
    return dict(found.weld.joint), [problem.message for problem in found.problems]


@pytest.mark.parametrize("typed", ["6 in", "6", '6"', "2-1/2 in", "3.5 in", "1/2"])
@pytest.mark.parametrize("use", [RecordKind.TEST, SPEC, RecordKind.WELDER_TEST, RecordKind.PART])
def test_a_bare_nominal_size_of_pipe_asks_and_is_never_taken_for_the_outside(
    typed: str, use: RecordKind
) -> None:
    facts, said = joint(use, product_form="pipe", diameter=typed)
    assert "diameter" not in facts
    assert "the nominal size or the outside diameter? Write NPS" in said[0]
    assert row("diameter", {"product_form": "pipe", "diameter": typed}, use).state == "unread"


@pytest.mark.parametrize(
    ("typed", "system", "mm"),
    [
        ("6 in OD", US, "152.4"),
        ("NPS 6", US, "168.275"),
        ("NPS 6", SI, "168.3"),
        ("6.625 in", US, "168.275"),
        ("2-7/8 in", US, "73.025"),
        ("14 in", US, "355.6"),
        ("24", US, "609.6"),
        ("10.3", US, "261.62"),  # NPS 1/8 is 10.3 mm (ASME B36.10M, from memory), and too small to ask
        ("6", SI, "6"),
        ("152.4 mm", US, "152.4"),
        ("6 in nominal", US, "168.275"),
        ('6" nom. pipe', US, "168.275"),
    ],
)
def test_what_says_which_it_is_is_read(typed: str, system: str, mm: str) -> None:
    facts, said = joint(system=system, product_form="pipe", diameter=typed)
    assert (facts["diameter"], said) == (Interval.point(D(mm)), [])


def test_a_tube_without_a_unit_that_is_none_in_the_records_own_asks() -> None:
    for typed, system in (("OD 168.3 x 7.11", US), ("RHS 100x50x4", US), ("4 x 4 x 1/4 HSS", SI)):
        stated, problems = joint(system=system, thickness_a=typed)
        assert "has no unit, and reads like" in problems[0]
        assert not {"thickness_a", "diameter"} & set(stated)
    assert joint(thickness_a="OD 30 x .500")[1] == []
    assert joint(system=SI, thickness_a="RHS 100x50x4")[1] == []


@pytest.mark.parametrize("typed", ["Ø 60.3 x 5", "168.3 x 7.11", "114,3", "13.7"])
def test_a_metric_pipe_without_a_unit_in_a_record_in_inches_asks(typed: str) -> None:
    stated, problems = joint(diameter=typed, thickness_b="same")
    assert [("mm is a pipe. Write mm or in" in problem) for problem in problems] == [True]
    assert "diameter" not in stated
    assert "thickness_a" not in stated
    assert joint(system=SI, diameter=typed)[1] == []


def test_same_takes_the_wall_that_follows_from_the_pipe_and_what_goes_with_the_metal() -> None:
    stated, problems = joint(
        diameter="NPS 6 Sch 80",
        thickness_b="same",
        base_metal_a="6061",
        temper_a="T6",
        material_spec_a="SB-241",
        base_metal_b="same",
    )
    assert problems == []
    assert stated["thickness_b"] == stated["thickness_a"] == Interval.point(D("10.9728"))
    assert (stated["temper_b"], stated["material_spec_b"]) == ("T6", "SB-241")


def test_a_range_of_nominal_sizes_asks_as_well() -> None:
    assert "Write NPS 2" in joint(SPEC, product_form="pipe", diameter="2 - 7 in")[1][0]
    assert joint(SPEC, product_form="pipe", diameter="2 - 7 in OD")[1] == []


def test_a_pipe_states_its_wall_and_a_schedule_takes_the_size_from_the_diameter() -> None:
    wall = Interval.point(D("10.9728"))
    assert joint(product_form="pipe", diameter="NPS 6 Sch 80")[0]["thickness_a"] == wall
    facts, said = joint(product_form="pipe", diameter="NPS 6", thickness_a="Sch 80", thickness_b="same")
    assert (facts["thickness_a"], facts["thickness_b"], said) == (wall, wall, [])
    facts, said = joint(product_form="pipe", thickness_a="2 x 1/8 wall")
    assert (facts["diameter"], facts["thickness_a"]) == (
        Interval.point(D("50.8")),
        Interval.point(D("3.175")),
    )
    assert "has another wall" in joint(product_form="pipe", diameter="NPS 6 Sch 80", thickness_a=".280")[1][0]
    assert joint(product_form="pipe", diameter="NPS 6 Sch 80", thickness_a=".432")[1] == []


@pytest.mark.parametrize(
    ("metal", "inches"), [("5052-H32", "0.1019"), ("304", "0.1406"), ("A36", "0.1345"), ("P-23", "")]
)
def test_a_gauge_takes_the_metal_of_its_side_and_asks_where_that_is_open(metal: str, inches: str) -> None:
    facts, said = joint(base_metal_a=metal, thickness_a="10 ga", p_number_a="")
    if inches:
        assert facts["thickness_a"] == Interval.point(D(inches) * D("25.4"))
    else:
        assert "thickness_a" not in facts
        assert "Write which" in said[0]


def test_sizes_hold_together() -> None:
    """Walls grow with the schedule and leave a bore; both columns of a pipe agree to a millimeter."""
    order = ("5S", "10S", "40", "80", "160", "XXS")
    for nps, pipe in sizes().pipes.items():
        assert abs(pipe.outside.us - pipe.outside.si) <= 1, nps
        walls = [pipe.walls[each] for each in order if each in pipe.walls and (each != "XXS" or nps <= 6)]
        assert walls == sorted(set(walls)), nps
        assert all(2 * wall * D("25.4") < pipe.outside.us for wall in pipe.walls.values()), nps
        assert pipe.outside.us / D("25.4") == nps or nps < 14
    for metal, sheets in sizes().gauges.items():
        inches = [sheets[gauge] for gauge in sorted(sheets)]
        assert inches == sorted(inches, reverse=True), metal


PARTS = [
    *(
        "1",
        "6",
        "12.5",
        "1/8",
        "-",
        " ",
        "to",
        " in",
        " mm",
        "°F",
        ".",
        ", ",
        "/",
        "±",
        "+/-",
        "(",
        ")",
        "max",
    ),
    *(
        "min",
        "≤",
        "up to ",
        "NPS ",
        "Sch ",
        "80",
        "x",
        " wall",
        "OD ",
        "ga",
        " any",
        "ambient",
        "%",
        "A",
        "DN",
    ),
]
TYPED = st.lists(st.sampled_from(PARTS), max_size=10).map("".join)
MANNERS = st.builds(
    Manner,
    st.booleans(),
    st.booleans(),
    st.sampled_from(["", "low", "high"]),
    st.sampled_from(["", "outside", "wall"]),
    st.booleans(),
    st.sampled_from(["", "filler_diameter", "cup_size", "tungsten_diameter"]),
    st.booleans(),
    st.booleans(),
)


@given(TYPED, st.sampled_from(sorted(DIMENSIONS)), st.sampled_from([US, SI]), MANNERS)
def test_any_jumble_is_read_or_refused_in_a_sentence(
    typed: str, dimension: str, system: str, manner: Manner
) -> None:
    try:
        found = read_measure(typed, dimension, system, manner)
    except QuantityError as error:
        said = str(error)
    else:
        said = "It was read."
        _holds_to_the_manner(found, manner)
    assert said.endswith(".")


def _holds_to_the_manner(found: Measure, manner: Manner) -> None:
    if manner.recorded and found.interval is not None:
        # What was measured is a number or a range, never open to one side.
        assert manner.designed or found.interval.low is not None
        assert manner.designed or found.interval.high is not None
    if found.interval is not None and not manner.many:  # a bound takes the one end it asks for
        assert found.interval.is_point


@given(
    st.decimals(D("0.5"), D("400"), places=3),
    st.decimals(D("0"), D("90"), places=3),
    st.booleans(),
    st.booleans(),
    st.sampled_from([US, SI]),
)
def test_every_printed_interval_reads_back(
    low: Decimal, width: Decimal, has_low: bool, has_high: bool, system: str
) -> None:
    value = Interval(low if has_low else None, low + width if has_high else None)
    back = read_measure(show_both(value, "length", system), "length", system, Manner()).interval
    assert back is not None
    for one, two in ((value.low, back.low), (value.high, back.high)):
        assert (one is None) == (two is None)
        # Half a step of the last digit printed: 0.01 mm, or a ten-thousandth of an inch.
        assert one is None or two is None or abs(one - two) <= D("0.0051")


@pytest.mark.parametrize("piece", ["1 - ", "1/", "(", "±", ", 1", "NPS ", "x 1 ", "max "])
def test_long_nonsense_takes_no_time(piece: str) -> None:
    assert calls_of(lambda: _read_or_refused((piece * 400)[:400])) < A_SECOND / 10


def _read_or_refused(text: str) -> None:
    for key in ("thickness_a", "diameter", "amps", "base_metal_a", "shielding_gas", "filler_classification"):
        with suppress(EntryError):
            read(key, text)
