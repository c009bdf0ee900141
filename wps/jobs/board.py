"""The procedures and welders that the welds of a job are held against on one day, and what was found of each
weld; kept between requests while nothing changes that decides it."""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString

from qualification.codes.editions import is_iso
from qualification.evidence.figures import Figures, figures_of
from qualification.evidence.kept import AnswerCache
from qualification.records.cache import Remembered
from qualification.records.summaries import summary
from qualification.rules.arithmetic.job_figures import Money
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.showing import EnteredGroup, entered_groups
from qualification.rules.trials.combinations import CombinationCheck, checks_of
from qualification.rules.variables.definition import RecordKind
from qualification.tongues.languages import language_now
from qualification.welders.ranking import Ranking, Tally
from qualification.welders.who_may_weld import Roster
from wps.documents.sketch import sketches_of
from wps.jobs.advice import Advice
from wps.jobs.next_coupon import Carrier, tests_that_carry
from wps.jobs.part_view import PartView, active_roster, offers_all, shown_of, tally_all
from wps.jobs.welding_today import AnswerInWords, LimitInWords, gaps, in_words, limits_in_words
from wps.models import Job, Part
from wps.procedures.procedure_match import ApprovedProcedures, ProcedureMatch

MOST_WELDS = 4000
LOOKED_AT = (
    "answers",
    "has_gaps",
    "limits",
    "checks",
    "groups_told",
    "sketches",
    "carriers",
    "options",
)
PAGES, PIECES = 1000, 32
"""Welds of which a page is kept, and pieces of one page."""
KEPT = 6
"""Jobs of which everything is kept at hand."""


@dataclass(frozen=True)
class BoardRow:
    """One weld in the list of its job: its procedure, and how many may weld it."""

    part: Part
    line: str
    fit: ProcedureMatch | None
    chosen_is_gone: bool
    offers: int
    """Procedures that would cover it, where none is chosen."""
    may: int
    cannot_be_told: int


class WeldToday:
    """Who may make one weld on the day, with reasons for the few that are shown."""

    def __init__(self, view: PartView, asked: Roster, every_welder: bool = False) -> None:
        self.view, self._asked, self._every = view, asked, every_welder
        self.drawn: Remembered[SafeString] = Remembered(PIECES)
        """Pieces of its page that were drawn before (`templatetags/kept.py`)."""

    @cached_property
    def ranking(self) -> Ranking:
        """Every welder by verdicts."""
        return self.view.ranking(self._asked)

    @cached_property
    def answers(self) -> list[AnswerInWords]:
        return in_words(self.ranking.answers(shown_of(len(self._asked), self._every)), self.view.units)

    @property
    def welders(self) -> int:
        return len(self._asked)

    @property
    def more_welders(self) -> int:
        """How many are not shown."""
        return self.welders - len(self.answers)

    @cached_property
    def may(self) -> int:
        return self.ranking.may

    @cached_property
    def has_gaps(self) -> bool:
        """True where somebody lacks a test for the weld."""
        lines = range(len(self.view.weld.lines))
        return any(self.ranking.wanting(line) is not None for line in lines)

    @cached_property
    def gaps(self) -> list[Advice]:
        return gaps(self.view.weld, self.ranking, self.view.units, self.view.house)

    @cached_property
    def limits(self) -> list[LimitInWords]:
        return limits_in_words(self.view.weld, self.view.house, self.view.shelf.edition, self.view.units)


class WeldPage(WeldToday):
    """Everything that the page of a weld shows, worked out when it is first looked at."""

    def __init__(self, part: Part, view: PartView, asked: Roster, every_welder: bool) -> None:
        super().__init__(view, asked, every_welder)
        self._said: tuple[Any, Any, str] = part.joint, part.lines, part.units
        self._figures: dict[Money, Figures] = {}
        self._sketches: dict[str, tuple[str, ...]] = {}

    @cached_property
    def groups(self) -> list[EnteredGroup]:
        joint, lines, units = self._said
        return [group for group in entered_groups(joint, lines, RecordKind.PART, units) if group.rows]

    @cached_property
    def groups_told(self) -> list[dict[str, Any]]:
        return [group.as_json() for group in self.groups]

    @cached_property
    def checks(self) -> tuple[CombinationCheck, ...]:
        """What to look at by common sense, whatever the shop leaves aside."""
        joint, lines, units = self._said
        return checks_of(read_weld(joint, lines, RecordKind.PART, units), RecordKind.PART, units)

    def figures(self, money: Money) -> Figures:
        """What follows from the weld as it will be made, at the shop's rates."""
        if money not in self._figures:
            self._figures = {money: figures_of(self.view.weld, self.view.units, money)}
        return self._figures[money]

    def look(self, money: Money) -> None:
        """Work out what its page shows at the shop's rates, so that the next look is quick."""
        for name in LOOKED_AT:
            getattr(self, name)
        self.figures(money)

    @cached_property
    def options(self) -> dict[str, dict[Any, SafeString]]:
        """The choices of welder and procedure, drawn once: of hundreds they are most of the page."""
        welders = sorted(self.ranking.places, key=lambda place: place.file.welder.name)
        specs = sorted({spec.number for _, spec in self.view.ranked})
        return {
            "may": {p.file.welder.pk: _option(p.file.welder.pk, p.file.welder) for p in welders if p.may},
            "may not": {
                p.file.welder.pk: _option(p.file.welder.pk, p.file.welder) for p in welders if not p.may
            },
            "specs": {number: _option(number, number) for number in specs},
        }

    @property
    def sketches(self) -> tuple[str, ...]:
        """The joints drawn, in the reader's language."""
        language = language_now()
        if language not in self._sketches:
            joint, lines, units = self._said
            is_of_iso = is_iso(self.view.shelf.edition.id)
            self._sketches[language] = sketches_of(joint, units, lines, RecordKind.PART, iso=is_of_iso)
        return self._sketches[language]

    @cached_property
    def carriers(self) -> list[Carrier]:
        """Tests that speak for a procedure, where none covers the weld."""
        if self.view.is_carried:
            return []
        return tests_that_carry(self.view.drawn, self.view.shelf.edition)


def _option(value: object, words: object) -> SafeString:
    return format_html('<option value="{}">{}</option>', value, words)


class Bench:
    """The procedures that the welds of a job are held against, and what was found of each weld, whoever
    welds it. Welds that say the same are asked about once."""

    def __init__(self, job: Job) -> None:
        self.shelf = ApprovedProcedures.for_job(job)
        self.shelf.read_limits()
        self._views: dict[str, PartView] = {}
        self._offers: dict[str, int] = {}
        self._tallies: tuple[Hashable, dict[str, Tally]] = ((), {})

    @classmethod
    def of(cls, job: Job) -> Bench:
        """The bench as it stands now."""
        key: Hashable = (job.edition, job.edition_for_welders, job.customer, job.number)
        return _benches.of(key, lambda: cls(job))

    def views(self, said: Mapping[str, Part]) -> dict[str, PartView]:
        """Each weld against the procedures, by what it says."""
        known = self._views if len(self._views) + len(said) <= MOST_WELDS else {}
        found = {says: known.get(says) or PartView.of(part, self.shelf) for says, part in said.items()}
        self._views = known | found
        return found

    def offers(self, views: Mapping[str, PartView]) -> dict[str, int]:
        """How many procedures would cover each weld that has none."""
        return self._told("_offers", views, offers_all)

    def tallies(self, views: Mapping[str, PartView], asked: Roster) -> dict[str, Tally]:
        """Of how many welders the answer is which; the same as long as the files say the same."""
        alike = tuple(file.alike for file in asked.files)
        known = self._tallies[1] if self._tallies[0] == alike else {}
        found = _with_missing(known, views, lambda new: tally_all(new, asked))
        self._tallies = (alike, found if len(found) <= MOST_WELDS else {})
        return found

    def _told(
        self, name: str, views: Mapping[str, PartView], ask: Callable[[list[PartView]], list[int]]
    ) -> dict[str, int]:
        found = _with_missing(getattr(self, name), views, ask)
        setattr(self, name, found if len(found) <= MOST_WELDS else {})
        return found


def _with_missing(
    known: dict[str, Any], views: Mapping[str, PartView], ask: Callable[[list[PartView]], list[Any]]
) -> dict[str, Any]:
    missing = [says for says in views if says not in known]
    if not missing:
        return known
    return known | dict(zip(missing, ask([views[says] for says in missing]), strict=True))


WELDERS_OWN = frozenset({"qualification_processuse", "qualification_weldertest", "qualification_validityact"})
"""Tables that say who may weld and nothing of procedures."""
_benches: AnswerCache[Bench] = AnswerCache(6, without=WELDERS_OWN)


class Board:
    """One job on one day."""

    def __init__(self, bench: Bench, day: date) -> None:
        self.bench, self.shelf, self.day = bench, bench.shelf, day
        self._rows: dict[str, BoardRow] = {}
        self._pages: Remembered[WeldPage] = Remembered(PAGES)

    @classmethod
    def of(cls, job: Job, day: date) -> Board:
        """The board as it stands now."""
        key: Hashable = (job.edition, job.edition_for_welders, job.customer, job.number, day)
        return _boards.of(key, lambda: cls(Bench.of(job), day))

    @cached_property
    def asked(self) -> Roster:
        """The files of all active welders; read when somebody asks who may weld."""
        return active_roster(self.day, self.shelf)

    def rows(self, parts: Sequence[Part]) -> list[BoardRow]:
        """A row for each weld; those not known yet are worked out all at once."""
        said = [what_it_says(part) for part in parts]
        distinct = dict(zip(said, parts, strict=True))
        new = {says: part for says, part in distinct.items() if says not in self._rows}
        found = dict(self._rows)
        if len(found) + len(new) > MOST_WELDS:
            new, found = distinct, {}
        if new:
            views = self.bench.views(new)
            tallies, offers = self.bench.tallies(views, self.asked), self.bench.offers(views)
            for says, part in new.items():
                found[says] = _row(part, views[says], tallies[says], offers[says])
            self._rows = found
        return [replace(found[says], part=part) for says, part in zip(said, parts, strict=True)]

    def page(self, part: Part, every_procedure: bool = False, every_welder: bool = False) -> WeldPage:
        """What the page of a weld shows."""
        says = what_it_says(part)

        def made() -> WeldPage:
            view = PartView.of(part, self.shelf, True) if every_procedure else None
            view = view or self.bench.views({says: part})[says]
            return WeldPage(part, view, self.asked, every_welder)

        return self._pages.of((says, every_procedure, every_welder), made)


_boards: AnswerCache[Board] = AnswerCache(KEPT)


def what_it_says(part: Part) -> str:
    """The same for welds of one job of which everything is answered alike."""
    return json.dumps([part.joint, part.lines, part.units, part.spec_number])


def _row(part: Part, view: PartView, counted: Tally, offered: int) -> BoardRow:
    return BoardRow(
        part,
        summary(part.joint, part.lines, part.units, RecordKind.PART),
        view.chosen,
        view.chosen_is_gone,
        offered,
        counted.may,
        counted.cannot_be_told,
    )
