"""What holds of every coupon proposed, over all editions and both sides: it covers the weld, contradicts
nothing and can be entered; and a weld for which a coupon like it would do gets one."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import islice

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Facts, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import Absent, Interval, Stated
from qualification.rules.editions.loader import edition
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.materials.grouping import contradictions as group_contradictions
from qualification.rules.ranges.coupon_shapes import USES, completed, coupons_worth_trying
from qualification.rules.ranges.coverage import cover
from qualification.rules.ranges.made_before import MadeBefore
from qualification.rules.ranges.planning import coupons_that_would_cover
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind, ValueKind
from qualification.rules.variables.registry import registry
from tests.rules.readers.case_files import Case, base_case, bases

NAMES = sorted(bases())
NUMBERS = [Decimal(n) for n in ("1.5", "3", "6.35", "10", "12.7", "19", "25.4", "60", "300")]


def _edition(name: str) -> Edition:
    return edition(bases()[name].get("edition", "asme_ix_2023"))


@st.composite
def welds(draw: st.DrawFn, name: str, *, singles: bool) -> Weld:
    """The weld of a case with a few entries left out or changed; with `singles` each says one thing, so that
    a coupon may be equal to it."""
    weld = base_case(name).weld

    def changed(facts: Facts) -> Facts:
        values: dict[str, Stated] = {}
        for key, value in facts.items():
            variable = registry()[key]
            roll = draw(st.integers(0, 19))
            if roll == 0 and key != "process":
                continue
            if roll <= 3 and isinstance(value, Interval) and variable.dimension == "length":
                value = Interval.point(draw(st.sampled_from(NUMBERS)))
            elif roll <= 2 and variable.kind is ValueKind.CHOICE and variable.choices and key != "process":
                value = frozenset({draw(st.sampled_from([c.key for c in variable.choices]))})
            values[key] = _single(key, value) if singles else value
        return Facts(values)

    return Weld(changed(weld.joint), tuple(changed(line) for line in weld.lines))


def _single(key: str, value: Stated) -> Stated:
    if isinstance(value, frozenset) and len(value) > 1 and key not in ("position",):
        return frozenset({min(value)})
    if isinstance(value, Interval) and value.high is not None and RecordKind.TEST not in registry()[key].many:
        return Interval.point(value.high)
    return value


CASES = st.sampled_from(NAMES)


@settings(max_examples=60, deadline=None)
@given(CASES, st.data())
def test_a_proposed_coupon_covers_contradicts_nothing_and_can_be_entered(
    name: str, data: st.DataObject
) -> None:
    case, made = base_case(name), _edition(name)
    system = bases()[name]["units"]
    weld = data.draw(welds(name, singles=False))
    for proposal in coupons_that_would_cover(weld, made, case.side, system, most=1):
        event("proposed")
        _is_sound(proposal.coupon, weld, made, case)


def _is_sound(coupon: Coupon, weld: Weld, made: Edition, case: Case) -> None:
    _, tested = completed(coupon, made, case.side)
    assert cover(weld, [tested], made, case.side).verdict <= Verdict.COVERED
    assert not contradictions(coupon.weld, coupon.system)
    assert not group_contradictions(coupon.weld, made)
    for facts in (coupon.weld.joint, *coupon.weld.lines):
        for key, value in facts.items():
            variable = registry()[key]
            assert USES[case.side] in variable.uses
            assert not variable.derived
            if USES[case.side] not in variable.many and not isinstance(value, Absent | str):
                assert value.is_point if isinstance(value, Interval) else len(value) == 1
    deposits = [line["deposit_thickness"] for line in coupon.weld.lines]
    assert all(d.low > 0 for d in deposits if isinstance(d, Interval) and d.low is not None)


@settings(max_examples=120, deadline=None)
@given(CASES, st.data())
def test_where_a_coupon_like_the_weld_would_do_one_is_proposed(name: str, data: st.DataObject) -> None:
    case, made, system = base_case(name), _edition(name), bases()[name]["units"]
    weld = data.draw(welds(name, singles=True))
    equal = _equal(weld, case, name, data)
    assume(not contradictions(equal.weld, system) and not group_contradictions(equal.weld, made))
    _, tested = completed(equal, made, case.side)
    if cover(weld, [tested], made, case.side).verdict <= Verdict.COVERED:
        event("would do")
        (proposal,) = coupons_that_would_cover(weld, made, case.side, system, most=1)
        _is_sound(proposal.coupon, weld, made, case)


def _equal(weld: Weld, case: Case, name: str, data: st.DataObject) -> Coupon:
    """The coupon of the case with every entry of the weld that a record takes: what only a record states
    stays as it was welded."""
    tested = case.coupons[0].weld
    joint, *lines = (
        own.including({key: value for key, value in facts.items() if USES[case.side] in registry()[key].uses})
        for own, facts in zip((tested.joint, *tested.lines), (weld.joint, *weld.lines), strict=True)
    )
    joint = Facts({k: v for k, v in joint.items() if k in weld.joint or k in RECORD_ONLY})
    lines = [
        Facts({k: v for k, v in line.items() if k in own or k in RECORD_ONLY})
        for line, own in zip(lines, weld.lines, strict=True)
    ]
    return replace(case.coupons[0], weld=Weld(joint, tuple(lines)))


RECORD_ONLY = {v.key for v in registry().values() if not v.uses & {RecordKind.SPEC, RecordKind.PART}}


@pytest.mark.parametrize("name", NAMES)
def test_every_case_of_every_edition_gets_a_coupon(name: str) -> None:
    """Each base is a weld that one coupon covers."""
    case, made, system = base_case(name), _edition(name), bases()[name]["units"]
    if len(case.coupons) > 1:
        return
    proposals = coupons_that_would_cover(case.weld, made, case.side, system)
    assert proposals
    for proposal in proposals:
        _is_sound(proposal.coupon, case.weld, made, case)


@pytest.mark.parametrize("name", NAMES[::3])
def test_limits_made_for_another_coupon_are_those_made_anew(name: str) -> None:
    case, made, system = base_case(name), _edition(name), bases()[name]["units"]
    before = MadeBefore()
    worth = coupons_worth_trying(case.weld, made, case.side, system)
    for shape in islice(worth, 0, 60, 10):
        assert completed(shape, made, case.side, before) == completed(shape, made, case.side)
