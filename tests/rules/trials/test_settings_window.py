"""A settings window holds what was read, inside what a test qualifies, and says how weak it is."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Citation, Provenance, VariableClass
from qualification.rules.core.values import Interval, Undetermined
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.trials.settings_window import (
    SettingReading,
    corner_remark,
    energy_of_corners,
    settings_window,
)
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.limits import Limit


def reading(value: str, record: str, variable: str = "amps") -> SettingReading:
    low, _, high = value.partition("-")
    return SettingReading(variable, Interval(D(low), D(high or low)), record)


def limit(variable: str, low: str | None, high: str | None) -> Limit:
    citation = Citation("Invented", "1", f"clause {variable}", Provenance.MEMORY)
    span = Interval(D(low) if low else None, D(high) if high else None)
    return Limit(variable, span, VariableClass.ESSENTIAL, citation, "", "PT-1")


def test_two_coupons_are_weak() -> None:
    (found,) = settings_window([reading("140-150", "T-1"), reading("146-156", "T-2")])
    assert (found.observed, found.proposed) == (Interval(D(140), D(156)), Interval(D(140), D(156)))
    assert (found.mean, round(found.scatter, 2)) == (D(148), D("4.24"))  # worked by us
    assert found.sentence == (
        "Rests on 2 readings of 2 welds: of further welds made alike, about 67 in 100 would be read "
        "outside it."
    )


def test_one_weld_says_nothing_of_how_far_it_may_go() -> None:
    (found,) = settings_window([reading("140", "T-1")])
    assert (found.scatter, found.readings) == (None, 1)
    assert found.sentence.startswith("Rests on one reading: it says what current was once")
    (found,) = settings_window([reading("140", "T-1"), reading("150", "T-1")])
    assert found.sentence.startswith("Rests on 2 readings of one weld")


def test_what_a_test_does_not_qualify_is_cut_off() -> None:
    readings = [reading("140", "T-1"), reading("170", "T-2")]
    (found,) = settings_window(readings, [limit("amps", "130", "160")])
    assert found.proposed == Interval(D(140), D(160))
    assert (
        "Current as read, 140 to 170 A, was cut to what the test qualifies: 130 to 160 A by clause amps."
        in found.sentence
    )
    (outside,) = settings_window(readings, [limit("amps", "180", None)])
    assert outside.proposed is None
    assert "lies outside what the test qualifies: 180 A or more" in outside.sentence


def test_a_limit_that_cannot_be_told_is_said() -> None:
    citation = Citation("Invented", "1", "clause 7", Provenance.MEMORY)
    unknown = Limit("amps", Undetermined(("volts",)), VariableClass.ESSENTIAL, citation, "", "PT-1")
    (found,) = settings_window([reading("140", "T-1"), reading("150", "T-2")], [unknown])
    assert found.open_limits == (unknown,)
    assert "cannot be told in full (clause 7)" in found.sentence


def test_ranges_that_hold_one_by_one_and_not_together() -> None:
    readings = [
        reading(value, record, variable)
        for variable, pair in (
            ("amps", ("140", "180")),
            ("volts", ("20", "24")),
            ("travel_speed", ("400", "600")),
        )
        for value, record in zip(pair, ("T-1", "T-2"), strict=True)
    ]
    windows = settings_window(readings)
    # Worked by us: 24 V, 180 A, 400 mm/min is 648 J/mm; 20 V, 140 A, 600 mm/min is 280 J/mm
    assert energy_of_corners(windows) == Interval(D("7.112"), D("16.4592"))
    assert corner_remark(windows, [limit("heat_input", None, "17")]) is None
    remark = corner_remark(windows, [limit("heat_input", None, "15")])
    assert remark is not None
    assert "give 16.5 kJ/in; the test qualifies up to 15 kJ/in" in remark
    assert energy_of_corners(windows[:1]) is None


def test_limits_of_a_real_test_cut_the_window() -> None:
    """Section IX limits heat input to that of the test where toughness is required (QW-409.1)."""
    joint = {
        "weld_type": "groove",
        "base_metal_a": "SA-36",
        "base_metal_b": "same",
        "thickness_a": "1/2 in",
        "thickness_b": "same",
        "preheat_min": "60 F",
        "pwht": "none",
        "impact_tested": "yes",
    }
    line = {
        "process": "GMAW",
        "transfer_mode": "spray",
        "filler_classification": "ER70S-6",
        "heat_input": "30 kJ/in",
        "heat_input_measure": "arc",
        "deposit_thickness": "1/2 in",
        "shielding_gas": "98Ar/2O2",
    }
    read = read_weld(joint, [line], RecordKind.TEST, "us")
    assert read.problems == ()
    tested = range_qualified(
        Coupon("PT-1", read.weld, welded_on=date(2026, 3, 2)), edition("asme_ix_2023"), Side.PROCEDURE
    )
    readings = [reading("28", "T-1", "heat_input"), reading("33", "T-2", "heat_input")]
    needed = read_weld({"toughness_required": "yes"}, [], RecordKind.SPEC, "us").weld.joint
    line_facts = needed.including({"heat_input_measure": frozenset({"arc"})})
    (found,) = settings_window(readings, tested.lines[0].limits, line_facts)
    assert found.proposed == Interval(D(28), D(30))
    not_needed = read_weld({"toughness_required": "no"}, [], RecordKind.SPEC, "us").weld.joint
    (free,) = settings_window(readings, tested.lines[0].limits, not_needed)
    assert free.proposed == Interval(D(28), D(33))


def test_a_reading_without_an_end_or_of_no_number_is_refused() -> None:
    for wrong in (
        SettingReading("amps", Interval(D(1), None), "T-1"),
        SettingReading("gun", Interval(D(1), D(2)), "T-1"),
    ):
        with pytest.raises(ValueError, match="number with both ends"):
            settings_window([wrong])


spans = st.tuples(st.integers(50, 300), st.integers(0, 60))


@given(st.lists(spans, min_size=1, max_size=12), spans)
def test_it_never_reaches_beyond_what_was_read_or_what_is_qualified(
    values: list[tuple[int, int]], allowed: tuple[int, int]
) -> None:
    readings = [reading(f"{low}-{low + width}", f"T-{n}") for n, (low, width) in enumerate(values)]
    bound = limit("amps", str(allowed[0]), str(allowed[0] + allowed[1]))
    (found,) = settings_window(readings, [bound])
    assert all(r.value.within(found.observed) for r in readings)
    assert found.proposed is None or found.proposed.within(found.observed)
    assert found.proposed is None or found.proposed.within(bound.allowed)
    (more,) = settings_window([*readings, reading("10-400", "T-more")])
    assert found.observed.within(more.observed)
    assert found.observed.low <= found.mean <= found.observed.high


def test_two_in_n_plus_one_fall_outside() -> None:
    """The share the sentence names, held against chance: uniform readings, drawn from a fixed seed."""
    import numpy as np

    rng = np.random.default_rng(5)
    for n in (2, 5, 20):
        drawn = rng.random((20_000, n + 1))
        first, last = drawn[:, :n], drawn[:, n]
        outside = np.mean((last < first.min(axis=1)) | (last > first.max(axis=1)))
        assert outside == pytest.approx(2 / (n + 1), abs=0.015)


def spread(values: range, name: str) -> list[SettingReading]:
    return [reading(str(value), f"{name}-{value}") for value in values]


def test_rejected_welds_between_accepted_ones_bound_the_window() -> None:
    """Accepted from 137 to 143 and from 149 to 155, eight rejected between: not 137 to 155."""
    good = [*spread(range(137, 144), "A"), *spread(range(149, 156), "A")]
    bad = [reading(v, f"R-{v}") for v in ("144", "144.5", "145", "145.5", "146", "147", "147.5", "148")]
    (found,) = settings_window(good, rejected=bad)
    assert (found.observed, found.proposed) == (Interval(D(137), D(143)), Interval(D(137), D(143)))
    assert found.beyond == (Interval(D(149), D(155)),)
    assert "149 to 155 A was accepted too, beyond them" in found.sentence
    (found,) = settings_window([*good, reading("155.5", "A-1")], rejected=bad)
    assert found.proposed == Interval(D(149), D("155.5"))


@pytest.mark.parametrize(
    ("value", "parted"), [("143", False), ("143.1", True), ("148.9", True), ("149", False)]
)
def test_a_rejected_weld_parts_only_the_gap_it_lies_in(value: str, parted: bool) -> None:
    good = [*spread(range(137, 144), "A"), *spread(range(149, 156), "A")]
    (found,) = settings_window(good, rejected=[reading(value, "R")])
    assert bool(found.beyond) is parted


def test_a_rejection_that_another_setting_explains_bounds_nothing() -> None:
    good = [reading(v, f"A-{v}") for v in ("140", "150")] + [
        reading(v, f"A-{n}", "volts") for v, n in (("21", "140"), ("22", "150"))
    ]
    bad = [reading("145", "R"), reading("26", "R", "volts")]
    current = next(each for each in settings_window(good, rejected=bad) if each.variable == "amps")
    assert (current.proposed, current.beyond) == (Interval(D(140), D(150)), ())
    bad = [reading("145", "R"), reading("22", "R", "volts")]
    current = next(each for each in settings_window(good, rejected=bad) if each.variable == "amps")
    assert len(current.beyond) == 1


def test_rejected_welds_alone_make_no_window_and_never_widen_one() -> None:
    assert settings_window([], rejected=[reading("150", "R")]) == ()
    (found,) = settings_window([reading("140", "A")], rejected=[reading("100", "R"), reading("200", "S")])
    assert found.proposed == Interval.point(D(140))


def test_what_was_set_alike_is_kept() -> None:
    (found,) = settings_window([reading("140", "A"), reading("140", "B")])
    assert found.constant
    assert found.sentence == "Set alike on all 2 welds: keep it, since nothing is known of other values."


@given(
    st.lists(st.integers(100, 200), min_size=1, max_size=12),
    st.lists(st.integers(100, 200), max_size=12),
)
def test_no_rejected_reading_lies_in_a_gap_of_the_window(good: list[int], bad: list[int]) -> None:
    readings = [reading(str(v), f"A{at}") for at, v in enumerate(good)]
    (found,) = settings_window(readings, rejected=[reading(str(v), f"R{at}") for at, v in enumerate(bad)])
    assert found.proposed is not None
    inside = sorted(v for v in good if found.proposed.low <= v <= found.proposed.high)  # type: ignore[operator]
    for low, high in zip(inside, inside[1:], strict=False):
        assert not any(low < v < high for v in bad)
    assert inside[0] == found.proposed.low
    assert inside[-1] == found.proposed.high
