"""Many welds against many sets of tests at once: every cell as the engine answers it."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import Citation, Provenance, VariableClass, Verdict
from qualification.rules.core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from qualification.rules.editions.loader import edition
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import answers_at_once
from qualification.rules.ranges.boxes_at_once import Claims
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.distinct import DistinctLimits
from qualification.rules.ranges.inside_box import inside_box, turned, verdict_of
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.ranges.said import bindings
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.limits import Condition, Limit
from qualification.rules.variables.registry import registry
from tests.rules.ranges.test_coverage_properties import BOXES, EDITION, line_tested
from tests.rules.readers.case_files import Case, bases, cases

NUMBERS = tuple(map(Decimal, ("0", "1.5", "3", "6.35", "12.7", "13", "19", "25.4", "60", "60.325", "300")))
SIDES = sorted({(b.get("edition", "asme_ix_2023"), b["side"]) for b in bases().values()})


def _compare(welds: list[Weld], sets: list[list[TestRange]], made: Edition, side: Side) -> Counter[Any]:
    wholes = [derive(group(weld, made)) for weld in welds]
    found = answers_at_once(wholes, sets, made, side)
    seen: Counter[Any] = Counter(alone=found.asked_alone)
    for number, whole in enumerate(wholes):
        for at, ranges in enumerate(sets):
            report = cover_whole(whole, ranges, made, side)
            assert found.welds[number, at] == report.verdict, (whole, ranges)
            start = found.starts[number]
            lines = found.lines[start : start + len(whole.lines), at]
            assert list(lines) == [line.verdict for line in report.lines]
            seen[report.verdict] += 1
            seen["joined"] += any(len(line.relied_on) > 1 for line in report.lines)
    return seen


@st.composite
def spoilt(draw: st.DrawFn, weld: Weld, *, box: bool) -> Weld:
    """A weld of a case with some entries left out, marked, moved or widened."""

    def one(facts: Facts) -> Facts:
        values: dict[str, Stated] = dict(facts)
        for key in draw(st.lists(st.sampled_from(sorted(facts)), max_size=3)) if facts else ():
            values[key] = draw(_value(key, values[key], box))
        return Facts(values)

    return Weld(one(weld.joint), tuple(one(line) for line in weld.lines))


def _value(key: str, value: Stated, box: bool) -> st.SearchStrategy[Stated]:
    variable = registry()[key]
    if key == "process":
        return st.sampled_from([value, MISSING, frozenset({"GTAW"})])
    absent = [MISSING, NOT_APPLICABLE]
    if isinstance(value, Interval):
        ends = st.lists(st.sampled_from(NUMBERS), min_size=1, max_size=2 if box else 1)
        spans = st.builds(
            lambda e, low, high: Interval(min(e), max(e), low and e[0] != e[-1], high and e[0] != e[-1]),
            ends,
            st.booleans() if box else st.just(False),
            st.booleans() if box else st.just(False),
        )
        open_ended = st.sampled_from([Interval(None, value.high), Interval(value.low, None)])
        return st.one_of(spans, st.sampled_from(absent), open_ended)
    if variable.kind is ValueKind.CHOICE and variable.choices:
        keys = [c.key for c in variable.choices]
        some = st.sets(st.sampled_from(keys), min_size=1, max_size=3 if box else 1).map(frozenset)
        return st.one_of(some, st.sampled_from(absent))
    return st.sampled_from([value, *absent])


@st.composite
def shops(draw: st.DrawFn, key: str, side: str) -> tuple[list[Weld], list[list[TestRange]]]:
    """Welds and tests near the cases of an edition: mostly of one case, so that tests may join."""
    known = [c for c in cases(key) if c.side == side] or list(cases(key))
    several = [c for c in known if len(c.coupons) > 1]
    picked: list[Case] = draw(st.lists(st.sampled_from(known), min_size=1, max_size=3))
    if several and draw(st.booleans()):
        picked += draw(st.lists(st.sampled_from(several), min_size=1, max_size=2))
    made = edition(key)
    welds = [draw(spoilt(c.weld, box=draw(st.booleans()))) if draw(st.booleans()) else c.weld for c in picked]
    coupons = [coupon for c in picked for coupon in c.coupons]
    ranges = []
    for number, coupon in enumerate(coupons):
        weld = draw(spoilt(coupon.weld, box=False)) if draw(st.integers(0, 3)) == 0 else coupon.weld
        ranges.append(
            range_qualified(Coupon(f"T{number}", weld, coupon.system, coupon.refusals), made, Side(side))
        )
    sets = [[r] for r in ranges[:2]] + [ranges, list(draw(st.permutations(ranges))), []]
    return welds, sets


@pytest.mark.parametrize(("key", "side"), SIDES)
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_every_cell_of_a_real_edition_is_as_the_engine_answers_it(
    key: str, side: str, data: st.DataObject
) -> None:
    welds, sets = data.draw(shops(key, side))
    _compare(welds, sets, edition(key), Side(side))


@settings(max_examples=60, deadline=None)
@given(st.lists(BOXES, min_size=1, max_size=4), st.data())
def test_every_cell_of_an_invented_edition_is_as_the_engine_answers_it(
    boxes: list[dict[str, Stated]], data: st.DataObject
) -> None:
    """Boxes and tests drawn near one another, of which many join."""
    tests = [data.draw(line_tested(boxes[0])) for _ in range(data.draw(st.integers(0, 5)))]
    ranges = [
        range_qualified(Coupon(f"T{n}", Weld(Facts(), (Facts(test),))), EDITION, Side.PROCEDURE)
        for n, test in enumerate(tests)
    ]
    welds = [Weld(Facts(), (Facts(box),)) for box in boxes] + [Weld(Facts(), ())]
    _compare(welds, [ranges, ranges[:1], ranges[::-1], [*ranges, *ranges]], EDITION, Side.PROCEDURE)


@pytest.mark.parametrize(("key", "side"), SIDES)
def test_every_case_of_an_edition_at_once_is_as_one_by_one(key: str, side: str) -> None:
    """All welds of the cases against the tests of each, and against several at once."""
    made, own = edition(key), [c for c in cases(key) if c.side == side]
    own = own[:: max(1, len(own) // 40)]
    sets = [[range_qualified(coupon, made, Side(side)) for coupon in case.coupons] for case in own]
    several = [one + other for one, other in zip(sets[::2], sets[1::2], strict=False)]
    seen = _compare([case.weld for case in own], [*sets, *several], made, Side(side))
    assert seen[Verdict.COVERED]
    assert seen[Verdict.NOT_COVERED]


def test_a_number_held_against_choices_is_refused_as_the_engine_refuses_it() -> None:
    made = EDITION
    good = range_qualified(
        Coupon(
            "T1",
            Weld(
                Facts(),
                (
                    Facts(
                        {
                            "process": frozenset({"GMAW"}),
                            "bead": frozenset({"weave"}),
                            "deposit_thickness": Interval.point(Decimal(3)),
                        }
                    ),
                ),
            ),
        ),
        made,
        Side.PROCEDURE,
    )
    weld = Weld(Facts(), (Facts({"process": frozenset({"GMAW"}), "bead": Interval.point(Decimal(3))}),))
    with pytest.raises(TypeError):
        cover_whole(weld, [good], made, Side.PROCEDURE)
    with pytest.raises(TypeError):
        answers_at_once([weld], [[good]], made, Side.PROCEDURE)


def test_many_different_numbers_are_as_few() -> None:
    """More thicknesses than are asked one by one, on the ends of limits, between and beyond them."""
    made = edition("asme_ix_2023")
    case = next(c for c in cases("asme_ix_2023") if c.side is Side.PROCEDURE and len(c.coupons) == 1)
    ranges = [range_qualified(coupon, made, case.side) for coupon in case.coupons]
    ends = {
        end
        for line in ranges[0].lines
        for limit in line.limits
        if limit.variable == "thickness_thinner" and isinstance(limit.allowed, Interval)
        for end in (limit.allowed.low, limit.allowed.high)
        if end is not None
    }
    assert ends
    steps = sorted({e + d for e in ends for d in (Decimal("-0.001"), Decimal(0), Decimal("0.001"))})
    sizes = [*steps, *(Decimal(n) / 3 for n in range(1, 60))]
    welds = [
        Weld(
            case.weld.joint.including(
                {k: Interval(size, size + extra) for k in ("thickness_a", "thickness_b")}
            ),
            case.weld.lines,
        )
        for size in sizes
        if size > 0
        for extra in (Decimal(0), Decimal(1))
    ]
    seen = _compare(welds, [ranges], made, case.side)
    assert seen[Verdict.COVERED]
    assert seen[Verdict.NOT_COVERED]


def test_na_is_told_apart_by_what_else_the_weld_says() -> None:
    """A condition on a diameter is a no for plate, which has none, and open for pipe marked with n/a."""
    cited = Citation("invented", "1", "1", Provenance.MEMORY)
    beyond = Condition("diameter", Interval(Decimal(600), None))
    limit = Limit("bead", frozenset({"weave"}), VariableClass.ESSENTIAL, cited, "Invented.", when=(beyond,))
    stated = {"bead": frozenset({"stringer"}), "diameter": NOT_APPLICABLE}
    facts = [
        Facts({**stated, "product_form": frozenset({form})}) for form in ("plate", "pipe", "plate", "pipe")
    ]
    (binding,) = bindings([limit])
    found = DistinctLimits(facts, {binding.says: binding}).verdicts([binding.says])
    assert list(found[0]) == [limit.judge(each).verdict for each in facts]
    assert len(set(found[0])) == 2


@pytest.mark.parametrize("key", sorted({key for key, _ in SIDES}))
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_every_claim_at_once_says_what_it_says_alone(key: str, data: st.DataObject) -> None:
    """Welds and claims near the cases of an edition, sides turned as well, claims with other processes."""
    made = edition(key)
    picked = data.draw(st.lists(st.sampled_from(list(cases(key))), min_size=1, max_size=3))
    near = [data.draw(spoilt(case.weld, box=True)) for case in picked for _ in range(3)]
    claims = [*near, *(Weld(weld.joint, weld.lines[:1] * 2) for weld in near[:2]), Weld(Facts(), ())]
    welds = [*(data.draw(spoilt(case.weld, box=False)) for case in picked), Weld(near[0].joint, ())]
    held = Claims(claims, made)
    for weld in [*welds, Weld(turned(welds[0].joint), welds[0].lines), Weld(Facts(), ())]:
        alone = [verdict_of(inside_box(weld, claim, made)) for claim in claims]
        assert list(held.verdicts(weld)) == alone
