"""Which tests of a welder tell all that the others do: those that no other test contains and outlasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from qualification.evidence.range_summary import Summary
from qualification.models import Record
from qualification.rules.ranges.containing import contains
from qualification.welders.continuity import BEST_FIRST, QualificationStatus


@dataclass
class Held:
    """One passed and approved test of a welder with its standing by process, and the tests that lie inside
    it."""

    summary: Summary
    standings: list[QualificationStatus]
    inside: list[Summary] = field(default_factory=list)


def widest(summaries: Sequence[Summary], standings: Sequence[QualificationStatus]) -> list[Held]:
    """The tests that stand for something and lie in no other one that holds as long, in the order given; each
    with those that lie in it."""
    by_record: dict[tuple[str, int], list[QualificationStatus]] = {}
    for standing in standings:
        by_record.setdefault(_key(standing.record), []).append(standing)
    held = [
        Held(each, by_record[_key(each.record)])
        for each in summaries
        if _key(each.record) in by_record and each.tested and each.tested.lines
    ]
    kept: list[Held] = []
    for each in sorted(held, key=lambda one: -len(one.summary.lines)):
        wider = next((other for other in kept if _replaces(other, each)), None)
        if wider is not None:
            wider.inside.append(each.summary)
            continue
        for other in [other for other in kept if _replaces(each, other)]:
            kept.remove(other)
            each.inside += [other.summary, *other.inside]
        kept.append(each)
    order = {id(each): index for index, each in enumerate(held)}
    return sorted(kept, key=lambda each: order[id(each)])


def _key(record: Record) -> tuple[str, int]:
    return type(record).__name__, record.pk


def _replaces(wide: Held, other: Held) -> bool:
    """True where the one qualifies all that the other does, and each of its processes holds as long."""
    assert wide.summary.tested
    assert other.summary.tested
    return contains(wide.summary.tested, other.summary.tested) and all(
        any(
            mine.process == its.process and mine.operation == its.operation and _lasts(mine) >= _lasts(its)
            for mine in wide.standings
        )
        for its in other.standings
    )


def _lasts(standing: QualificationStatus) -> tuple[int, date]:
    return -BEST_FIRST.index(standing.answer.state), standing.answer.holds_until or date.min
