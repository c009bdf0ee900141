"""When a box is covered: held against a plain reckoning of the invented edition's rules, point by point."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from decimal import Decimal
from itertools import product

from hypothesis import Phase, find, given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.ranges.coverage import coverage
from tests.rules.readers.small_edition import build_small

EDITION = build_small()
GROOVE = Facts({"weld_type": frozenset({"groove"})})
D = Decimal
Line = dict[str, Stated]
CHOICES = {
    "bead": ("stringer", "weave"),
    "current_type": ("DCEP", "AC"),
    "peening": ("yes", "no"),
    "passes_per_side": ("single", "multiple"),
}
GMAW = frozenset({"GMAW"})


def span(low: int, high: int) -> Interval:
    return Interval(D(low), D(high))


SPANS = st.tuples(st.integers(1, 8), st.integers(1, 8)).map(lambda ends: span(min(ends), max(ends)))


def some(key: str) -> st.SearchStrategy[frozenset[str]]:
    return st.sets(st.sampled_from(CHOICES[key]), min_size=1).map(frozenset)


BOXES: st.SearchStrategy[Line] = st.fixed_dictionaries(
    {
        "process": st.just(GMAW),
        "amps": SPANS,
        "deposit_thickness": SPANS,
        "volts": SPANS,
        **{key: some(key) for key in CHOICES},
    }
)
"""What a procedure may claim."""


@st.composite
def line_tested(draw: st.DrawFn, box: Line) -> Line:
    """A tested line near the box: mostly it takes the box in, sometimes not, and now and then it leaves
    something out; tests far from every box would agree with any engine that says no."""
    line: Line = {"process": GMAW, "deposit_thickness": Interval.point(D(draw(st.integers(1, 8))))}
    rolls = draw(st.lists(st.integers(0, 19), min_size=7, max_size=7))
    for roll, key in zip(rolls, ("amps", "volts", *CHOICES), strict=False):
        if roll == 19:
            line[key] = MISSING
        elif roll >= 17 or (key in ("amps", "bead") and roll >= 11):
            line[key] = draw(some(key) if key in CHOICES else SPANS)
        else:
            line[key] = frozenset(CHOICES[key]) if key in CHOICES else span(1, 8)
    return line


@st.composite
def situations(draw: st.DrawFn) -> tuple[Line, list[Line]]:
    """A box and up to five tests; often two of them share the box, but for what chance spoils."""
    box = draw(BOXES)
    tests = draw(st.lists(line_tested(box), max_size=3))
    if draw(st.booleans()):
        cut, low, high = draw(st.integers(1, 8)), box["amps"].low, box["amps"].high  # type: ignore[union-attr]
        cut = int(min(max(D(cut), low), high))
        for amps in (span(1, cut), span(cut, 8)):
            thick = Interval.point(D(draw(st.sampled_from([3, 4, 8]))))
            whole = {
                "process": GMAW,
                "volts": span(1, 8),
                **{key: frozenset(CHOICES[key]) for key in CHOICES},
            }
            spoilt = draw(st.sampled_from(["process", "process", "process", *CHOICES]))
            near = draw(line_tested(box))
            tests.append({**whole, spoilt: near[spoilt], "amps": amps, "deposit_thickness": thick})
    return box, draw(st.permutations(tests))


SITUATIONS = situations()


def judge(box: Line, tests: Iterable[Line]) -> Report:
    records = [Coupon(f"T{n}", Weld(GROOVE, (Facts(test),))) for n, test in enumerate(tests, start=1)]
    return coverage(Weld(GROOVE, (Facts(box),)), records, EDITION, Side.PROCEDURE)


def covered(box: Line, tests: Iterable[Line]) -> bool:
    return judge(box, tests).verdict <= Verdict.COVERED


def point_covered(amps: Decimal, deposit: Decimal, bead: str, box: Line, test: Line) -> bool:
    """The invented rules reckoned plainly for one point and one test; what is left out covers nothing."""
    tested_deposit = test["deposit_thickness"].low  # type: ignore[union-attr]
    checks = [
        _inside(amps, test["amps"]),
        (D(0) if tested_deposit < 4 else D(2)) <= deposit <= 2 * tested_deposit,
        test["bead"] is not MISSING and bead in test["bead"],  # type: ignore[operator]
        _inside(box["volts"].low, test["volts"]) and _inside(box["volts"].high, test["volts"]),  # type: ignore
        _all_tested(box, test, "current_type"),
        amps <= 5 or _all_tested(box, test, "peening"),
        deposit <= 3 or _all_tested(box, test, "passes_per_side"),
    ]
    return all(checks)


def _inside(number: Decimal, interval: Stated) -> bool:
    return isinstance(interval, Interval) and interval.low <= number <= interval.high  # type: ignore[operator]


def _all_tested(box: Line, test: Line, key: str) -> bool:
    return test[key] is not MISSING and box[key] <= test[key]  # type: ignore[operator]


def grid(interval: Stated) -> list[Decimal]:
    """Whole and half numbers of the interval; limits are whole numbers, so no piece lies between these."""
    assert isinstance(interval, Interval)
    return [D(n) / 2 for n in range(int(interval.low * 2), int(interval.high * 2) + 1)]  # type: ignore[operator]


def plainly_covered(box: Line, tests: list[Line]) -> bool:
    points = product(grid(box["amps"]), grid(box["deposit_thickness"]), sorted(box["bead"]))  # type: ignore[arg-type]
    return all(any(point_covered(*point, box, test) for test in tests) for point in points)


@settings(max_examples=500)
@given(SITUATIONS)
def test_a_box_is_covered_exactly_when_each_point_is_covered_by_some_test(
    situation: tuple[Line, list[Line]],
) -> None:
    assert covered(*situation) == plainly_covered(*situation)


def test_the_situations_drawn_are_of_every_sort() -> None:
    """Were all boxes drawn uncovered, the test above would say nothing."""
    seen: Counter[int] = Counter()

    @settings(max_examples=300, database=None, derandomize=True)
    @given(SITUATIONS)
    def look(situation: tuple[Line, list[Line]]) -> None:
        report = judge(*situation)
        seen[len(report.relied_on) if report.verdict <= Verdict.COVERED else -1] += 1

    look()
    assert seen[-1] > 30
    assert seen[1] > 30
    find(
        SITUATIONS,
        lambda s: plainly_covered(*s) and not any(plainly_covered(s[0], [test]) for test in s[1]),
        settings=settings(max_examples=2000, database=None, derandomize=True, phases=[Phase.generate]),
    )


@given(SITUATIONS, st.data(), st.integers(0, 4))
def test_one_more_test_never_uncovers(
    situation: tuple[Line, list[Line]], data: st.DataObject, at: int
) -> None:
    box, tests = situation
    more = [*tests[:at], data.draw(line_tested(box)), *tests[at:]]
    assert covered(box, more) or not covered(box, tests)


@given(SITUATIONS, st.permutations(range(5)))
def test_the_order_of_the_tests_does_not_matter(situation: tuple[Line, list[Line]], order: list[int]) -> None:
    box, tests = situation
    assert covered(box, tests) == covered(box, [tests[n] for n in order if n < len(tests)])


@given(SITUATIONS, BOXES)
def test_a_wider_box_is_never_covered_where_a_part_of_it_is_not(
    situation: tuple[Line, list[Line]], other: Line
) -> None:
    box, tests = situation
    wider = {key: _hull(box[key], other[key]) for key in box}
    assert covered(box, tests) or not covered(wider, tests)


def _hull(a: Stated, b: Stated) -> Stated:
    if isinstance(a, Interval) and isinstance(b, Interval):
        return Interval(min(a.low, b.low), max(a.high, b.high))  # type: ignore[type-var]
    return a | b  # type: ignore[operator]


@given(SITUATIONS, st.sampled_from(["amps", "deposit_thickness", "volts", *CHOICES]))
def test_a_value_left_out_of_the_weld_never_covers(situation: tuple[Line, list[Line]], gone: str) -> None:
    box, tests = situation
    before, after = judge(box, tests).verdict, judge({**box, gone: MISSING}, tests).verdict
    if before <= Verdict.COVERED:
        assert after in (Verdict.COVERED, Verdict.UNKNOWN)
    else:
        assert after > Verdict.COVERED


@given(SITUATIONS, st.sampled_from(["amps", "volts", *CHOICES]), st.integers(0, 3))
def test_a_value_left_out_of_a_record_never_covers(
    situation: tuple[Line, list[Line]], gone: str, which: int
) -> None:
    box, tests = situation
    poorer = [({**test, gone: MISSING} if n == which else test) for n, test in enumerate(tests)]
    assert covered(box, tests) or not covered(box, poorer)
