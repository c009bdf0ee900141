"""Who of the shop may make a weld on a day, and why not the others.

A welder may make a process line when an approved and passed test covers it, and the qualification by that
test holds on the day. Passed procedure tests count for the welder who welded them (in ASME IX: QW-301.2).
Several welders may share a joint, each answering for own lines, so every answer is also given per line. A
weld outside a limit that shop, customer or job lays over the code may be made by nobody, whatever their tests
cover.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from qualification.evidence.coverage import coupon_of, edition_of, range_of, under, what_it_says
from qualification.evidence.kept import KeptByWelder
from qualification.models import CouponRecord, Welder, WelderTest
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Citation, Finding, LineReport, Verdict
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.house import HouseLimit, held_to
from qualification.rules.ranges.ranges import TestRange
from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.continuity import (
    OnRecord,
    QualificationStatus,
    all_in_force,
    on_record,
    process_lines,
    standings_of,
)

REASONS = 2
"""Reasons given for a test that does not count under the edition asked for: enough to see what kind of thing
is wanting."""


@dataclass(frozen=True)
class WelderFile:
    """What is on file of one welder on one day: worked out once, asked about many welds."""

    welder: Welder
    ranges: tuple[TestRange, ...]
    """Ranges of all approved tests, held or not."""
    holding: tuple[TestRange, ...]
    """The same, cut down to processes in which the qualification holds on the day."""
    standings: tuple[QualificationStatus, ...]
    elsewhere: tuple[tuple[str, str], ...]
    """Process and sentence of each test that qualifies under its own edition and not under the one asked
    for."""
    alike: tuple[Hashable, ...] = ()
    """The same for welders whose tests say the same and stand alike on the day: they may make the same
    welds."""

    def standing(self, record: str, process: str) -> QualificationStatus | None:
        """How the welder stands in a process by one test; `record` is its number."""
        return next((s for s in self.standings if s.record.number == record and s.process == process), None)


@dataclass(frozen=True)
class Roster:
    """The files of several welders on one day, and the edition they were read under: whoever holds them asks
    them under no other."""

    edition: Edition
    files: tuple[WelderFile, ...]

    def __len__(self) -> int:
        return len(self.files)


@dataclass(frozen=True)
class NotHeld:
    """Why a qualification does not hold on the day, and the clause that says so."""

    sentence: str
    citation: Citation


@dataclass(frozen=True)
class LineAnswer:
    """Whether the welder may make one process line."""

    line: int
    process: str
    qualified: Verdict
    """The answer by the code alone."""
    by: tuple[str, ...]
    """Numbers of the tests that carry it, or of the closest one."""
    obstacles: tuple[Finding, ...]
    """What the closest test does not cover."""
    continuity: tuple[NotHeld, ...]
    """Why a test that would cover it does not hold on the day."""
    holds_until: date | None
    """Last day of the first qualification to lapse, where the answer is yes."""
    limits: tuple[Finding, ...] = ()
    """House limits that keep the weld itself from being made, by anybody."""
    elsewhere: tuple[str, ...] = ()
    """Tests with the process that count under their own edition and not under the one asked for, each with
    the reason."""

    @property
    def verdict(self) -> Verdict:
        return max((self.qualified, *(finding.verdict for finding in self.limits)))


@dataclass(frozen=True)
class WelderAnswer:
    """Whether the welder may make the whole weld, line by line."""

    welder: Welder
    lines: tuple[LineAnswer, ...]

    @property
    def verdict(self) -> Verdict:
        return max((line.verdict for line in self.lines), default=Verdict.UNKNOWN)

    @property
    def qualified(self) -> Verdict:
        """The answer by the code alone, were there no limits beyond it."""
        return max((line.qualified for line in self.lines), default=Verdict.UNKNOWN)

    @property
    def may(self) -> bool:
        return self.verdict <= Verdict.COVERED

    @property
    def some_lines(self) -> tuple[LineAnswer, ...]:
        """Lines the welder may make although not all of them."""
        return () if self.may else tuple(line for line in self.lines if line.verdict <= Verdict.COVERED)


def who_may_weld(
    weld: Weld, welders: Iterable[Welder], day: date, edition: Edition, house: Sequence[HouseLimit] = ()
) -> list[WelderAnswer]:
    """One answer per welder, those who may first, under the house limits in force for the weld."""
    return answers(weld, roster(welders, day, edition), house)


_files: KeptByWelder[WelderFile] = KeptByWelder(8)


def roster(welders: Iterable[Welder], day: date, edition: Edition) -> Roster:
    """The files of these welders as they stand on the day, read under one edition; kept between requests."""
    by_id = {welder.pk: welder for welder in welders}

    def work_out(missing: list[int]) -> dict[int, WelderFile]:
        asked = [by_id[pk] for pk in missing]
        stored = on_record(asked)
        with all_in_force(stored.values(), edition):
            return {each.pk: _file(each, day, edition, stored[each.pk]) for each in asked}

    found = _files.of((edition.id, edition.fingerprint, day), list(by_id), work_out)
    return Roster(edition, tuple(found[pk] for pk in by_id))


def answers(
    weld: Weld, asked: Roster, house: Sequence[HouseLimit] = (), work: Edition | None = None
) -> list[WelderAnswer]:
    """As `who_may_weld`, with the files already worked out. House limits speak of the work, so they are
    judged under `work`, the edition it is welded to, where that is another than the welders'."""
    limits = [against(findings) for findings in held_to(weld, house, work or asked.edition)]
    whole = derive(group(weld, asked.edition))
    found = [answer_of(whole, file, asked.edition, limits) for file in asked.files]
    return sorted(
        found,
        key=lambda answer: (answer.verdict, answer.qualified, -len(answer.some_lines), answer.welder.name),
    )


def against(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Those of the findings that keep a weld from being made."""
    return tuple(finding for finding in findings if finding.verdict > Verdict.COVERED)


def _file(welder: Welder, day: date, edition: Edition, stored: OnRecord) -> WelderFile:
    records = [record for record in stored.tests if record.welded_on is None or record.welded_on <= day]
    standings = tuple(standings_of(welder, day, edition, stored))
    held = {(s.record.reference, s.process) for s in standings if s.answer.state is Holding.HOLDS}
    ranges, holding, elsewhere = [], [], []
    for record in records:
        tested = range_of(record, Side.WELDER, edition)
        ranges.append(tested)
        elsewhere += _elsewhere(record, tested, edition)
        lines = tuple(line for line in tested.lines if (record.reference, line.process) in held)
        holding.append(tested if lines == tested.lines else replace(tested, lines=lines))
    places = {record.reference: place for place, record in enumerate(records)}
    stand = frozenset((places.get(s.record.reference), s.process, s.answer.state) for s in standings)
    said = tuple(what_it_says(under(record, edition.id)) for record in records)
    return WelderFile(welder, tuple(ranges), tuple(holding), standings, tuple(elsewhere), (said, stand))


def _elsewhere(record: CouponRecord, tested: TestRange, edition: Edition) -> list[tuple[str, str]]:
    if record.edition == edition.id or not tested.refusals or coupon_of(record).refusals:
        return []
    said = (
        f"{record.number} counts under {edition_of(record.edition).name}, not under {edition.name}:"
        f" {_why(record, tested, edition)}"
    )
    return [(process, said) for process in dict.fromkeys(process for process, _ in process_lines(record))]


def _why(record: CouponRecord, tested: TestRange, edition: Edition) -> str:
    """The first reasons; all stand on the record's page under other editions."""
    if not (edition.welder if isinstance(record, WelderTest) else edition.procedure):
        return f"it has no rules for a {record.KIND}."
    more = len(tested.refusals) - REASONS
    return " ".join(tested.refusals[:REASONS]) + (
        f" {more} more on its page under other editions." if more > 0 else ""
    )


def answer_of(
    weld: Weld, file: WelderFile, edition: Edition, limits: Sequence[tuple[Finding, ...]]
) -> WelderAnswer:
    """One welder's answer for a weld that is grouped and derived, with what limits have against its lines."""
    held = cover_whole(weld, file.holding, edition, Side.WELDER)
    ever = held if file.holding == file.ranges else cover_whole(weld, file.ranges, edition, Side.WELDER)
    return WelderAnswer(
        file.welder,
        tuple(
            replace(_line(weld, index, now, ever.lines[index], file), limits=limits[index])
            for index, now in enumerate(held.lines)
        ),
    )


def _line(weld: Weld, index: int, now: LineReport, ever: LineReport, file: WelderFile) -> LineAnswer:
    process = weld.lines[index].choice("process") or ""
    if now.verdict <= Verdict.COVERED:
        ends = [
            s.answer.holds_until
            for record in now.relied_on
            if (s := file.standing(record, process)) and s.answer.holds_until
        ]
        return LineAnswer(index, process, now.verdict, now.relied_on, (), (), min(ends, default=None))
    standings = [
        s
        for record in ever.relied_on
        if (s := file.standing(record, process)) and s.answer.state is not Holding.HOLDS
    ]
    continuity = tuple(dict.fromkeys(NotHeld(s.answer.because, s.answer.citation) for s in standings))
    if ever.verdict <= Verdict.COVERED:
        unsure = any(s.answer.state is Holding.UNKNOWN for s in standings)
        return LineAnswer(
            index,
            process,
            Verdict.UNKNOWN if unsure else Verdict.NOT_COVERED,
            ever.relied_on,
            (),
            continuity,
            None,
        )
    obstacles = tuple(f for f in ever.findings if f.binds and f.verdict > Verdict.COVERED)
    elsewhere = tuple(said for tested, said in file.elsewhere if tested == process)
    return LineAnswer(
        index, process, ever.verdict, ever.relied_on, obstacles, continuity, None, elsewhere=elsewhere
    )
