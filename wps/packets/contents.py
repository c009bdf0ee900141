"""What a packet brings: from the few things chosen to all that goes with them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from qualification.continuity import Standing, best_by_process, standings_of
from qualification.coverage import edition_of
from qualification.models import CouponRecord, ProcedureTest, Record, Welder
from qualification.range_summary import ShortLine, summary_of
from qualification.rules.continuity import State as Holding
from qualification.rules.house import held_to
from qualification.rules.ranges import Side
from qualification.rules.schema import TableError
from qualification.rules.wording import say_obstacle
from qualification.who_may_weld import against, answers, welder_files
from wps.fitting import Shelf
from wps.models import Attachment, Job, Packet, Part, Spec


@dataclass(frozen=True)
class ProcessRow:
    """One process a listed welder holds: by which test, what kept it last, until when, within which
    limits."""

    standing: Standing
    last_use: date | None
    """Last use on record or, where confirmations keep it, the last of these."""
    ranges: tuple[tuple[str, str], ...]


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
    """The packet's contents as they stand, its welders as on the day."""
    choice = packet.choice
    procedures = tuple(_in_order(Spec.objects.filter(pk__in=choice.get("procedures", []))))
    tests = {test.pk: test for spec in procedures for test in spec.tests.order_by("number", "revision")}
    processes = processes_of(procedures)
    welders = tuple(
        welder_entry(each, processes, day) for each in Welder.objects.filter(pk__in=choice.get("welders", []))
    )
    carried = {(type(r), r.pk): r for entry in welders for r in entry.records}
    welder_tests = tuple(r for r in carried.values() if not (isinstance(r, ProcedureTest) and r.pk in tests))
    attachments = tuple(
        Attachment.objects.filter(pk__in=choice.get("attachments", [])).order_by("kind", "title", "id")
    )
    return Contents(procedures, tuple(tests.values()), welders, welder_tests, _by_kind(attachments), day)


def _in_order(specs: Iterable[Spec]) -> list[Spec]:
    return sorted(specs, key=lambda spec: (spec.number, spec.revision))


def _by_kind(attachments: Iterable[Attachment]) -> tuple[Attachment, ...]:
    order = [kind for kind, _ in Attachment._meta.get_field("kind").choices or ()]
    return tuple(sorted(attachments, key=lambda each: (order.index(each.kind), each.title)))


def welder_entry(welder: Welder, processes: set[str], day: date) -> WelderEntry:
    """How the welder stands on the day in each of these processes (in all, when none is named): by every test
    that holds, or by the one closest to it; and the tests behind that."""
    standings = [each for each in standings_of(welder, day) if not processes or each.process in processes]
    shown = [each for each in standings if each.answer.state is Holding.HOLDS]
    held = {each.process for each in shown}
    shown += [each for each in best_by_process(standings) if each.process not in held]
    records = {(type(each.record), each.record.pk): each.record for each in shown}
    return WelderEntry(welder, tuple(_row(welder, each, day) for each in shown), tuple(records.values()))


def _row(welder: Welder, standing: Standing, day: date) -> ProcessRow:
    lines: list[ShortLine] = [
        line for line in summary_of(standing.record, Side.WELDER).lines if line.process == standing.process
    ]
    ranges = lines[0].ranges if lines else ()
    if standing.is_confirmed:
        return ProcessRow(standing, standing.answer.confirmed_on, ranges)
    uses = welder.uses.filter(process=standing.process, struck_because="", used_on__lte=day)
    if standing.operation:
        uses = uses.filter(operation=standing.operation)
    last = uses.order_by("-used_on").first()
    days = [
        d for d in (last.used_on if last else None, standing.record.welded_on) if d is not None and d <= day
    ]
    return ProcessRow(standing, max(days, default=None), ranges)


def processes_of(procedures: Iterable[Spec]) -> set[str]:
    """The processes the procedures use."""
    return {str(line.get("process", "")) for spec in procedures for line in spec.lines} - {""}


def proposed_for(job: Job, day: date) -> dict[str, list[int]]:
    """What a packet for the job would bring: the approved procedures its parts name, the active welders who
    may make at least one line of one part on the day, and the papers that belong to the job or to a record
    that comes along."""
    parts = list(job.parts.all())
    specs = {spec.pk for part in parts if (spec := part.chosen_spec()) is not None}
    makers = Makers(job, Welder.objects.filter(active=True), day)
    belongs = Q(job=job)
    for spec in Spec.objects.filter(pk__in=specs):
        belongs |= Q(record_kind="procedure", record_number=spec.number)
        belongs |= Q(
            record_kind="procedure-test", record_number__in=list(spec.tests.values_list("number", flat=True))
        )
    attachments = Attachment.objects.filter(belongs, set_aside_because="").values_list("pk", flat=True)
    return {
        "procedures": sorted(specs),
        "welders": sorted({pk for part in parts for pk in makers.of(part)}),
        "attachments": list(attachments),
    }


class Makers:
    """Who of these welders may make a part of the job on the day, wholly or some lines of it."""

    def __init__(self, job: Job, welders: Iterable[Welder], day: date) -> None:
        try:
            self._shelf: Shelf | None = Shelf.for_job(job)
        except TableError:
            self._shelf = None
        self._files = welder_files(welders, day, self._shelf.for_welders) if self._shelf else []

    def of(self, part: Part) -> set[int]:
        """Ids of those welders; none where the tables of the job's edition are not installed."""
        if self._shelf is None:
            return set()
        found = answers(
            self._shelf.made(part),
            self._files,
            self._shelf.for_welders,
            self._shelf.house(self._shelf.chosen(part.spec_number)),
        )
        return {each.welder.pk for each in found if each.may or each.some_lines}

    def limits_against(self, part: Part) -> list[str]:
        """Limits laid over the code that keep the part from being made by anybody, each in words."""
        if self._shelf is None:
            return []
        house = self._shelf.house(self._shelf.chosen(part.spec_number))
        found = (
            f for line in held_to(self._shelf.made(part), house, self._shelf.edition) for f in against(line)
        )
        return list(dict.fromkeys(say_obstacle(finding) for finding in found))
