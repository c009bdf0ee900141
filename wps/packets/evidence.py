"""What each weld of a job rests on: its procedure, the procedure tests that cover it, and the tests of who
made it or is to make it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from qualification.models import ProcedureTest, Welder
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import Interval
from qualification.rules.entries import wording
from qualification.rules.tabular.schema import TableError
from qualification.welders.who_may_weld import Roster, WelderAnswer, answers, roster
from wps.documents.weld_standing import WeldStatus, standings_of_job
from wps.models import Job, Part, Spec, Step
from wps.procedures.procedure_match import ApprovedProcedures, read_part

WELDING = (Step.WELDED, Step.REPAIR)


@dataclass(frozen=True)
class Person:
    """Who made a weld or is to make it, by which tests, and until when."""

    welder: Welder
    tests: tuple[str, ...]
    """Numbers of the tests that carry the weld, or of the closest ones."""
    may: bool
    until: date | None


@dataclass(frozen=True)
class WeldEvidence:
    """One weld of the job."""

    standing: WeldStatus
    procedure: str
    """Number and revision it was welded by, or is to be welded by; empty where none is chosen."""
    spec: Spec | None
    tests: tuple[ProcedureTest, ...]
    people: tuple[Person, ...]
    open: str
    """Why its procedure does not cover it; empty where it does."""

    @property
    def part(self) -> Part:
        return self.standing.part

    def what(self, units: str = "") -> str:
        """Thickness and position in the units asked for, else in the weld's own."""
        weld, units = read_part(self.part), units or self.part.units
        sizes = dict.fromkeys(
            wording.say_value(key, stated, units)
            for key in ("thickness_a", "thickness_b")
            if isinstance(stated := weld.joint[key], Interval)
        )
        said = [" to ".join(sizes)]
        if weld.joint.given("position"):
            said.append(wording.say_value("position", weld.joint["position"], units))
        return "; ".join(each for each in said if each)


def evidence_of(job: Job, welders: Iterable[Welder], day: date) -> tuple[WeldEvidence, ...]:
    """Every weld of the job on the day. `welders` may make those that nobody made or is assigned to."""
    standings = standings_of_job(job)
    people = {welder.pk: welder for welder in welders}
    named = _named(standings)
    people |= {welder.pk: welder for those in named.values() for welder in those}
    try:
        shelf = ApprovedProcedures.for_job(job)
        asked = roster(people.values(), day, shelf.for_welders)
    except TableError:
        return tuple(WeldEvidence(each, _reference(each, None), None, (), (), "") for each in standings)
    worked_out = _WorkedOut(shelf, asked)
    return tuple(worked_out.weld(each, named[each.part.pk]) for each in standings)


def _named(standings: Iterable[WeldStatus]) -> dict[int, tuple[Welder, ...]]:
    """Who welded or repaired each weld; who is assigned where nobody did."""
    found = {}
    for each in standings:
        welded = dict.fromkeys(
            event.welder for event in each.events if event.step in WELDING and event.welder
        )
        found[each.part.pk] = tuple(welded) or ((each.part.welder,) if each.part.welder else ())
    return found


class _WorkedOut:
    """Answers by what is asked, since welds of one detail are alike."""

    def __init__(self, shelf: ApprovedProcedures, asked: Roster) -> None:
        self._shelf, self._asked = shelf, asked
        self._procedures: dict[tuple[str, str], tuple[tuple[str, ...], str]] = {}
        self._answers: dict[tuple[str, str], list[WelderAnswer]] = {}
        self._earlier: dict[str, Spec | None] = {}

    def weld(self, standing: WeldStatus, named: tuple[Welder, ...]) -> WeldEvidence:
        part = standing.part
        spec = self._spec(standing)
        numbers, why = self._carried(part, spec) if spec else ((), "")
        tests = [] if spec is None or spec.prequalified else list(spec.tests.all())
        used = [test for test in tests if test.number in numbers] or tests
        ids = {welder.pk for welder in named}
        people = tuple(
            _person(each) for each in self._people(part) if each.welder.pk in ids or (not ids and _may(each))
        )
        return WeldEvidence(standing, _reference(standing, spec), spec, tuple(used), people, why)

    def _spec(self, standing: WeldStatus) -> Spec | None:
        """The revision it was welded by, else the one in force."""
        chosen = self._shelf.chosen(standing.part.spec_number)
        welded = standing.welded.spec_reference if standing.welded else ""
        if not welded or (chosen is not None and chosen.reference == welded):
            return chosen
        if welded not in self._earlier:
            self._earlier[welded] = next(
                (each for each in _revisions(welded) if each.reference == welded), None
            )
        return self._earlier[welded] or chosen

    def _carried(self, part: Part, spec: Spec) -> tuple[tuple[str, ...], str]:
        """Numbers of the tests that cover the weld, and why its procedure does not."""
        key = (_alike(part), spec.reference)
        if key not in self._procedures:
            fit = self._shelf.fit(read_part(part), spec, part.units)
            covered = fit.verdict <= Verdict.COVERED
            self._procedures[key] = (fit.report.relied_on if covered else (), "" if covered else fit.sentence)
        return self._procedures[key]

    def _people(self, part: Part) -> list[WelderAnswer]:
        key = (_alike(part), part.spec_number)
        if key not in self._answers:
            house = self._shelf.house(self._shelf.chosen(part.spec_number))
            self._answers[key] = answers(self._shelf.made(part), self._asked, house, self._shelf.edition)
        return self._answers[key]


def _revisions(reference: str) -> QuerySet[Spec]:
    return Spec.objects.filter(number=reference.rpartition(" rev ")[0]).prefetch_related("tests")


def _reference(standing: WeldStatus, spec: Spec | None) -> str:
    if standing.welded and standing.welded.spec_reference:
        return standing.welded.spec_reference
    return spec.reference if spec else standing.part.spec_number


def _alike(part: Part) -> str:
    return json.dumps([part.joint, part.lines, part.units])


def _may(answer: WelderAnswer) -> bool:
    return bool(answer.may or answer.some_lines)


def _person(answer: WelderAnswer) -> Person:
    lines = answer.lines if answer.may or not answer.some_lines else answer.some_lines
    ends = [line.holds_until for line in lines if line.holds_until]
    return Person(
        answer.welder,
        tuple(dict.fromkeys(number for line in lines for number in line.by)),
        answer.may,
        min(ends, default=None),
    )
