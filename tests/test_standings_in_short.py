"""What is stored of how welders stand is what is worked out anew, on every day and whatever was recorded."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from qualification.codes import program_mark
from qualification.models import KeptStandings, ProcessUse, ValidityAct, Welder, WelderTest
from qualification.records import change_marks
from qualification.welders import in_short
from tests.marked import needs_marks
from tests.shop_records import procedure_test, welder, welder_test
from tests.validity_records import chosen, confirmed, made
from wps.jobs import kept_standings

pytestmark = pytest.mark.django_db
START = date(2031, 3, 5)


@pytest.fixture
def clock() -> Iterator[Any]:
    with time_machine.travel(f"{START} 10:00", tick=False) as traveller:
        yield traveller


@pytest.fixture
def records(author: User, shop: object, clock: object) -> dict[str, WelderTest]:
    """A test that the log of uses keeps, one that confirmations keep, and a procedure coupon."""
    plain = welder_test(author, welder())
    signed = made(author, number="Q-77")
    chosen(signed, "a")
    procedure_test(author, welder=welder())
    return {"plain": plain, "signed": signed}


def _said(shorts: dict[int, in_short.InShort]) -> list[Any]:
    return [
        (pk, short.confirmed, [[in_short._content(s) for s in those] for those in (short.best, short.others)])
        for pk, short in sorted(shorts.items())
    ]


def _looked(day: date) -> list[Any]:
    """As a process that has just started sees it."""
    in_short._kept.forget()
    return _said({who.pk: short for who, short in in_short.in_short_of_all(Welder.objects.all(), day)})


def _use(on: date) -> None:
    ProcessUse.objects.create(
        welder=welder(), process="GMAW", operation="semiautomatic", used_on=on, evidence="J-7"
    )


@needs_marks
def test_what_is_stored_is_what_is_worked_out(
    records: dict[str, WelderTest], clock: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    full, asked = in_short.worked_out, []
    monkeypatch.setattr(in_short, "worked_out", lambda who, on: asked.append(on) or full(who, on))
    lot, day, looks = Random(20310305), START, 0
    acts: list[Callable[[], object]] = [
        lambda: _use(day - timedelta(days=lot.randrange(40))),
        lambda: _use(day + timedelta(days=lot.randrange(1, 60))),
        lambda: ProcessUse.objects.filter(used_on__lt=day).update(struck_because="Another welder."),
        lambda: confirmed(records["signed"], day.isoformat()),
        lambda: WelderTest.objects.filter(pk=records["plain"].pk).update(
            questioned_on=day + timedelta(days=5), questioned_because="Lack of fusion."
        ),
        lambda: WelderTest.objects.update(questioned_on=None, questioned_because=""),
        lambda: ValidityAct.objects.filter(day__gt=START).update(struck_because="Wrong day."),
    ]
    for _ in range(30):
        day += timedelta(days=lot.choice((0, 1, 3, 20, 45)))
        clock.move_to(f"{day} 10:00")
        if lot.random() < 0.4:
            lot.choice(acts)()
        assert _looked(day) == _said(full(list(Welder.objects.all()), day)), day
        looks += 1
    assert len(asked) < 0.8 * looks, "it is worked out anew at nearly every look: nothing is kept"


def test_what_no_mark_holds_is_worked_out_at_every_look(
    records: dict[str, WelderTest], clock: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on PostgreSQL."""
    monkeypatch.setattr(in_short, "marks_of_standings", lambda *asked: None)
    for days in (0, 3, 45, 400):
        day = START + timedelta(days=days)
        clock.move_to(f"{day} 10:00")
        for on in (day - timedelta(days=2), day):
            assert _looked(day) == _said(in_short.worked_out(list(Welder.objects.all()), day))
            _use(on)
    assert not KeptStandings.objects.exists()


@needs_marks
def test_it_changes_on_the_day_after_the_last_one_and_not_before(
    records: dict[str, WelderTest], clock: Any
) -> None:
    ((_, short),) = in_short.in_short_of_all(Welder.objects.all(), START)
    last = short.good_until
    assert last > START
    for day in (last, last + timedelta(days=1)):
        clock.move_to(f"{day} 10:00")
        assert bool(in_short.missing_today()) is (day > last)
        assert _looked(day) == _said(in_short.worked_out(list(Welder.objects.all()), day))


@needs_marks
def test_what_was_written_past_the_program_is_not_read(
    records: dict[str, WelderTest], author: User, clock: Any
) -> None:
    other = Welder.objects.create(stamp="ZZ", name="Nobody")
    before = _looked(START)
    mine = KeptStandings.objects.get(welder=welder())
    KeptStandings.objects.filter(welder=other).update(said=mine.said)
    assert in_short.missing_today() == [other.pk]
    KeptStandings.objects.filter(pk=mine.pk).update(said=mine.said[:-1])
    assert welder().pk in in_short.missing_today()
    assert _looked(START) == before
    assert in_short.missing_today() == []


@needs_marks
def test_no_words_of_an_earlier_release_are_shown(
    records: dict[str, WelderTest], clock: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = in_short._content

    def as_put_before(standing: Any) -> list[Any]:
        *stored, answer = content(standing)
        return [*stored, {**answer, "because": "As an earlier release put it."}]

    with monkeypatch.context() as earlier:
        earlier.setattr(in_short, "mark_of_words", lambda: "an earlier release")
        earlier.setattr(in_short, "_content", as_put_before)
        _looked(START)
    assert KeptStandings.objects.count() == Welder.objects.count()
    assert _looked(START) == _said(in_short.worked_out(list(Welder.objects.all()), START))


@pytest.mark.parametrize(
    ("changed", "decides", "words"),
    [
        ("rules/welders/continuity.py", True, True),
        ("rules/tables/an_edition/welder.toml", True, True),
        ("evidence/coverage.py", True, True),
        ("welders/continuity.py", False, True),
        ("codes/decisions.py", False, True),
        ("locale/de/told.po", False, False),
    ],
)
def test_a_release_is_told_by_its_files(
    changed: str, decides: bool, words: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another module between records and rules words answers otherwise; it need not decide them otherwise."""

    def marks(content: str) -> tuple[str, str]:
        (tmp_path / changed).write_text(content, "utf-8")
        program_mark.program_mark.cache_clear()
        program_mark.mark_of_words.cache_clear()
        return program_mark.program_mark(), program_mark.mark_of_words()

    for name in (*program_mark.BRIDGE, changed):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    try:
        with monkeypatch.context() as patch:
            patch.setattr(program_mark, "FOLDER", tmp_path)
            before, after = marks("1"), marks("2")
    finally:
        program_mark.program_mark.cache_clear()
        program_mark.mark_of_words.cache_clear()
    assert tuple(one != other for one, other in zip(before, after, strict=True)) == (decides, words)


@needs_marks
def test_the_worker_has_it_ready(records: dict[str, WelderTest], clock: Any) -> None:
    assert kept_standings.is_due()
    kept_standings.keep_in_background(1, lambda done, total: None)
    assert not kept_standings.is_due()
    WelderTest.objects.filter(pk=records["plain"].pk).update(title="Changed past the program")
    assert kept_standings.is_due()


def test_every_table_it_rests_on_is_watched(records: dict[str, WelderTest], clock: Any) -> None:
    with CaptureQueriesContext(
        connection,
    ) as read:
        in_short.worked_out(list(Welder.objects.all()), START)
    tables = {name for query in read for name in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])}
    watched = {*change_marks.OF_A_WELDER, *change_marks.FOR_EVERY_WELDER, change_marks.AUDIT}
    assert tables - watched == set()
    assert "qualification_weldertest" in tables


@needs_marks
def test_marks_outlast_a_start_and_not_a_missing_trigger(records: object) -> None:
    before = change_marks.marks_of_standings(connection, [welder().pk])
    change_marks.install(connection)
    assert change_marks.marks_of_standings(connection, [welder().pk]) == before
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER mark_qualification_weldertest_update")
    change_marks.install(connection)
    assert change_marks.marks_of_standings(connection, [welder().pk]) != before
