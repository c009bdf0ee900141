"""Which qualifications end soon, what work of open jobs that stops, and the cheapest way to go on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from django.urls import reverse

from qualification.evidence.coverage import coupon_of, edition_of
from qualification.models import Welder, WelderTest
from qualification.rules.core.facts import Side
from qualification.rules.plan.costs import bill
from qualification.rules.tabular.schema import TableError
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.continuity import QualificationStatus
from qualification.welders.in_short import in_short_of_all
from qualification.welders.ranking import may_table
from qualification.welders.who_may_weld import Roster, WelderFile
from wps.jobs.board import Board, what_it_says
from wps.jobs.renewals import Kept, Loss, Renewals, Scenarios, cheapest_renewals
from wps.models import CouponCosts, Job, Part

HORIZONS = (30, 60, 90)
"""Days ahead that can be looked at."""
ACT_CENTS = 1
"""What a use or a signature weighs: nothing beside a coupon, and the fewest of them are asked for."""
ACTS = {"confirmation": "validity_confirm", "prolongation": "validity_prolong"}


@dataclass(frozen=True)
class Stopped:
    """Work of one job that one ending stops."""

    job: Job
    marks: tuple[str, ...]
    """Welds that the welder may make today and not after it."""
    nobody_else: tuple[str, ...]
    """Those of them that nobody else may make today."""
    assigned: tuple[str, ...]
    """Those of them that are this welder's to make."""


@dataclass(frozen=True)
class Renewal:
    """What it takes to go on, the cheapest way."""

    words: str
    url: str
    button: str
    cost: Decimal | None = None


@dataclass(frozen=True)
class Ending:
    """One qualification that ends, or has ended."""

    welder: Welder
    standing: QualificationStatus
    days: int
    """Days from today to its last one; negative when it has ended."""
    stops: tuple[Stopped, ...]
    renewal: Renewal

    @property
    def what(self) -> str:
        """`GMAW, semiautomatic`, with the test where each test ends by itself."""
        said = f"{self.standing.process}, {self.standing.operation_words.lower()}"
        return f"{said}, {self.standing.record.number}" if self.standing.is_confirmed else said

    @property
    def ends(self) -> date:
        assert self.standing.answer.holds_until is not None
        return self.standing.answer.holds_until


def endings(today: date, within: int) -> list[tuple[Welder, QualificationStatus]]:
    """What of active welders holds today and ends within so many days, the next one first."""
    limit, found = today + timedelta(days=within), []
    for welder, short in in_short_of_all(Welder.objects.filter(active=True), today):
        for standing in short.worth_a_look:
            until = standing.answer.holds_until
            if standing.answer.state is Holding.HOLDS and until is not None and until <= limit:
                found.append((welder, standing))
    return sorted(found, key=lambda pair: (pair[1].answer.holds_until or today, pair[0].name))


def ended(today: date) -> list[tuple[Welder, QualificationStatus]]:
    """What active welders held and hold no more, the last one first."""
    found = [
        (welder, standing)
        for welder, short in in_short_of_all(Welder.objects.filter(active=True), today)
        for standing in short.best
        if standing.answer.state is Holding.LAPSED and standing.answer.holds_until is not None
    ]
    return sorted(found, key=lambda pair: pair[1].answer.holds_until or today, reverse=True)


@dataclass(frozen=True)
class Lapses:
    """The page: what ends, with what it stops."""

    endings: tuple[Ending, ...]
    ended: tuple[Ending, ...]
    not_asked: tuple[Job, ...]
    """Open jobs whose tables are not installed."""
    renewals: Renewals

    @property
    def to_renew(self) -> list[tuple[Ending, tuple[Kept, ...]]]:
        """What to renew so that no work stops, at the least cost."""
        return [(self.endings[number], kept) for number, kept in self.renewals.acts]

    @property
    def cost(self) -> Decimal:
        """What the coupons among them cost."""
        return sum((ending.renewal.cost or Decimal(0) for ending, _ in self.to_renew), Decimal(0))


def lapses(today: date, within: int) -> Lapses:
    """What ends within so many days, the work of open jobs that stops, and how to go on."""
    coming, not_asked, losses = endings(today, within), [], []
    stops: list[list[Stopped]] = [[] for _ in coming]
    for job in Job.objects.filter(open=True).order_by("number"):
        try:
            found = _stopped(job, today, coming)
        except TableError:
            not_asked.append(job)
            continue
        for mine, stopped in zip(stops, found[0], strict=True):
            mine += [stopped] if stopped.marks else []
        losses += [found[1]] if found[1] is not None else []
    made = tuple(_ending(who, s, today, tuple(each)) for (who, s), each in zip(coming, stops, strict=True))
    cents = [ACT_CENTS if each.renewal.cost is None else int(each.renewal.cost * 100) for each in made]
    return Lapses(
        made,
        tuple(_ending(who, standing, today, ()) for who, standing in ended(today)),
        tuple(not_asked),
        cheapest_renewals(losses, cents),
    )


def _stopped(
    job: Job, today: date, coming: Sequence[tuple[Welder, QualificationStatus]]
) -> tuple[list[Stopped], Loss | None]:
    """What each ending stops in one job, and what all of them together: the welds are asked about once with
    everybody's files, and once for each ending with those of the welder's tests left out that hold no longer
    then."""
    parts = list(job.parts.all())
    if not parts or not coming:
        return [Stopped(job, (), (), ()) for _ in coming], None
    board = Board.of(job, today)
    distinct = {what_it_says(part): part for part in parts}
    views = board.bench.views(distinct)
    welds = [(view.weld, view.house) for view in views.values()]
    files = list(board.asked.files)
    place = {file.welder.pk: at for at, file in enumerate(files)}
    without = [_without(files[place[who.pk]], standing) for who, standing in coming]

    def after(welder: int, numbers: Iterable[int]) -> WelderFile:
        file = files[place[welder]]
        for number in numbers:
            file = _without(file, coming[number][1])
        return file

    scenarios = Scenarios([who.pk for who, _ in coming], after)
    asked = Roster(board.asked.edition, (*files, *without, *scenarios.files))
    table = may_table(welds, asked, board.shelf.edition)
    now, row = table[:, : len(files)], {says: n for n, says in enumerate(views)}
    alike: list[list[str]] = [[] for _ in views]
    for part in parts:
        alike[row[what_it_says(part)]].append(part.mark)
    able, found = now.sum(axis=1), []
    for n, (who, _) in enumerate(coming):
        lost = now[:, place[who.pk]] & ~table[:, len(files) + n]
        mine = [part for part in parts if lost[row[what_it_says(part)]]]
        found.append(
            Stopped(
                job,
                _marks(mine),
                _marks(part for part in mine if able[row[what_it_says(part)]] == 1),
                _marks(part for part in mine if part.welder_id == who.pk),
            )
        )
    supposed = table[:, len(files) + len(without) :]
    loss = scenarios.loss(job, now, supposed, place, [tuple(marks) for marks in alike])
    return found, loss


def _marks(parts: Iterable[Part]) -> tuple[str, ...]:
    return tuple(part.mark for part in parts)


def _without(file: WelderFile, ending: QualificationStatus) -> WelderFile:
    """The file after the ending: without the tests with the process that hold no longer than it. Of a test
    that is confirmed by itself it is that test alone."""
    last = ending.answer.holds_until
    assert last is not None

    def ends(record: str, process: str) -> bool:
        if process != ending.process or (ending.is_confirmed and record != ending.record.number):
            return False
        own = file.standing(record, process)
        return own is not None and own.answer.holds_until is not None and own.answer.holds_until <= last

    holding = tuple(
        replace(tested, lines=tuple(line for line in tested.lines if not ends(tested.record, line.process)))
        for tested in file.holding
    )
    key = (file.alike, ending.process, ending.record.number if ending.is_confirmed else "", last)
    return replace(file, holding=holding, alike=key)


def _ending(welder: Welder, standing: QualificationStatus, today: date, stops: tuple[Stopped, ...]) -> Ending:
    until = standing.answer.holds_until
    assert until is not None
    return Ending(welder, standing, (until - today).days, stops, _renewal(welder, standing, stops))


def _renewal(welder: Welder, standing: QualificationStatus, stops: Sequence[Stopped]) -> Renewal:
    """A use on the job or a signature where they keep it; else one coupon like a test that was passed."""
    holds, record = standing.answer.state is Holding.HOLDS, standing.record
    if holds and standing.is_confirmed and standing.answer.due and isinstance(record, WelderTest):
        due = standing.answer.due[0]
        return Renewal(
            f"{due.what.capitalize()} by {due.day}; no coupon.",
            reverse(ACTS[due.what], args=[record.pk]),
            f"Record the {due.what}",
        )
    if holds and not standing.is_confirmed:
        example = next((f" {each.marks[0]} of {each.job.number} would do." for each in stops), "")
        return Renewal(
            f"Weld with {standing.process} by {standing.answer.holds_until} and log it; no coupon.{example}",
            reverse("use_add", args=[welder.pk]),
            "Log a use",
        )
    cost = bill(
        coupon_of(record), edition_of(record.edition), Side.WELDER, CouponCosts.current().as_rates()
    ).total
    return Renewal(
        f"One passed coupon with {standing.process}, such as {record.number} again.",
        reverse("welder_test", args=[record.pk])
        if isinstance(record, WelderTest)
        else record.get_absolute_url(),
        f"See {record.number}",
        cost,
    )
