"""What a report says: which test is relied on, what stands in the way, and what two tests do together."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import pytest

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.ranges import joining
from qualification.rules.ranges.coverage import coverage
from tests.rules.readers.small_edition import build_small

EDITION = build_small()
GROOVE = Facts({"weld_type": frozenset({"groove"})})
D = Decimal
Line = dict[str, Stated]


def span(low: int, high: int) -> Interval:
    return Interval(D(low), D(high))


def judge(line: Line, tests: Iterable[Line]) -> Report:
    records = [Coupon(f"T{n}", Weld(GROOVE, (Facts(test),))) for n, test in enumerate(tests, start=1)]
    return coverage(Weld(GROOVE, (Facts(line),)), records, EDITION, Side.PROCEDURE)


def covered(line: Line, tests: Iterable[Line]) -> bool:
    return judge(line, tests).verdict <= Verdict.COVERED


FULL: Line = {
    "process": frozenset({"GMAW"}),
    "amps": span(2, 4),
    "deposit_thickness": span(2, 4),
    "bead": frozenset({"stringer"}),
    "volts": span(2, 3),
    "current_type": frozenset({"DCEP"}),
    "peening": frozenset({"no"}),
    "passes_per_side": frozenset({"single"}),
}
TEST: Line = {**FULL, "deposit_thickness": Interval.point(D(2))}


def test_one_test_that_covers_all_is_relied_on_alone() -> None:
    report = judge(FULL, [{**TEST, "bead": frozenset({"weave"})}, TEST])
    assert (report.verdict, report.relied_on, report.obstacles) == (Verdict.COVERED, ("T2",), ())


def test_two_tests_join_and_each_says_it_covers_a_part() -> None:
    report = judge({**FULL, "amps": span(2, 8)}, [{**TEST, "amps": span(1, 5)}, {**TEST, "amps": span(5, 8)}])
    assert (report.verdict, report.relied_on) == (Verdict.COVERED, ("T1", "T2"))
    notes = {f.record: f.note for f in report.findings if f.variable == "amps"}
    assert notes == {
        "T1": "Covers a part of what is claimed; T2 covers the rest.",
        "T2": "Covers a part of what is claimed; T1 covers the rest.",
    }


def test_a_gap_between_two_tests_is_not_covered() -> None:
    tests = [{**TEST, "amps": span(1, 4)}, {**TEST, "amps": span(5, 8)}]
    assert judge({**FULL, "amps": span(2, 8)}, tests).verdict is Verdict.NOT_COVERED
    assert judge({**FULL, "amps": span(5, 8)}, tests).verdict is Verdict.COVERED


def test_two_tests_that_would_join_leave_a_missing_value_unknown() -> None:
    tests = [{**TEST, "amps": span(1, 5)}, {**TEST, "amps": span(5, 8)}]
    report = judge({**FULL, "amps": span(2, 8), "deposit_thickness": MISSING}, tests)
    assert report.verdict is Verdict.UNKNOWN
    assert {f.variable for f in report.obstacles} == {"deposit_thickness"}
    gap = [{**TEST, "amps": span(1, 4)}, {**TEST, "amps": span(5, 8)}]
    assert (
        judge({**FULL, "amps": span(2, 8), "deposit_thickness": MISSING}, gap).verdict is Verdict.NOT_COVERED
    )


def test_tests_do_not_join_over_a_variable_the_code_does_not_let_them_join_over() -> None:
    tests = [{**TEST, "volts": span(1, 2)}, {**TEST, "volts": span(2, 3)}]
    assert judge({**FULL, "volts": span(1, 3)}, tests).verdict is Verdict.NOT_COVERED


def test_what_stands_in_the_way_is_told_of_the_closest_test() -> None:
    far = {**TEST, "amps": span(7, 8), "volts": span(7, 8), "current_type": frozenset({"AC"})}
    report = judge(FULL, [far, {**TEST, "volts": span(7, 8)}])
    assert (report.relied_on, [f.variable for f in report.obstacles]) == (("T2",), ["volts"])
    assert [len(attempt.obstacles) for attempt in report.lines[0].attempts] == [3, 1]


def test_without_a_test_nothing_is_covered() -> None:
    report = judge(FULL, [])
    assert (report.verdict, [f.variable for f in report.obstacles]) == (Verdict.NOT_COVERED, ["process"])
    assert report.obstacles[0].note == "No test on file issues a range."


def test_another_process_is_not_covered_and_says_which_are() -> None:
    report = judge({**FULL, "process": frozenset({"GTAW"})}, [TEST])
    assert report.verdict is Verdict.NOT_COVERED
    assert report.obstacles[0].qualified == frozenset({"GMAW"})


def test_a_line_without_a_process_is_unknown() -> None:
    report = judge({**FULL, "process": MISSING}, [TEST])
    assert (report.verdict, report.obstacles[0].needs) == (Verdict.UNKNOWN, ("process",))


def test_a_weld_without_lines_is_unknown() -> None:
    assert coverage(Weld(Facts(), ()), [], EDITION, Side.PROCEDURE).verdict is Verdict.UNKNOWN


def test_a_record_refused_for_its_results_covers_nothing_and_says_why() -> None:
    failed = Coupon("T1", Weld(GROOVE, (Facts(TEST),)), refusals=("A bend opened up.",))
    report = coverage(Weld(GROOVE, (Facts(FULL),)), [failed], EDITION, Side.PROCEDURE)
    assert (report.verdict, report.refusals) == (Verdict.NOT_COVERED, ("T1: A bend opened up.",))


def test_beyond_the_most_cells_the_box_is_judged_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    tests = [{**TEST, "amps": span(1, 5)}, {**TEST, "amps": span(5, 8)}]
    assert covered({**FULL, "amps": span(2, 8)}, tests)
    monkeypatch.setattr(joining, "MOST_CELLS", 2)
    assert not covered({**FULL, "amps": span(2, 8)}, tests)


def two_lines(root: Line, fill: Line, *tests: tuple[str, Line]) -> Report:
    records = [Coupon(record, Weld(GROOVE, (Facts(test),))) for record, test in tests]
    return coverage(Weld(GROOVE, (Facts(root), Facts(fill))), records, EDITION, Side.PROCEDURE)


ROOT: Line = {
    **FULL,
    "process": frozenset({"GTAW"}),
    "part_of_joint": frozenset({"root"}),
    "consumable_insert": frozenset({"no"}),
}
ROOT_TEST: Line = {**ROOT, "deposit_thickness": Interval.point(D(2))}


def test_each_line_needs_a_test_of_its_own() -> None:
    assert two_lines(ROOT, FULL, ("R", ROOT_TEST), ("F", TEST)).relied_on == ("R", "F")
    report = two_lines(ROOT, FULL, ("F", TEST))
    assert [line.verdict for line in report.lines] == [Verdict.NOT_COVERED, Verdict.COVERED]
    assert report.verdict is Verdict.NOT_COVERED


def test_a_root_is_judged_again_when_other_tests_carry_the_rest() -> None:
    other = {**ROOT_TEST, "consumable_insert": frozenset({"yes"})}
    assert two_lines(ROOT, FULL, ("R", other), ("F", TEST)).verdict is Verdict.COVERED
    not_root = {**ROOT, "part_of_joint": frozenset({"fill"})}
    assert two_lines(not_root, FULL, ("R", other), ("F", TEST)).verdict is Verdict.NOT_COVERED
    rest_uncovered = {**FULL, "volts": span(2, 8)}
    assert two_lines(ROOT, rest_uncovered, ("R", other), ("F", TEST)).lines[0].verdict is Verdict.NOT_COVERED


def test_a_root_rests_on_a_test_that_the_rest_can_do_without_in_whatever_order() -> None:
    """One record holds both lines, another the fill alone: the rest is asked of the second."""
    other = {**ROOT_TEST, "consumable_insert": frozenset({"yes"})}
    both = Coupon("B", Weld(GROOVE, (Facts(other), Facts(TEST))))
    fill = Coupon("F", Weld(GROOVE, (Facts(TEST),)))
    weld = Weld(GROOVE, (Facts(ROOT), Facts(FULL)))
    for records in ([both, fill], [fill, both]):
        assert coverage(weld, records, EDITION, Side.PROCEDURE).verdict is Verdict.COVERED
    assert coverage(weld, [both], EDITION, Side.PROCEDURE).verdict is Verdict.NOT_COVERED


@pytest.mark.parametrize(
    ("positions", "claimed", "expected"),
    [
        ({"1G"}, {"flat"}, Verdict.COVERED),
        ({"1G"}, {"horizontal"}, Verdict.NOT_COVERED),
        ({"1G", "2G"}, {"flat", "horizontal"}, Verdict.COVERED),
        ({"3G"}, {"flat"}, Verdict.NOT_COVERED),
        ({"4G"}, {"flat"}, Verdict.NOT_COVERED),
        ({"3G", "4G"}, {"flat", "overhead"}, Verdict.COVERED),
    ],
)
def test_a_welder_is_judged_by_the_welders_rules(
    positions: set[str], claimed: set[str], expected: Verdict
) -> None:
    line = Facts({"process": frozenset({"GMAW"}), "deposit_thickness": Interval.point(D(4))})
    test = Coupon("W1", Weld(GROOVE.including({"test_position": frozenset(positions)}), (line,)))
    part = Weld(GROOVE.including({"position": frozenset(claimed)}), (line,))
    assert coverage(part, [test], EDITION, Side.WELDER).verdict is expected
