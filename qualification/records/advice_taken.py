"""Entries of a record that were taken from advice, and whether somebody has confirmed them since."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from qualification.models import Origin, Record, Trial
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.core.words import within_sentence
from qualification.rules.trials.draft_advice import DraftAdvice
from qualification.rules.variables.registry import registry

TAKEN, CONFIRMED = "advice: ", "advice confirmed by "
"""How the reading of an origin begins that is no trial's."""
LONGEST = 300


@dataclass(frozen=True)
class TakenAdvice:
    """One entry that still says what was advised."""

    origin: Origin
    label: str
    confirmed: str
    """By whom; empty until somebody does."""

    @property
    def reason(self) -> str:
        return self.origin.reading.removeprefix(TAKEN)


def take(record: Record | Trial, advice: DraftAdvice, person: Person) -> None:
    """Remember that an entry of the record came from advice."""
    with transaction.atomic():
        Origin.objects.create(
            record_kind=record.KIND,
            record_id=record.pk,
            line=advice.line,
            variable=advice.variable,
            entry=advice.entry,
            reading=f"{TAKEN}{advice.reason}"[:LONGEST],
        )
        _log(record, advice.variable, "taken from advice", person)


def confirm(record: Record, taken: TakenAdvice, person: Person) -> None:
    """A person stands for the value now."""
    with transaction.atomic():
        Origin.objects.create(
            record_kind=record.KIND,
            record_id=record.pk,
            line=taken.origin.line,
            variable=taken.origin.variable,
            entry=taken.origin.entry,
            reading=f"{CONFIRMED}{name_of(person)}"[:LONGEST],
        )
        _log(record, taken.origin.variable, "confirmed, was advice", person)


def advice_in(record: Record | Trial) -> list[TakenAdvice]:
    """Entries that came from advice, in any revision, and that still say the same."""
    ids = [record.pk] if isinstance(record, Trial) else list(record.revisions().values_list("pk", flat=True))
    found = Origin.objects.filter(record_kind=record.KIND, record_id__in=ids).order_by("pk")
    rows: dict[tuple[int | None, str], TakenAdvice] = {}
    for each in found:
        place = each.line, each.variable
        if each.reading.startswith(TAKEN):
            rows[place] = TakenAdvice(each, registry()[each.variable].label, "")
        elif each.reading.startswith(CONFIRMED) and place in rows and rows[place].origin.entry == each.entry:
            confirmed = each.reading.removeprefix(CONFIRMED)
            rows[place] = TakenAdvice(rows[place].origin, rows[place].label, confirmed)
    return [row for row in rows.values() if _says(record, row.origin)]


def _says(record: Record | Trial, origin: Origin) -> bool:
    if origin.line is None:
        entries = record.joint
    else:
        entries = record.lines[origin.line] if origin.line < len(record.lines) else {}
    entry = entries.get(origin.variable, "")
    return bool(origin.entry == (entry if isinstance(entry, str) else "; ".join(entry)))


def _log(record: Record | Trial, variable: str, words: str, person: Person) -> None:
    detail = f"{within_sentence(registry()[variable].label)} {words}"
    append("change", record.KIND, record.pk, record.number, name_of(person), {"detail": detail})
