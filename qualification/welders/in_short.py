"""How many welders stand today, in short: for each process the test that holds longest, and every other that
is confirmed by itself and goes on.

It is stored for each welder, sealed, with the mark of everything it rests on and the days it is good for, so
that a list is as quick in a process that has just started. Each answer is that of
`continuity.standings_of`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.core.signing import BadSignature, Signer
from django.db import OperationalError, connection, transaction
from django.utils import timezone

from qualification.codes.editions_in_force import is_supposing
from qualification.codes.program_mark import mark_of_words
from qualification.evidence.kept import KeptByWelder
from qualification.models import CouponRecord, KeptStandings, ProcedureTest, Welder, WelderTest
from qualification.records.change_marks import marks_of_standings
from qualification.rules.core.findings import Citation, Provenance
from qualification.rules.welders.continuity import Continuity, Due
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.continuity import (
    OnRecord,
    QualificationStatus,
    all_in_force,
    best_by_process,
    on_record,
    standings_of,
)

KINDS: dict[str, type[WelderTest] | type[ProcedureTest]] = {"w": WelderTest, "p": ProcedureTest}
OVER = (Holding.LAPSED, Holding.REVOKED)
_signer = Signer(salt="qualification.welders.in_short")


@dataclass(frozen=True)
class InShort:
    """How one welder stands on a day. Of each answer the history is left out."""

    best: tuple[QualificationStatus, ...]
    """For each process and kind of operation the standing that holds longest."""
    others: tuple[QualificationStatus, ...]
    """Every other test that is confirmed by itself and has not ended: each covers its own range, and a later
    one does not confirm it."""
    confirmed: bool
    """True where any test of the welder is kept by confirmations."""
    good_until: date
    """The last day on which the same is true if nothing is recorded meanwhile."""

    @property
    def worth_a_look(self) -> tuple[QualificationStatus, ...]:
        return (*self.best, *self.others)


_kept: KeptByWelder[InShort] = KeptByWelder(4)


def in_short_of_all(welders: Iterable[Welder], on: date) -> list[tuple[Welder, InShort]]:
    """How each of the welders stands on the day, under each test's own edition."""
    by_id = {welder.pk: welder for welder in welders}
    found = _kept.of(on, list(by_id), lambda missing: _of(missing, by_id, on))
    return [(welder, found[pk]) for pk, welder in by_id.items()]


def missing_today() -> list[int]:
    """Active welders of whom nothing stored is good for today."""
    ids = list(Welder.objects.filter(active=True).values_list("pk", flat=True))
    marks = None if is_supposing() else marks_of_standings(connection, ids)
    if marks is None:
        return []
    good = _stored(marks, timezone.localdate())
    return [pk for pk in ids if pk not in good]


def _of(missing: list[int], by_id: Mapping[int, Welder], on: date) -> dict[int, InShort]:
    # Marks are read first: what changes meanwhile makes what is stored look older than it is.
    marks = None if is_supposing() else marks_of_standings(connection, missing)
    stored = _stored(marks, on) if marks is not None else {}
    found = _read(stored, by_id)
    if left := [pk for pk in missing if pk not in found]:
        made = worked_out([by_id[pk] for pk in left], on)
        if marks is not None and on == timezone.localdate():
            _store(made, marks, on)
        found |= made
    return found


def worked_out(welders: Sequence[Welder], on: date) -> dict[int, InShort]:
    """The full computation."""
    stored = on_record(welders)
    with all_in_force(stored.values()):
        return {
            each.pk: _shortened(standings_of(each, on, None, stored[each.pk]), stored[each.pk], on)
            for each in welders
        }


def _shortened(standings: list[QualificationStatus], stored: OnRecord, on: date) -> InShort:
    best = best_by_process(standings)
    first = {id(each) for each in best}
    others = [
        each
        for each in standings
        if id(each) not in first and each.is_confirmed and each.answer.state not in OVER
    ]
    return InShort(
        tuple(best),
        tuple(others),
        any(each.is_confirmed for each in standings),
        _good_until(standings, stored, on),
    )


def _good_until(standings: Iterable[QualificationStatus], stored: OnRecord, on: date) -> date:
    """The day before anything changes by time alone: a day recorded ahead comes, something ends or falls
    due. Where no end is told it is the day itself."""
    ahead = [test.welded_on for test in stored.tests]
    ahead += [getattr(test, "questioned_on", None) for test in stored.tests]
    ahead += [use.day for use in stored.uses]
    for act in (each for acts in stored.acts.values() for each in acts):
        ahead += [act.day, act.until and act.until + timedelta(days=1)]
    ends = [date.max - timedelta(days=1)]
    for each in standings:
        answer = each.answer
        if answer.state is Holding.HOLDS:
            ends += [answer.holds_until] if answer.holds_until else []
            ends += [due.day for due in answer.due]
        elif each.is_confirmed and (answer.state is Holding.UNKNOWN or answer.holds_until is None):
            ends.append(on)  # a period of confirmation may run out beneath it, which the answer does not name
    return min([*ends, *(day - timedelta(days=1) for day in ahead if day is not None and day > on)])


def _stored(marks: Mapping[int, str], on: date) -> dict[int, dict[str, Any]]:
    """What is stored of these welders and good for the day."""
    found, program = {}, mark_of_words()
    for pk, said in KeptStandings.objects.filter(welder__in=marks).values_list("welder_id", "said"):
        try:
            content = _signer.unsign_object(said)
        except BadSignature:
            continue
        rests_on = (content["welder"], content["mark"], content["program"])
        if rests_on == (pk, marks[pk], program) and content["from"] <= on.isoformat() <= content["until"]:
            found[pk] = content
    return found


def _store(made: Mapping[int, InShort], marks: Mapping[int, str], on: date) -> None:
    program = mark_of_words()
    rows = [
        KeptStandings(
            welder_id=pk,
            said=_signer.sign_object(
                {
                    "welder": pk,
                    "mark": marks[pk],
                    "program": program,
                    "from": on.isoformat(),
                    "until": short.good_until.isoformat(),
                    "confirmed": short.confirmed,
                    "best": [_content(each) for each in short.best],
                    "others": [_content(each) for each in short.others],
                },
                compress=True,
            ),
        )
        for pk, short in made.items()
    ]
    try:
        with transaction.atomic():
            KeptStandings.objects.bulk_create(
                rows, update_conflicts=True, unique_fields=["welder"], update_fields=["said"]
            )
    except OperationalError:  # somebody writes just now: it is stored the next time
        return


def _content(standing: QualificationStatus) -> list[Any]:
    answer, cited = standing.answer, standing.answer.citation
    kind = next(key for key, model in KINDS.items() if isinstance(standing.record, model))
    return [
        kind,
        standing.record.pk,
        standing.process,
        standing.operation,
        standing.is_confirmed,
        {
            "state": answer.state.value,
            "holds_until": _day(answer.holds_until),
            "because": answer.because,
            "needs": answer.needs,
            "due": [[due.day.isoformat(), due.what] for due in answer.due],
            "confirmed_on": _day(answer.confirmed_on),
            "shown_on": _day(answer.shown_on),
            "shown_by": answer.shown_by,
            "citation": [cited.code, cited.edition, cited.clause, cited.provenance.value, cited.row],
        },
    ]


def _read(stored: Mapping[int, dict[str, Any]], by_id: Mapping[int, Welder]) -> dict[int, InShort]:
    """Stored answers with the heads of their records; a welder of whom one is gone is left out."""
    asked: dict[str, set[int]] = {key: set() for key in KINDS}
    for content in stored.values():
        for kind, pk, *_ in (*content["best"], *content["others"]):
            asked[kind].add(pk)
    records = {
        (key, record.pk): record
        for key, model in KINDS.items()
        if asked[key]
        for record in model.objects.filter(pk__in=asked[key]).only("number", "revision", "edition", "welder")
    }
    found = {}
    for pk, content in stored.items():
        try:
            best, others = (
                tuple(_standing(each, records, by_id[pk]) for each in content[name])
                for name in ("best", "others")
            )
        except KeyError:
            continue
        found[pk] = InShort(best, others, content["confirmed"], date.fromisoformat(content["until"]))
    return found


def _standing(
    said: Sequence[Any], records: Mapping[tuple[str, int], CouponRecord], welder: Welder
) -> QualificationStatus:
    kind, pk, process, operation, is_confirmed, answer = said
    record = records[kind, pk]
    record.welder = welder
    code, edition, clause, provenance, row = answer["citation"]
    return QualificationStatus(
        record,
        process,
        operation,
        Continuity(
            Holding(answer["state"]),
            _read_day(answer["holds_until"]),
            answer["because"],
            Citation(code, edition, clause, Provenance(provenance), row=row),
            tuple(answer["needs"]),
            due=tuple(Due(date.fromisoformat(day), what) for day, what in answer["due"]),
            confirmed_on=_read_day(answer["confirmed_on"]),
            shown_on=_read_day(answer["shown_on"]),
            shown_by=answer["shown_by"],
        ),
        is_confirmed,
    )


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _read_day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None
