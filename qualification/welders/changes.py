"""What is done to welders, their log and their tests outside the workflow, each written with its audit
entry."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from qualification.models import ProcessUse, Welder, WelderTest
from qualification.records.audit import append, name_of, record_event
from qualification.roles import Person

KIND = "welder"
"""What the audit trail calls a welder and the lines of the welder's log."""


class LogRefused(Exception):
    """The log cannot take this; the message says why and what to do."""


@dataclass(frozen=True)
class NewUse:
    """A use of a process to be recorded."""

    welder: Welder
    process: str
    operation: str
    used_on: date
    evidence: str

    @property
    def words(self) -> str:
        return f"{self.process} ({self.operation}) on {self.used_on}"


def note(welder: Welder, verb: str, person: Person, **data: object) -> None:
    """Append one event about a welder to the audit trail."""
    append(verb, KIND, welder.pk, str(welder), name_of(person), dict(data))


def record_uses(uses: Iterable[NewUse], person: Person) -> list[ProcessUse]:
    """Write lines of the continuity log, all or none. Raises LogRefused for a line that stands there
    already."""
    made = []
    with transaction.atomic():
        for use in uses:
            standing = use.welder.uses.filter(
                process=use.process, operation=use.operation, used_on=use.used_on, struck_because=""
            )
            if standing.exists():
                raise LogRefused(
                    f"{use.words} is in the log of {use.welder} already. Leave it out, or strike that line"
                    " first."
                )
            line = ProcessUse(
                welder=use.welder,
                process=use.process,
                operation=use.operation,
                used_on=use.used_on,
                evidence=use.evidence,
                recorded_by_name=name_of(person),
            )
            line.save()
            note(use.welder, "use", person, detail=f"{use.words}, {use.evidence}")
            made.append(line)
    return made


def strike(line: ProcessUse, reason: str, person: Person) -> None:
    """Strike a line of the log; it stays readable. Raises LogRefused when it is struck already."""
    with transaction.atomic():
        current = ProcessUse.objects.select_for_update(no_key=True).get(pk=line.pk)
        if current.struck_because:
            raise LogRefused(f"This line is struck already: {current.struck_because}")
        current.struck_because = reason
        current.save(update_fields=["struck_because"])
        note(
            current.welder,
            "strike",
            person,
            detail=f"{current.process} ({current.operation}) on {current.used_on}: {reason}",
        )


def set_active(welder: Welder, active: bool, person: Person) -> None:
    """Mark a welder as active or as no longer with the shop. Records and log stay."""
    with transaction.atomic():
        Welder.objects.filter(pk=welder.pk).update(active=active)
        note(welder, "activate" if active else "deactivate", person)
    welder.active = active


def question(test: WelderTest, since: date, reason: str, person: Person) -> None:
    """Question the ability a test shows, since a day (in ASME IX: QW-322.1(b))."""
    with transaction.atomic():
        WelderTest.objects.filter(pk=test.pk).update(questioned_on=since, questioned_because=reason)
        record_event("question", test, person, {"since": since.isoformat(), "reason": reason})
    test.refresh_from_db()


def take_question_back(test: WelderTest, reason: str, person: Person) -> None:
    """Undo a question that was raised in error; a new test is what answers one raised rightly."""
    with transaction.atomic():
        WelderTest.objects.filter(pk=test.pk).update(questioned_on=None, questioned_because="")
        record_event("unquestion", test, person, {"reason": reason})
    test.refresh_from_db()
