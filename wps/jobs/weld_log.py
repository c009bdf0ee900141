"""The log of a job's welds: what is written into it, and what it refuses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from qualification.models import ProcessUse, State, Welder
from qualification.records.audit import Event, append_all, name_of
from qualification.roles import Person
from qualification.welders.changes import NewUse, record_uses, strike
from wps.documents.weld_standing import WeldStatus, standings_of_job
from wps.jobs.assignments import Judge
from wps.jobs.part_view import PartView
from wps.models import Job, Lot, Part, Result, Spec, Step, WeldEvent

EVIDENCE = "Weld log"


class LogRefused(Exception):
    """The log cannot take this; the message names the weld and says what to do."""


@dataclass(frozen=True)
class Entry:
    """One line to be written."""

    part: Part
    step: str
    done_on: date
    welder: Welder | None = None
    by_name: str = ""
    method: str = ""
    result: str = ""
    report: str = ""
    gas: str = ""
    lots: Sequence[Lot] = ()
    reason: str = ""
    note: str = ""
    token: UUID | None = None


class Writer:
    """Writes lines of one job's log, all or none."""

    def __init__(self, job: Job, person: Person) -> None:
        self.job, self.person = job, person
        self._judges: dict[date, Judge] = {}
        self._specs: dict[tuple[str, date], str] = {}

    def write(self, entries: Sequence[Entry]) -> list[WeldEvent]:
        """Raises LogRefused with every weld that cannot be logged so."""
        with transaction.atomic():
            job = Job.objects.select_for_update(no_key=True).get(pk=self.job.pk)
            by_part = {
                each.part.pk: each for each in standings_of_job(job, [entry.part for entry in entries])
            }
            refused: dict[str, list[str]] = {}
            made = []
            for entry in entries:
                try:
                    made.append(self.check(entry, by_part[entry.part.pk]))
                except LogRefused as why:
                    refused.setdefault(str(why), []).append(entry.part.mark)
            if refused:
                raise LogRefused(" ".join(f"{', '.join(marks)}: {why}" for why, marks in refused.items()))
            for event in made:
                event.save()
            self._link(made, entries)
            append_all(
                [Event("log", "part", e.part_id, str(e.part), {"detail": told(e)}) for e in made],
                name_of(self.person),
            )
        return made

    def write_once(self, entry: Entry) -> None:
        """As `write`; what was written under the entry's token before is left as it is."""
        if WeldEvent.objects.filter(token=entry.token).exists():
            return
        try:
            with transaction.atomic():
                self.write([entry])
        except IntegrityError:
            if not WeldEvent.objects.filter(token=entry.token).exists():
                raise

    def check(self, entry: Entry, standing: WeldStatus) -> WeldEvent:
        """The line as it would be written, put behind those of the weld; nothing is stored. Raises
        LogRefused."""
        event = WeldEvent(
            part=entry.part,
            step=entry.step,
            done_on=entry.done_on,
            welder=entry.welder,
            by_name=entry.by_name,
            method=entry.method,
            result=entry.result,
            report=entry.report,
            gas=entry.gas,
            note=entry.note,
            token=entry.token,
            recorded_by_name=name_of(self.person),
        )
        if entry.done_on > timezone.localdate():
            raise LogRefused(f"{entry.done_on} is in the future. Enter the day on which it was done.")
        _in_order(entry, standing)
        if entry.step in (Step.WELDED, Step.REPAIR):
            self._may_weld(entry, event)
        standing.events.append(event)
        return event

    def why_not(self, part: Part, welder: Welder, on: date) -> str:
        """Why that welder may not make the weld on that day; empty where it is all right."""
        judge = self._judges.setdefault(on, Judge(self.job, on))
        said = []
        if not part.spec_number:
            said.append("No WPS is chosen.")
        elif (against := judge.against_spec(part)) is not None:
            said.append(against.sentence)
        as_welded = Part(
            job=self.job,
            joint=part.joint,
            lines=part.lines,
            units=part.units,
            spec_number=part.spec_number,
            welder=welder,
        )
        if (against := judge.against_welder(as_welded)) is not None:
            said.append(against.sentence)
        return " ".join(said)

    def _may_weld(self, entry: Entry, event: WeldEvent) -> None:
        if entry.welder is None:
            raise LogRefused("Choose the welder who made it.")
        event.spec_reference = self._spec_of(entry.part, entry.done_on)
        why = self.why_not(entry.part, entry.welder, entry.done_on)
        if why and not entry.reason.strip():
            raise LogRefused(f"{why} Enter a reason to log it all the same.")
        event.reason = " ".join(entry.reason.split())[:200] if why else ""

    def _spec_of(self, part: Part, on: date) -> str:
        """The revision in force on that day."""
        key = (part.spec_number, on)
        if key not in self._specs:
            stood = Spec.objects.filter(
                number=part.spec_number, state__in=(State.APPROVED, State.SUPERSEDED)
            ).order_by("-revision")
            then = next(
                (
                    spec
                    for spec in stood
                    if spec.approved_at is not None and timezone.localtime(spec.approved_at).date() <= on
                ),
                None,
            )
            spec = then or stood.filter(state=State.APPROVED).first()
            self._specs[key] = spec.reference if spec else ""
        return self._specs[key]

    def _link(self, made: Sequence[WeldEvent], entries: Sequence[Entry]) -> None:
        through = WeldEvent.lots.through
        through.objects.bulk_create(
            through(weldevent_id=event.pk, lot_id=lot.pk)
            for event, entry in zip(made, entries, strict=True)
            for lot in entry.lots
        )
        self._show_continuity(
            [e for e in made if e.step in (Step.WELDED, Step.REPAIR) and e.welder and not e.reason]
        )

    def _show_continuity(self, made: Sequence[WeldEvent]) -> None:
        """Each process a qualified welder used, once a day, in the welder's log."""
        shown: dict[tuple[int, str, str, date], list[WeldEvent]] = {}
        for event in made:
            for process, operation in self._processes(event):
                key = (event.welder_id or 0, process, operation, event.done_on)
                shown.setdefault(key, []).append(event)
        stored = {
            (use.welder_id, use.process, use.operation, use.used_on): use
            for use in ProcessUse.objects.filter(
                welder__in={key[0] for key in shown},
                used_on__in={key[3] for key in shown},
                struck_because="",
            )
        }
        missing = [key for key in shown if key not in stored]
        uses = [
            NewUse(who, key[1], key[2], key[3], _evidence(shown[key]))
            for key in missing
            if (who := shown[key][0].welder) is not None
        ]
        stored |= dict(zip(missing, record_uses(uses, self.person), strict=True))
        through = WeldEvent.uses.through
        through.objects.bulk_create(
            through(weldevent_id=event.pk, processuse_id=stored[key].pk)
            for key, events in shown.items()
            for event in events
        )

    def _processes(self, event: WeldEvent) -> list[tuple[str, str]]:
        judge = self._judges.setdefault(event.done_on, Judge(self.job, event.done_on))
        lines = PartView.of(event.part, judge.shelf).weld.lines
        found = [(line.choice("process") or "", line.choice("operation") or "") for line in lines]
        return [each for each in dict.fromkeys(found) if all(each)]


def _evidence(events: Sequence[WeldEvent]) -> str:
    more = len(events) - 1
    return f"{EVIDENCE}: {events[0].part}" + (f" and {more} more" if more else "")


def _in_order(entry: Entry, standing: WeldStatus) -> None:
    """Raises LogRefused for a step that cannot follow those before it."""
    welded = standing.welded
    if entry.step == Step.WELDED and welded is not None:
        who = welded.welder.stamp if welded.welder else "somebody"
        raise LogRefused(
            f"It is logged as welded by {who} on {welded.done_on}. Strike that line first, or log a repair."
        )
    if entry.step in (Step.VISUAL, Step.NDE, Step.REPAIR) and welded is None:
        raise LogRefused("It is not logged as welded yet. Log that first.")
    if (
        welded is not None
        and entry.step not in (Step.FIT_UP, Step.NDE_ASKED)
        and entry.done_on < welded.done_on
    ):
        raise LogRefused(f"It was welded on {welded.done_on}; {entry.done_on} is before that.")
    if entry.step == Step.REPAIR and standing.open_rejection is None:
        raise LogRefused("Nothing of it is rejected. Log the visual or NDE that rejects it first.")
    if entry.step in (Step.VISUAL, Step.NDE) and entry.result not in Result.values:
        raise LogRefused("Choose whether it is accepted or rejected.")
    if entry.step in (Step.VISUAL, Step.FIT_UP) and not entry.by_name.strip():
        raise LogRefused("Enter who checked it.")
    if entry.step in (Step.NDE, Step.NDE_ASKED) and not entry.method:
        raise LogRefused("Choose the method of NDE.")


def told(event: WeldEvent) -> str:
    """A line of the log in words."""
    said = [str(Step(event.step).label).lower(), event.done_on.isoformat()]
    said += [event.method] if event.method else []
    said += [f"by {event.welder.stamp}"] if event.welder else [f"by {event.by_name}"] if event.by_name else []
    said += [f"to {event.spec_reference}"] if event.spec_reference else []
    said += [str(Result(event.result).label).lower()] if event.result else []
    said += [f"report {event.report}"] if event.report else []
    said += [f"not qualified, kept because: {event.reason}"] if event.reason else []
    return ", ".join(said)


def strike_event(event: WeldEvent, reason: str, person: Person) -> None:
    """Strike a line, and the use it alone showed; what was logged after it stays readable. Raises LogRefused
    when it is struck already or others rest on it."""
    with transaction.atomic():
        current = WeldEvent.objects.select_for_update(no_key=True).get(pk=event.pk)
        if current.struck_because:
            raise LogRefused(f"This line is struck already: {current.struck_because}")
        later = current.part.events.filter(
            struck_because="", step__in=(Step.VISUAL, Step.NDE, Step.REPAIR)
        ).exclude(pk=current.pk)
        if current.step == Step.WELDED and later.exists():
            raise LogRefused("Visual, NDE or repair of it is logged. Strike those lines first.")
        current.struck_because = " ".join(reason.split())[:200]
        current.save(update_fields=["struck_because"])
        for use in current.uses.filter(struck_because="", evidence__startswith=EVIDENCE):
            if not use.weld_events.filter(struck_because="").exists():
                strike(use, f"The line of the weld log was struck: {current.struck_because}"[:200], person)
        detail = f"{told(current)}: {current.struck_because}"
        append_all(
            [Event("strike_log", "part", current.part_id, str(current.part), {"detail": detail})],
            name_of(person),
        )
