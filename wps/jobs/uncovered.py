"""What a job leaves uncovered: welds that no test on file carries, and welds that nobody may make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt
from django.db import connection

from qualification.evidence.coverage import range_of
from qualification.evidence.kept import AnswerCache
from qualification.models import ProcedureTest, State
from qualification.records.change_marks import mark_of
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.entries import answer_words
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.plan.coupons import Codes, CoverageGap
from qualification.rules.ranges.at_once import answers_at_once
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.house import HouseLimit, held_to
from qualification.rules.ranges.inside_box import as_welded
from qualification.rules.ranges.ranges import TestRange
from qualification.welders.ranking import all_judged
from qualification.welders.who_may_weld import against
from wps.jobs.board import Board, what_it_says
from wps.jobs.coupon_gaps import LeftOut, Uncovered
from wps.jobs.part_view import PartView
from wps.models import Job, Part
from wps.procedures.procedure_match import ApprovedProcedures


def uncovered(job: Job, day: date) -> Uncovered:
    """The gaps of a job's welds on that day; equal welds are one, and all are asked about at once."""
    board, parts = Board.of(job, day), list(job.parts.all())
    alike: dict[str, list[Part]] = {}
    for part in parts:
        alike.setdefault(what_it_says(part), []).append(part)
    views = board.bench.views({says: same[0] for says, same in alike.items()})
    offered = board.bench.offers(views)
    look = _Look(board)
    asked = [
        _Asked(view, look.as_made(view), tuple(part.mark for part in alike[says]), offered[says] > 0)
        for says, view in views.items()
    ]
    look.at([each for each in asked if look.can_be_planned(each)])
    codes = Codes(board.shelf.edition, board.shelf.for_welders)
    return Uncovered(tuple(look.gaps), codes, tuple(look.left_out), tuple(look.written), len(parts))


_found: AnswerCache[Uncovered] = AnswerCache(4)
PARTS = frozenset({"wps_part", "wps_job"})


def uncovered_today(job: Job, day: date) -> Uncovered:
    """As `uncovered`, kept between requests while neither welds nor evidence change."""
    return _found.of((job.pk, day, mark_of(connection, PARTS)), lambda: uncovered(job, day))


def _ranges_on_file(shelf: ApprovedProcedures) -> list[TestRange]:
    tests = ProcedureTest.objects.filter(state=State.APPROVED, edition=shelf.edition.id).order_by("number")
    return [range_of(test, Side.PROCEDURE, shelf.edition) for test in tests]


@dataclass(frozen=True)
class _Asked:
    """A weld that is looked at, with the marks of those that say the same."""

    view: PartView
    weld: Weld
    """As it will be made."""
    marks: tuple[str, ...]
    is_offered: bool
    """True where no procedure is chosen and some would cover it."""


class _Look:
    """Goes through the welds of a job and notes what is uncovered."""

    def __init__(self, board: Board) -> None:
        self.shelf, self.roster = board.shelf, board.asked
        self.on_file = _ranges_on_file(board.shelf)
        self.gaps: list[CoverageGap] = []
        self.left_out: list[LeftOut] = []
        self.written: list[LeftOut] = []

    def as_made(self, view: PartView) -> Weld:
        """The weld by its chosen WPS, else as the first WPS with the same processes would make it: what the
        drawing leaves open is welded as the shop welds already."""
        if view.chosen is not None:
            return view.weld
        processes = [line["process"] for line in view.drawn.lines]
        for spec in self.shelf.specs:
            claim = self.shelf.claim(spec)
            if [line["process"] for line in claim.lines] == processes:
                return as_welded(view.drawn, claim)
        return view.drawn

    def can_be_planned(self, each: _Asked) -> bool:
        """False of a weld for which no coupon can be asked; it is noted why."""
        if not each.weld.lines:
            self.left_out.append(LeftOut(each.marks, "Enter the welding process first."))
        elif limits := _limits(each.weld, each.view.house, self.shelf):
            said = f"No test coupon would help: outside an additional limit ({limits})."
            self.left_out.append(LeftOut(each.marks, said))
        else:
            return True
        return False

    def at(self, asked: Sequence[_Asked]) -> None:
        """Note the gaps of these welds."""
        edition = self.shelf.edition
        wholes = [derive(group(each.weld, edition)) for each in asked]
        by_tests = answers_at_once(wholes, [self.on_file], edition, Side.PROCEDURE)
        carried_ones: list[tuple[_Asked, Weld]] = []
        by_welders = all_judged([(each.weld, each.view.house) for each in asked], self.roster, edition)
        for number, (each, judged) in enumerate(zip(asked, by_welders, strict=True)):
            start = by_tests.starts[number]
            carried = by_tests.lines[start : start + len(each.weld.lines), 0] <= Verdict.COVERED
            if self._wants_procedure(each) and carried.all():
                carried_ones.append((each, wholes[number]))
            elif self._wants_procedure(each):
                self._note(each, Side.PROCEDURE, carried)
            able = np.asarray((judged.verdicts <= Verdict.COVERED).any(axis=1))
            self._note(each, Side.WELDER, able)

        for (each, _), tests in zip(carried_ones, self._tests_of(carried_ones), strict=True):
            said = f"Write or choose a WPS on {', '.join(tests)}; no coupon is needed."
            self.written.append(LeftOut(each.marks, said))

    @staticmethod
    def _wants_procedure(each: _Asked) -> bool:
        """True where neither the chosen procedure covers the weld nor, none being chosen, another would."""
        chosen = each.view.chosen
        return not each.is_offered if chosen is None else chosen.verdict > Verdict.COVERED

    def _tests_of(self, carried: Sequence[tuple[_Asked, Weld]]) -> list[tuple[str, ...]]:
        """The tests that each of these welds rests on. The plain engine names them, asked about the first
        test that covers each line by itself, as it would take; about all only where tests join."""
        edition, wholes = self.shelf.edition, [whole for _, whole in carried]
        alone = answers_at_once(wholes, [[each] for each in self.on_file], edition, Side.PROCEDURE)
        found = []
        for whole, start in zip(wholes, alone.starts, strict=True):
            covers = alone.lines[start : start + len(whole.lines)] <= Verdict.COVERED
            firsts = sorted({int(each) for each in covers.argmax(axis=1)})
            few = [self.on_file[each] for each in firsts] if covers.any(axis=1).all() else self.on_file
            found.append(cover_whole(whole, few, edition, Side.PROCEDURE).relied_on)
        return found

    def _note(self, each: _Asked, side: Side, closed: npt.NDArray[np.bool_]) -> None:
        house = tuple(each.view.house)
        self.gaps += [
            CoverageGap(each.weld, int(line), side, each.marks, each.view.units, house)
            for line in np.flatnonzero(~closed)
        ]


def _limits(weld: Weld, house: Sequence[HouseLimit], shelf: ApprovedProcedures) -> str:
    found = (f for line in held_to(weld, house, shelf.edition) for f in against(line))
    return "; ".join(dict.fromkeys(answer_words.say_obstacle(finding) for finding in found))
