"""All records of one edition moved to another in one act: what changes shown first, then every chosen record
or none, with one entry of the trail that is the report."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from qualification.codes.editions import (
    PROCEDURE,
    WELDER,
    edition_name,
    editions_for_procedures,
    editions_with,
)
from qualification.codes.editions_in_force import edition_in_force
from qualification.models import AuditEntry, ProcedureTest, Record, State, WelderTest
from qualification.records import workflow
from qualification.records.audit import append, name_of
from qualification.roles import Person
from wps.corrections.rejudging import RejudgedRecord, judged_beside, newest_of, under_edition
from wps.models import Job, Spec

VERB, KIND = "move_records", "edition move"
MOST = 200
"""Records of one act; a shop with more moves them in several, each whole."""


class NotMoved(ValueError):
    """Why nothing was moved, and what to do."""


@dataclass(frozen=True)
class Movable:
    """One record, what the other edition makes of it, and why it stays where it cannot be moved."""

    record: Record
    change: RejudgedRecord | None
    stays: str = ""

    @property
    def key(self) -> str:
        return f"{self.record.KIND}:{self.record.pk}"


@dataclass(frozen=True)
class Preview:
    """What moving would do; nothing is saved."""

    source: str
    target: str
    moves: tuple[Movable, ...]
    stays: tuple[Movable, ...]
    left: int
    """Records beyond `MOST`, for a further act."""
    jobs: tuple[Job, ...]
    """Open jobs that name the edition; each keeps it until somebody changes it."""

    @property
    def token(self) -> str:
        """Names what was shown: these records as they were, and what each would amount to."""
        said = [
            (each.key, str(each.record.updated_at), each.change and each.change.stored())
            for each in self.moves
        ]
        return hashlib.sha256(json.dumps([self.source, self.target, said], default=str).encode()).hexdigest()


def preview(source: str, target: str) -> Preview:
    """Every newest revision under `source` that may move, judged under both. Raises TableError where tables
    are missing."""
    now, then = edition_in_force(source), edition_in_force(target)
    takes = _takes(target)
    found: list[Movable] = []
    stays: list[Movable] = []
    records = list(newest_of(source))
    beside = judged_beside(now, then)
    for record in records:
        if why := _stays(record, takes, target):
            stays.append(Movable(record, None, why))
        elif len(found) < MOST:
            change = under_edition(record, target) if isinstance(record, Spec) else beside(record)
            found.append(Movable(record, change))
    left = len(records) - len(found) - len(stays)
    jobs = Job.objects.filter(open=True, edition=source).order_by("number")
    return Preview(source, target, tuple(found), tuple(stays), left, tuple(jobs))


def _takes(target: str) -> dict[type[Record], bool]:
    """Whether records of each kind may be written under the edition."""
    return {
        Spec: target in dict(editions_for_procedures()),
        ProcedureTest: target in dict(editions_with(PROCEDURE)),
        WelderTest: target in dict(editions_with(WELDER)),
    }


def _stays(record: Record, takes: dict[type[Record], bool], target: str) -> str:
    if record.state == State.IN_REVIEW:
        return "It is in review. Approve it or send it back first."
    if not takes[type(record)]:
        return f"{edition_name(target)} has no rules for such a record."
    return ""


def move(
    source: str, target: str, chosen: Collection[str], token: str, note: str, person: Person
) -> AuditEntry:
    """Move the chosen records, all of them or none. The entry of the trail names each with what it became.
    Raises NotMoved, and TableError as `preview`."""
    if not note.strip():
        raise NotMoved("Say in one sentence why the records move; each revision carries it.")
    shown = preview(source, target)
    if token != shown.token:
        raise NotMoved("A record has changed since this was shown. Look at it again, then move.")
    moves = [each for each in shown.moves if each.key in chosen]
    if not moves:
        raise NotMoved("Choose at least one record.")
    with transaction.atomic():
        made: dict[str, Record] = {}
        for each in moves:
            try:
                made[each.key] = workflow.move_to_edition(each.record, person, target, note)
            except workflow.StepRefused as refused:
                raise NotMoved(f"{each.record}: {' '.join(refused.reasons)} Nothing was moved.") from refused
        _rest_on_moved([record for record in made.values() if isinstance(record, Spec)], made)
        return append(
            VERB,
            KIND,
            0,
            f"{edition_name(source)} to {edition_name(target)}"[:120],
            name_of(person),
            {
                "edition_from": source,
                "edition": target,
                "change": note.strip(),
                "records": [_reported(each, made[each.key]) for each in moves],
                "stayed": [str(each.record) for each in shown.stays],
            },
        )


def _rest_on_moved(specs: Sequence[Spec], made: dict[str, Record]) -> None:
    """A moved procedure rests on the moved revisions of its tests: those of before are of another edition."""
    for spec in specs:
        moved = (made.get(f"{test.KIND}:{test.pk}", test) for test in spec.tests.all())
        spec.tests.set(test for test in moved if isinstance(test, ProcedureTest))


def _reported(each: Movable, made: Record) -> dict[str, Any]:
    assert each.change is not None
    return {**each.change.as_json(), "made": str(made), "url": made.get_absolute_url()}
