"""What a job leaves uncovered: welds that no test on file carries, and welds that nobody may make."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db import connection

from qualification.evidence.coverage import range_of
from qualification.evidence.kept import AnswerCache
from qualification.models import ProcedureTest, State
from qualification.records.change_marks import mark_of
from qualification.rules.core import words
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.entries import wording
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.plan.coupons import Codes, CoverageGap
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.house import HouseLimit, held_to
from qualification.rules.ranges.inside_box import as_welded
from qualification.rules.ranges.planning import what_a_coupon_waits_for
from qualification.rules.ranges.ranges import TestRange
from qualification.rules.variables.registry import registry
from qualification.welders.who_may_weld import Roster, against
from wps.jobs.part_editor import PartView, active_roster
from wps.models import Job, Part
from wps.procedures.procedure_match import ApprovedProcedures


@dataclass(frozen=True)
class LeftOut:
    """A weld that no plan is made for, and why."""

    marks: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Uncovered:
    """What a plan has to cover, and what it cannot be asked for."""

    gaps: tuple[CoverageGap, ...]
    codes: Codes
    left_out: tuple[LeftOut, ...]
    only_a_procedure: tuple[LeftOut, ...]
    """Welds that tests on file carry: they need a WPS and no coupon."""
    welds: int


def uncovered(job: Job, day: date) -> Uncovered:
    """The gaps of a job's welds on that day; equal welds are one."""
    shelf, parts = ApprovedProcedures.for_job(job), list(job.parts.all())
    asked = active_roster(day, shelf)
    alike: dict[str, list[Part]] = {}
    for part in parts:
        alike.setdefault(json.dumps([part.joint, part.lines, part.units, part.spec_number]), []).append(part)
    look = _Look(shelf, asked, _ranges_on_file(shelf))
    for same in alike.values():
        look.at(same[0], tuple(part.mark for part in same))
    codes = Codes(shelf.edition, shelf.for_welders)
    return Uncovered(tuple(look.gaps), codes, tuple(look.left_out), tuple(look.written), len(parts))


_found: AnswerCache[Uncovered] = AnswerCache(4)
PARTS = frozenset({"wps_part", "wps_job"})


def uncovered_today(job: Job, day: date) -> Uncovered:
    """As `uncovered`, kept between requests while neither welds nor evidence change."""
    return _found.of((job.pk, day, mark_of(connection, PARTS)), lambda: uncovered(job, day))


def _ranges_on_file(shelf: ApprovedProcedures) -> list[TestRange]:
    tests = ProcedureTest.objects.filter(state=State.APPROVED, edition=shelf.edition.id).order_by("number")
    return [range_of(test, Side.PROCEDURE, shelf.edition) for test in tests]


class _Look:
    """Goes through the welds of a job and notes what is uncovered."""

    def __init__(self, shelf: ApprovedProcedures, asked: Roster, on_file: Sequence[TestRange]) -> None:
        self.shelf, self.on_file = shelf, on_file
        one_of_each = tuple({file.alike: file for file in asked.files}.values())
        self.roster = replace(asked, files=one_of_each)
        self.gaps: list[CoverageGap] = []
        self.left_out: list[LeftOut] = []
        self.written: list[LeftOut] = []

    def at(self, part: Part, marks: tuple[str, ...]) -> None:
        view = PartView.of(part, self.shelf)
        weld = self._as_made(view)
        if not weld.lines:
            self.left_out.append(LeftOut(marks, "Enter the welding process first."))
            return
        if limits := _limits(weld, view.house, self.shelf):
            self.left_out.append(
                LeftOut(marks, f"No test coupon would help: outside an additional limit ({limits}).")
            )
            return
        self._procedure(view, weld, marks, part.units)
        self._welders(view, weld, marks, part.units)

    def _as_made(self, view: PartView) -> Weld:
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

    def _procedure(self, view: PartView, weld: Weld, marks: tuple[str, ...], units: str) -> None:
        if view.chosen is not None and view.chosen.verdict <= Verdict.COVERED:
            return
        if view.chosen is None and view.is_carried:
            return
        edition = self.shelf.edition
        report = cover_whole(derive(group(weld, edition)), self.on_file, edition, Side.PROCEDURE)
        if report.verdict <= Verdict.COVERED:
            tests = ", ".join(report.relied_on)
            self.written.append(LeftOut(marks, f"Write or choose a WPS on {tests}; no coupon is needed."))
            return
        for line in report.lines:
            if line.verdict > Verdict.COVERED:
                self.gaps.append(
                    CoverageGap(weld, line.line, Side.PROCEDURE, marks, units, tuple(view.house))
                )

    def _welders(self, view: PartView, weld: Weld, marks: tuple[str, ...], units: str) -> None:
        found = view.asked_of(weld, self.roster)
        for line in range(len(weld.lines)):
            if not any(answer.lines[line].verdict <= Verdict.COVERED for answer in found):
                self.gaps.append(CoverageGap(weld, line, Side.WELDER, marks, units, tuple(view.house)))


def _limits(weld: Weld, house: Sequence[HouseLimit], shelf: ApprovedProcedures) -> str:
    found = (f for line in held_to(weld, house, shelf.edition) for f in against(line))
    return "; ".join(dict.fromkeys(wording.say_obstacle(finding) for finding in found))


def what_is_missing(gap: CoverageGap, codes: Codes) -> str:
    """What the weld would have to state before a coupon can be named; empty where nothing is missing."""
    keys = what_a_coupon_waits_for(gap.alone, codes.of(gap.side), gap.side, gap.system)
    return "; ".join(words.within_sentence(registry()[key].label) for key in keys)
