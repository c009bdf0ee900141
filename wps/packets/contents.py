"""What a packet brings: from the few things chosen to all that goes with them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from qualification.evidence.coverage import edition_of
from qualification.evidence.range_summary import summary_of
from qualification.models import CouponRecord, ProcedureTest, Record, State, Welder
from qualification.rules.core.facts import Side
from qualification.rules.entries.answer_words import say_obstacle
from qualification.rules.ranges.house import held_to
from qualification.rules.tabular.schema import TableError
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.continuity import QualificationStatus, best_by_process, standings_of
from qualification.welders.who_may_weld import against, answers, roster
from wps.documents.weld_map import MapPage, map_pages
from wps.models import Attachment, Job, Packet, Part, Spec
from wps.packets.evidence import WeldEvidence, evidence_of
from wps.procedures.procedure_match import ApprovedProcedures


@dataclass(frozen=True)
class ProcessRow:
    """One process a listed welder holds: by which test, what kept it last, until when, within which
    limits."""

    standing: QualificationStatus

    @property
    def ranges(self) -> tuple[tuple[str, str], ...]:
        """In the units of the test's record."""
        return self.ranges_in("")

    def ranges_in(self, units: str) -> tuple[tuple[str, str], ...]:
        """Label and words of each range in short, in that unit system."""
        lines = summary_of(self.standing.record, Side.WELDER, units).lines
        return next((line.ranges for line in lines if line.process == self.standing.process), ())

    @property
    def kept_by(self) -> str:
        """What the standing rests on: the use or coupon it counts from, or the last confirmation; empty where
        none is on record."""
        answer = self.standing.answer
        if self.standing.is_confirmed:
            return f"Confirmed {answer.confirmed_on}" if answer.confirmed_on else ""
        if answer.shown_on is None:
            return ""
        return (
            f"Coupon {answer.shown_by}, {answer.shown_on}" if answer.shown_by else f"Used {answer.shown_on}"
        )


@dataclass(frozen=True)
class WelderEntry:
    """A listed welder on the day of issue."""

    welder: Welder
    rows: tuple[ProcessRow, ...]
    records: tuple[CouponRecord, ...]


@dataclass(frozen=True)
class Contents:
    """Everything of a packet, in the order in which an inspector reads."""

    procedures: tuple[Spec, ...]
    procedure_tests: tuple[ProcedureTest, ...]
    welders: tuple[WelderEntry, ...]
    welder_tests: tuple[CouponRecord, ...]
    attachments: tuple[Attachment, ...]
    day: date
    welds: tuple[WeldEvidence, ...] = ()
    """Every weld of the packet's job with what it rests on; none for a packet without a job."""
    maps: tuple[MapPage, ...] = ()
    """Pages of the job's drawings on which welds are placed."""

    @property
    def sections(self) -> tuple[tuple[str, str, tuple[Record, ...]], ...]:
        """Key, heading and records of each section of documents."""
        return (
            ("procedure", "Procedures", self.procedures),
            ("procedure-test", "Procedure tests", self.procedure_tests),
            ("welder-test", "Welder tests", self.welder_tests),
        )

    @property
    def editions(self) -> list[str]:
        """Names of the code editions the procedures, and then the welders' tests, were judged under."""
        return list(
            dict.fromkeys(_edition_name(each.edition) for each in (*self.procedures, *self.welder_tests))
        )


def _edition_name(key: str) -> str:
    try:
        return edition_of(key).name
    except TableError:
        return key


def contents_of(packet: Packet, day: date) -> Contents:
    """The packet's contents as they stand, its welders as on the day. For a job, of the tests behind
    procedures and welders only those its welds rest on, and those that were added."""
    choice = packet.choice
    procedures = tuple(
        _in_order(Spec.objects.filter(pk__in=choice.get("procedures", [])).prefetch_related("tests"))
    )
    chosen = list(Welder.objects.filter(pk__in=choice.get("welders", [])))
    welds = evidence_of(packet.job, chosen, day) if packet.job else ()
    tests = _procedure_tests(procedures, welds, choice)
    processes = processes_of(procedures)
    welders = tuple(welder_entry(each, processes, day, _own_tests(each, welds, choice)) for each in chosen)
    carried = {(type(r), r.pk): r for entry in welders for r in entry.records}
    welder_tests = tuple(r for r in carried.values() if not (isinstance(r, ProcedureTest) and r.pk in tests))
    attachments = tuple(
        Attachment.objects.filter(pk__in=choice.get("attachments", [])).order_by("kind", "title", "id")
    )
    return Contents(
        procedures,
        tuple(tests.values()),
        welders,
        welder_tests,
        _by_kind(attachments),
        day,
        welds,
        map_pages(packet.job) if packet.job is not None else (),
    )


def _procedure_tests(
    procedures: Iterable[Spec], welds: Sequence[WeldEvidence], choice: Mapping[str, Any]
) -> dict[int, ProcedureTest]:
    """Tests of the procedures, by id. Of a procedure that welds of the job are made by, those that cover
    them; of any other, all."""
    used: dict[int, set[int]] = {}
    for each in welds:
        if each.spec is not None:
            used.setdefault(each.spec.pk, set()).update(test.pk for test in each.tests)
    added = set(choice.get("procedure_tests", []))
    return {
        test.pk: test
        for spec in procedures
        if not spec.prequalified
        for test in sorted(spec.tests.all(), key=lambda test: (test.number, test.revision))
        if spec.pk not in used or test.pk in used[spec.pk] | added
    }


def _own_tests(
    welder: Welder, welds: Sequence[WeldEvidence], choice: Mapping[str, Any]
) -> frozenset[str] | None:
    """Numbers of the welder's tests that welds of the job rest on, and of those that were added; `None` for
    all, where no weld rests on any."""
    used = {
        number
        for weld in welds
        for person in weld.people
        if person.welder.pk == welder.pk
        for number in person.tests
    }
    added = choice.get("welder_tests", [])
    return frozenset(used | set(added)) if used else None


def _in_order(specs: Iterable[Spec]) -> list[Spec]:
    return sorted(specs, key=lambda spec: (spec.number, spec.revision))


def _by_kind(attachments: Iterable[Attachment]) -> tuple[Attachment, ...]:
    order = [kind for kind, _ in Attachment._meta.get_field("kind").choices or ()]
    return tuple(sorted(attachments, key=lambda each: (order.index(each.kind), each.title)))


def welder_entry(
    welder: Welder, processes: set[str], day: date, tests: frozenset[str] | None = None
) -> WelderEntry:
    """How the welder stands on the day in each of these processes (in all, when none is named): by every test
    that holds, or by the one closest to it; and the tests behind that. `tests`: numbers of the tests that are
    wanted, where not all are."""
    standings = [each for each in standings_of(welder, day) if not processes or each.process in processes]
    shown = [each for each in standings if each.answer.state is Holding.HOLDS]
    held = {each.process for each in shown}
    shown += [each for each in best_by_process(standings) if each.process not in held]
    shown = [each for each in shown if tests is None or each.record.number in tests]
    records = {(type(each.record), each.record.pk): each.record for each in shown}
    return WelderEntry(welder, tuple(ProcessRow(each) for each in shown), tuple(records.values()))


def processes_of(procedures: Iterable[Spec]) -> set[str]:
    """The processes the procedures use."""
    return {str(line.get("process", "")) for spec in procedures for line in spec.lines} - {""}


def proposed_for(job: Job, day: date) -> dict[str, list[int]]:
    """What a packet for the job would bring: the approved procedures its parts name, who made each part or is
    assigned to it, else the active welders who may make at least one line of it on the day, and the papers
    that belong to the job or to a record that comes along."""
    welds = evidence_of(job, Welder.objects.filter(active=True), day)
    named = {each.part.spec_number for each in welds}
    specs = Spec.objects.filter(number__in=named, state=State.APPROVED).values_list("pk", flat=True)
    numbers = {each.spec.number for each in welds if each.spec is not None}
    numbers |= named - {""}
    tests = {test.number for each in welds for test in each.tests}
    welder_tests = {number for each in welds for person in each.people for number in person.tests}
    belongs = Q(job=job)
    belongs |= Q(record_kind="procedure", record_number__in=numbers)
    belongs |= Q(record_kind="procedure-test", record_number__in=tests | welder_tests)
    belongs |= Q(record_kind="welder-test", record_number__in=welder_tests)
    attachments = Attachment.objects.filter(belongs, set_aside_because="").values_list("pk", flat=True)
    return {
        "procedures": sorted(specs),
        "welders": sorted({person.welder.pk for each in welds for person in each.people}),
        "attachments": list(attachments),
    }


class Makers:
    """Who of these welders may make a part of the job on the day, wholly or some lines of it."""

    def __init__(self, job: Job, welders: Iterable[Welder], day: date) -> None:
        try:
            self._shelf: ApprovedProcedures | None = ApprovedProcedures.for_job(job)
        except TableError:
            self._shelf = None
        self._roster = roster(welders, day, self._shelf.for_welders) if self._shelf else None

    def of(self, part: Part) -> set[int]:
        """Ids of those welders; none where the tables of the job's edition are not installed."""
        if self._shelf is None or self._roster is None:
            return set()
        found = answers(
            self._shelf.made(part),
            self._roster,
            self._shelf.house(self._shelf.chosen(part.spec_number)),
            self._shelf.edition,
        )
        return {each.welder.pk for each in found if each.may or each.some_lines}

    def limits_against(self, part: Part) -> list[str]:
        """Limits beyond the code that keep the part from being made by anybody, each in words."""
        if self._shelf is None:
            return []
        house = self._shelf.house(self._shelf.chosen(part.spec_number))
        found = (
            f for line in held_to(self._shelf.made(part), house, self._shelf.edition) for f in against(line)
        )
        return list(dict.fromkeys(say_obstacle(finding) for finding in found))
