"""The one bridge between stored records and the rules: rows to frozen facts, facts to ranges and reports.

Nothing else in the project builds a `Coupon` from a record or asks the rules about one, so that a page, a
document and an approval can never disagree.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from contextlib import suppress
from copy import copy
from dataclasses import dataclass, replace
from typing import Any

from qualification.codes.editions_in_force import edition_in_force
from qualification.models import CouponRecord, ProcedureTest, WelderTest
from qualification.records.cache import Remembered
from qualification.records.unchanged import changed_since_approval
from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Report
from qualification.rules.core.problems import Problem
from qualification.rules.editions.compare import EditionComparison, compare, outcome_under
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.materials.grouping import contradictions as group_contradictions
from qualification.rules.ranges.coverage import cover
from qualification.rules.ranges.house import HouseLimit, narrowed
from qualification.rules.ranges.prequalified import answer_for
from qualification.rules.ranges.ranges import TestRange, range_qualified, without_rules
from qualification.rules.tabular.decisions import Decision
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.alternatives import without_ways
from qualification.rules.testing.outcome import judge, refusals
from qualification.rules.testing.outcome_parts import Moved, Outcome
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.results import Result
from qualification.rules.testing.specimens import required_tests
from qualification.rules.testing.test_options import Particulars, read_particulars
from qualification.rules.variables.definition import RecordKind

SIDES = {ProcedureTest: Side.PROCEDURE, WelderTest: Side.WELDER}
USES = {ProcedureTest: RecordKind.TEST, WelderTest: RecordKind.WELDER_TEST}


@dataclass(frozen=True)
class Judgement:
    """A weld as read, what is wrong with its entries, and the report on it."""

    read: ReadWeld
    problems: tuple[Problem, ...]
    report: Report
    edition: Edition
    house: tuple[HouseLimit, ...] = ()
    """Limits beyond the code that the report holds the weld to."""

    @property
    def weld(self) -> Weld:
        return self.read.weld


RangeFor = Callable[[CouponRecord, Side, Edition], TestRange]


def edition_of(key: str) -> Edition:
    """The edition a record was started under, with the shop's checks laid over its tables. Raises TableError
    when its tables are not installed."""
    return edition_in_force(key)


def read_record(record: CouponRecord) -> ReadWeld:
    """The coupon's entries as facts."""
    speaks = edition_of(record.edition).speaks
    return read_weld(record.joint, record.lines, USES[type(record)], record.units, record.reference, speaks)


def problems_with(read: ReadWeld, system: str, edition: Edition) -> tuple[Problem, ...]:
    """Entries that could not be read, contradict one another, or contradict the catalogue."""
    return (*read.problems, *contradictions(read.weld, system), *group_contradictions(read.weld, edition))


@dataclass(frozen=True)
class ReadCoupon:
    """A stored test read once."""

    coupon: Coupon
    """As the rules see it. With a required result missing or failed, or an entry that cannot be read, it
    carries refusals and issues no range."""
    outcome: Outcome
    """What the results say, judged under the record's edition and as what the record is: a procedure coupon
    that passed as such also qualifies its welder (in ASME IX: QW-301.2). Of a record that was moved there
    with results on it, those that only its earlier editions ask are set aside."""


_coupons: Remembered[ReadCoupon] = Remembered(6000)
_ranges: Remembered[TestRange] = Remembered(6000)


def read_coupon(record: CouponRecord) -> ReadCoupon:
    """The coupon and its outcome together, for those who need both of many records. A record changed past the
    program since it was approved qualifies nothing."""
    read = _named(_coupons.of(what_it_says(record), lambda: _read_coupon(record)), record)
    if changed := changed_since_approval(record):
        return replace(read, coupon=replace(read.coupon, refusals=(changed, *read.coupon.refusals)))
    return read


def what_it_says(record: CouponRecord) -> tuple[Hashable, ...]:
    """Everything of a record that decides what it qualifies: its entries, and the tables they are judged by.
    Two records that say the same qualify the same."""
    entries = json.dumps([record.joint, record.lines, record.results, record.tests_wanted, record.moved_from])
    tables = tuple(
        (each.id, each.fingerprint) for each in (edition_of(record.edition), *_earlier_editions(record))
    )
    return (type(record), record.units, entries, tables)


def _all_it_rests_on(record: CouponRecord) -> tuple[Hashable, ...]:
    """The same with the names that stand in every answer."""
    welder = str(record.welder or "")
    return (record.number, record.reference, record.welded_on, welder, *what_it_says(record))


def _named(read: ReadCoupon, record: CouponRecord) -> ReadCoupon:
    """What records that say the same have in common, under the names of one of them."""
    return replace(read, coupon=_coupon(record, replace(read.coupon.weld, name=record.reference), read))


def _read_coupon(record: CouponRecord) -> ReadCoupon:
    """Without a name: many records say the same."""
    edition = edition_of(record.edition)
    read = read_weld(record.joint, record.lines, USES[type(record)], record.units, speaks=edition.speaks)
    bare = Coupon("", read.weld, record.units)
    results, wrong_results = read_results(record.results, record.units)
    particulars, wrong_particulars = read_particulars(without_ways(record.tests_wanted), record.units)
    outcome = _outcome(record, bare, results, edition, particulars)
    problems = (*problems_with(read, record.units, edition), *wrong_particulars, *wrong_results)
    nothing = (without_rules(edition, SIDES[type(record)]),) if edition.is_content_list else refusals(outcome)
    reasons = dict.fromkeys([*(problem.message for problem in problems), *nothing])
    return ReadCoupon(replace(bare, refusals=tuple(reasons)), outcome)


def _outcome(
    record: CouponRecord,
    coupon: Coupon,
    results: Sequence[Result],
    edition: Edition,
    particulars: Particulars,
) -> Outcome:
    side, earlier = SIDES[type(record)], _earlier_editions(record)
    elsewhere = frozenset(
        kind for each in earlier for kind in required_tests(coupon, each, side, particulars).kinds
    )
    outcome = judge(coupon, results, edition, side, particulars, elsewhere)
    if not earlier:
        return outcome
    before = tuple(
        (each.name, outcome_under(coupon, results, each, side, particulars)[0].overall) for each in earlier
    )
    return replace(outcome, moved=Moved(edition.name, before))


def _earlier_editions(record: CouponRecord) -> list[Edition]:
    """Those whose tables are installed: without them nothing tells what they asked, and a result is taken for
    a slip."""
    found = []
    for key in record.moved_from:
        with suppress(TableError):
            found.append(edition_of(key))
    return found


def under(record: CouponRecord, key: str) -> CouponRecord:
    """The record as it would stand under that edition, its results judged by the tests required there;
    nothing is saved."""
    if key == record.edition:
        return record
    changed_since_approval(record)  # kept with the copy, which differs from what was approved by intent
    moved = copy(record)
    moved.put_under(key)
    return moved


def outcome_of(record: CouponRecord) -> Outcome:
    """What the test results say; see `ReadCoupon`."""
    return read_coupon(record).outcome


def result_problems(record: CouponRecord) -> tuple[Problem, ...]:
    """Entries of results, and of what the record settles beside them, that could not be read or contradict
    one another."""
    return (
        *read_particulars(without_ways(record.tests_wanted), record.units)[1],
        *read_results(record.results, record.units)[1],
    )


def coupon_of(record: CouponRecord) -> Coupon:
    """The record as the rules see it; see `ReadCoupon`."""
    return read_coupon(record).coupon


def _bare_coupon(record: CouponRecord) -> Coupon:
    return _coupon(record, read_record(record).weld)


def _coupon(record: CouponRecord, weld: Weld, read: ReadCoupon | None = None) -> Coupon:
    welder, refusals = record.welder, read.coupon.refusals if read else ()
    return Coupon(
        record.number, weld, record.units, refusals, record.welded_on, str(welder) if welder else ""
    )


def range_of(record: CouponRecord, side: Side | None = None, edition: Edition | None = None) -> TestRange:
    """The range of qualification of a stored test, under its own edition unless another is asked for: then
    its results have to be what that one requires as well."""
    side = side or SIDES[type(record)]
    edition = edition or edition_of(record.edition)
    moved = under(record, edition.id)
    key = (_all_it_rests_on(moved), changed_since_approval(moved), side, edition.id, edition.fingerprint)
    return _ranges.of(key, lambda: range_qualified(coupon_of(moved), edition, side))


def compare_under(record: CouponRecord, keys: Iterable[str]) -> EditionComparison:
    """One coupon under several editions side by side, its results judged anew under each. Raises TableError
    when the tables of one are not installed."""
    results, _ = read_results(record.results, record.units)
    particulars, _ = read_particulars(without_ways(record.tests_wanted), record.units)
    return compare(
        _bare_coupon(record), results, [edition_of(key) for key in keys], SIDES[type(record)], particulars
    )


def problems_under(record: CouponRecord, key: str) -> list[str]:
    """What would be wrong with the record's entries and results if it were kept under that edition."""
    moved = under(record, key)
    found = (*problems_with(read_record(moved), moved.units, edition_of(key)), *result_problems(moved))
    return [problem.message for problem in found]


def judge_weld(
    joint: Mapping[str, Any],
    lines: Sequence[Mapping[str, Any]],
    units: str,
    use: RecordKind,
    records: Iterable[CouponRecord],
    edition_key: str,
    name: str = "",
    house: Sequence[HouseLimit] = (),
    range_for: RangeFor | None = None,
    without_test: bool = False,
    decisions: Sequence[Decision] = (),
) -> Judgement:
    """Judge a spec's box or a part, given as entries, against stored tests and the house limits in force for
    it. `range_for` stands in for `range_of` where the ranges of the tests are at hand. `without_test`: as a
    prequalified procedure, against the limits a code sets for those; no test is asked then. It changes
    nothing under an edition that has none. `decisions`: answers of the responsible person made for this
    weld alone, where the tables have no rule."""
    side = Side.WELDER if use is RecordKind.PART else Side.PROCEDURE
    edition = edition_of(edition_key).with_decisions(decisions)
    read = read_weld(joint, lines, use, units, name, edition.speaks)
    ranges = ((range_for or range_of)(record, side, edition) for record in records)
    answer = answer_for(read.weld, ranges, edition, side, units, without_test=without_test)
    report = narrowed(answer, read.weld, house, edition)
    return Judgement(read, problems_with(read, units, edition), report, edition, tuple(house))


def judge_once_counting(
    judged: Judgement, records: Iterable[CouponRecord], house: Sequence[HouseLimit] = ()
) -> Report:
    """The procedure judged already, held against what the tests would qualify if nothing were wanting of
    their results."""
    edition = judged.edition
    ranges = [range_qualified(_bare_coupon(record), edition, Side.PROCEDURE) for record in records]
    return narrowed(cover(judged.weld, ranges, edition, Side.PROCEDURE), judged.weld, house, edition)


def judge_part_against_tests(
    weld: Weld, records: Iterable[CouponRecord], edition: Edition, side: Side
) -> Report:
    """Judge a weld already read against stored tests, as procedure or as welder."""
    return cover(weld, [range_of(r, side, edition) for r in records], edition, side)
