"""Details of a job: what a weld takes from its detail, what is its own, and what a change of the detail does.

A weld keeps its facts whole, so that everything that reads welds reads them without knowing of details. What
is the same as in the detail was taken from it and follows it; what differs is the weld's own and stays.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from qualification.records.audit import Event, append_all, name_of
from qualification.records.numbering import next_number
from qualification.records.summaries import summary
from qualification.records.value_changes import changes_between, values_of
from qualification.roles import Person
from qualification.rules.entries.reading import Entry
from qualification.rules.variables.definition import RecordKind
from wps.jobs.part_view import KIND as WELD
from wps.models import Detail, Job, Part

Entries = Mapping[str, Entry]
Stated = Detail | Part
LINES = "lines"
"""Own of a weld that has other process lines than its detail: they are its own as a whole."""


@dataclass(frozen=True)
class Own:
    """What a weld states otherwise than its detail; `None` where the detail states it and the weld does
    not."""

    joint: Mapping[str, Entry | None]
    lines: Sequence[Mapping[str, Entry | None]]
    whole_lines: Sequence[Entries] | None = None

    @property
    def keys(self) -> frozenset[str]:
        """Names of these entries; of process lines those of the first."""
        if self.whole_lines is not None:
            return frozenset({*self.joint, LINES})
        return frozenset({*self.joint, *(key for line in self.lines[:1] for key in line)})


NOTHING_OWN = Own({}, ())


def own_of(weld: Stated, detail: Stated | None) -> Own:
    """What is the weld's own; nothing where it has no detail to differ from."""
    if detail is None:
        return NOTHING_OWN
    joint = _different(weld.joint, detail.joint)
    if len(weld.lines) != len(detail.lines):
        return Own(joint, (), weld.lines)
    return Own(joint, [_different(mine, its) for mine, its in zip(weld.lines, detail.lines, strict=True)])


def _different(mine: Entries, its: Entries) -> dict[str, Entry | None]:
    return {
        key: mine.get(key)
        for key in dict.fromkeys([*its, *mine])
        if _said(mine.get(key)) != _said(its.get(key))
    }


def _said(entry: Entry | None) -> list[str]:
    texts = [] if entry is None else [entry] if isinstance(entry, str) else list(entry)
    return [" ".join(text.split()) for text in texts if text.strip()]


def take_from(weld: Part, detail: Detail, own: Own) -> None:
    """Give the weld the facts of the detail, but for its own. Nothing is stored."""
    weld.detail, weld.units = detail, detail.units
    weld.joint = _with(detail.joint, own.joint)
    if own.whole_lines is not None:
        weld.lines = [dict(line) for line in own.whole_lines]
        return
    changes = [*own.lines, *({} for _ in detail.lines)]
    weld.lines = [_with(its, mine) for its, mine in zip(detail.lines, changes, strict=False)]


def _with(its: Entries, mine: Mapping[str, Entry | None]) -> dict[str, Entry]:
    together = {**its, **mine}
    return {key: entry for key, entry in together.items() if entry is not None}


def store_detail(detail: Detail, person: Person) -> list[Part]:
    """Store a detail, and with it the welds that take their facts from it. Returns the welds that changed."""
    before = Detail.objects.filter(pk=detail.pk).first() if detail.pk else None
    with transaction.atomic():
        detail.save()
        changes = {"changes": changes_between(values_of(before) if before else {}, values_of(detail))}
        verb = "create" if before is None else "change"
        events = [Event(verb, Detail.KIND, detail.pk, str(detail), changes)]
        changed = []
        for weld in detail.welds.select_related("job") if before else ():
            stood, own = values_of(weld), own_of(weld, before)
            take_from(weld, detail, own)
            if moved := changes_between(stood, values_of(weld)):
                weld.save()
                told = {"detail": f"follows detail {detail.number}", "changes": moved}
                events.append(Event("change", WELD, weld.pk, str(weld), told))
                changed.append(weld)
        append_all(events, name_of(person))
    return changed


def facts_of(thing: Stated) -> str:
    """The facts as one text: the same for welds that are one detail."""
    return json.dumps([thing.joint, thing.lines, thing.units], sort_keys=True)


def make_details(job: Job, person: Person) -> list[Detail]:
    """A detail for each kind of weld among those without one; a weld that says the same as a detail there is
    takes that one."""
    by_facts = {facts_of(each): each for each in job.details.all()}
    numbers = [each.number for each in by_facts.values()]
    made: list[Detail] = []
    events = []
    with transaction.atomic():
        loose = [part for part in job.parts.filter(detail=None) if part.joint or part.lines]
        for part in loose:
            part.job = job
            says = facts_of(part)
            if says not in by_facts:
                number = next_number(numbers, "D-01")
                title = part.title or summary(part.joint, part.lines, part.units, RecordKind.PART)[:160]
                detail = Detail.objects.create(
                    job=job, number=number, title=title, units=part.units, joint=part.joint, lines=part.lines
                )
                numbers.append(number)
                by_facts[says] = detail
                made.append(detail)
                events.append(Event("create", Detail.KIND, detail.pk, str(detail), {"detail": "from welds"}))
            part.detail = by_facts[says]
            told = {"changes": {"detail_id": [None, part.detail.pk]}}
            events.append(Event("change", WELD, part.pk, str(part), told))
        Part.objects.bulk_update(loose, ["detail"])
        append_all(events, name_of(person))
    return made


def remove_detail(detail: Detail, person: Person) -> None:
    """Take a detail out of the library; its welds keep the facts they have."""
    with transaction.atomic():
        said: dict[str, Any] = values_of(detail)
        append_all([Event("remove", Detail.KIND, detail.pk, str(detail), said)], name_of(person))
        detail.delete()


def shown_facts(things: Iterable[Stated]) -> dict[int, str]:
    """The facts of each in one line, by its id."""
    return {each.pk: summary(each.joint, each.lines, each.units, RecordKind.PART) for each in things}
