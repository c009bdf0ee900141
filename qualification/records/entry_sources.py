"""The way back: which entries of a record came from which trial, and what was made of a trial."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.links import Link, Links
from qualification.models import CouponRecord, Origin, ProcedureTest, Record, Trial
from qualification.records.advice_taken import CONFIRMED, TAKEN
from qualification.rules.variables.registry import registry


@dataclass(frozen=True)
class OriginRow:
    """One entry that was taken over."""

    label: str
    entry: str
    reading: str
    trials: list[Trial]
    now: str
    """What the record says instead today; empty while it still says the same."""


def origins_of(record: Record) -> list[OriginRow]:
    """Entries of the record that came from trials, whichever of its revisions took them over."""
    ids = list(record.revisions().values_list("pk", flat=True))
    found = (
        Origin.objects.filter(record_kind=record.KIND, record_id__in=ids)
        .exclude(reading__startswith=TAKEN)
        .exclude(reading__startswith=CONFIRMED)
        .prefetch_related("trials")
    )
    return [
        OriginRow(
            registry()[each.variable].label,
            each.entry,
            each.reading,
            list(each.trials.all()),
            _now(record, each),
        )
        for each in found
    ]


def _now(record: Record, origin: Origin) -> str:
    entries = (
        record.joint
        if origin.line is None
        else (record.lines[origin.line] if origin.line < len(record.lines) else {})
    )
    entry = entries.get(origin.variable, "")
    text = entry if isinstance(entry, str) else "; ".join(entry)
    return "" if text[: len(origin.entry)] == origin.entry and text else (text or "not stated")


def trials_behind(record: CouponRecord) -> Links | None:
    """The trials a test record's entries came from."""
    rows = origins_of(record)
    if not rows:
        return None
    links = []
    for row in rows:
        said = f"{row.label}: {row.entry}"
        detail = f"{', '.join(str(t) for t in row.trials)}, {row.reading}" + (
            f"; the record now says {row.now}" if row.now else ""
        )
        links.append(Link(said, row.trials[0].get_absolute_url() if row.trials else "", detail))
    return Links("Numbers that came from trials", "None.", tuple(links))


def tests_from(trial: Trial) -> Links | None:
    """Procedure tests whose actuals came from the trial."""
    ids = set(trial.origins.filter(record_kind=ProcedureTest.KIND).values_list("record_id", flat=True))
    tests = ProcedureTest.objects.filter(pk__in=ids)
    links = tuple(
        Link(f"{test} {test.title}".strip(), test.get_absolute_url(), test.get_state_display())
        for test in tests
    )
    return Links("Procedure tests made from it", "", links) if links else None
