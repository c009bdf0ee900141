"""What is kept between requests is what would be worked out anew, whatever changes meanwhile."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from qualification.models import HouseRule, ProcedureTest, ProcessUse, State, TableCheck, Welder, WelderTest
from qualification.records import change_marks
from qualification.rules.editions.loader import shipped_files
from qualification.rules.tabular.overlay import hash_of
from qualification.welders import in_short, who_may_weld
from tests.marked import needs_marks
from tests.shop_records import EDITION, job, part, procedure_test, spec, welder, welder_test
from wps.documents.attachments import keep_attachment
from wps.jobs import board, part_view
from wps.models import AttachmentKind, Job, Part, Spec

pytestmark = pytest.mark.django_db
LATE = date(2031, 10, 1)
"""More than six months after the coupons of `shop_records` were welded."""


def _use() -> ProcessUse:
    who = Welder.objects.get(stamp="AB")
    return ProcessUse.objects.create(
        welder=who, process="GMAW", operation="semiautomatic", used_on=date(2031, 8, 1), evidence="Job 7"
    )


def _correct_a_row() -> None:
    number, row = next(
        (n, row)
        for n, row in enumerate(shipped_files(EDITION)["procedure.toml"]["row"])
        if row["variable"] == "preheat_min"
    )
    TableCheck.objects.create(
        edition=EDITION,
        file="procedure.toml",
        path=["row", number],
        clause=row["clause"],
        row_hash=hash_of(row),
        copy="2023",
        person_name="Maren Oosting",
        checked_on=date(2031, 3, 4),
        changes=[[["with", "allowance", "us"], "50 °F"]],
    )


def _limit() -> HouseRule:
    return HouseRule.objects.create(
        owner_kind="shop", variable="position", entry=["flat"], reason="Flat only.", author_name="Maren"
    )


def _of(model: type, **changes: Any) -> Callable[[], object]:
    return lambda: model._default_manager.update(**changes)


CHANGES: dict[str, tuple[Callable[[], object], bool]] = {
    # Name, what is done, and whether the pages have to say something else then.
    "a use is logged": (_use, True),
    "the use is struck": (_of(ProcessUse, struck_because="Another welder."), True),
    "it counts after all": (_of(ProcessUse, struck_because=""), True),
    "a welder's test is questioned": (
        _of(WelderTest, questioned_on=date(2031, 9, 1), questioned_because="Lack of fusion."),
        True,
    ),
    "the question is taken back": (_of(WelderTest, questioned_on=None, questioned_because=""), True),
    "a row of the tables is corrected": (_correct_a_row, False),
    "a limit of the shop": (_limit, True),
    "which ends": (_of(HouseRule, ended_because="Lifted."), True),
    "the weld is drawn otherwise": (_of(Part, units="si"), True),
    "and back": (_of(Part, units="us"), True),
    "it is made by another procedure": (_of(Part, spec_number="W-102"), True),
    "a procedure is withdrawn": (_of(Spec, state=State.WITHDRAWN), True),
    "and back in force": (_of(Spec, state=State.APPROVED), True),
    "its test is withdrawn": (_of(ProcedureTest, state=State.WITHDRAWN), True),
    "a test is changed past the program": (_of(WelderTest, title="Somebody else's"), True),
    "a welder takes another name": (_of(Welder, name="Anouk Berg"), True),
    "everybody leaves": (_of(Welder, active=False), True),
    "the job is for another customer": (_of(Job, customer="Nobody"), False),
}


@pytest.fixture(autouse=True)
def _late() -> Iterator[None]:
    with time_machine.travel(f"{LATE} 10:00", tick=False):
        yield


@pytest.fixture
def drawn(author: User, shop: object) -> Part:
    tested = procedure_test(author)
    for number in ("W-101", "W-102"):
        spec(author, tested, number=number, state=State.APPROVED, joint={"root_face": "1/32"})
    welder_test(author, Welder.objects.get(stamp="AB"))
    return part(job(), spec_number="W-101")


def _said(client: Client, weld: Part) -> list[Any]:
    """What the list, the page of the weld and who may weld it say."""
    rows = client.get(reverse("job", args=[weld.job_id])).context["rows"]
    page = client.get(weld.get_absolute_url()).context
    who = client.get(reverse("who_may_weld"), {"part": weld.pk}).context
    listed = [(r.fit and r.fit.sentence, r.may, r.cannot_be_told, r.offers, r.line) for r in rows]
    own = [(fit.spec.number, fit.sentence) for fit in page["view"].fits]
    names = [answer.welder.name for answer in who["answers"]]
    return [listed, own, names, page["page"].answers, page["page"].gaps, page["page"].limits, who["answers"]]


def _forget() -> None:
    for kept in (
        board._boards,
        board._benches,
        part_view._rosters,
        who_may_weld._files,
        in_short._kept,
    ):
        kept.forget()


def test_every_change_is_seen_at_once(author_client: Client, drawn: Part) -> None:
    before = _said(author_client, drawn)
    for what, (change, tells) in CHANGES.items():
        change()
        after = _said(author_client, drawn)
        _forget()
        assert after == _said(author_client, drawn), what
        assert (after != before) is tells, what
        before = after


def test_another_day_is_answered_as_of_that_day(author_client: Client, drawn: Part) -> None:
    today, april = (
        author_client.get(reverse("who_may_weld"), {"part": drawn.pk, "day": day}).context["answers"]
        for day in ("", "2031-04-01")
    )
    assert ([a.words for a in today], [a.words for a in april]) == (["May not weld"], ["May weld"])


def test_a_change_that_is_undone_leaves_nothing_behind(author_client: Client, drawn: Part) -> None:
    before = _said(author_client, drawn)
    with transaction.atomic():
        _use()
        assert _said(author_client, drawn) != before
        transaction.set_rollback(True)
    assert _said(author_client, drawn) == before
    _use()
    assert _said(author_client, drawn) != before


@needs_marks
def test_nothing_is_worked_out_again_while_nothing_changes(
    author_client: Client, drawn: Part, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[object] = []
    roster = part_view.roster
    monkeypatch.setattr(part_view, "roster", lambda *each: made.append(each) or roster(*each))
    first, again = _said(author_client, drawn), _said(author_client, drawn)
    assert first == again
    assert len(made) == 1
    Part.objects.update(title="Another title")
    _said(author_client, drawn)
    assert len(made) == 1
    WelderTest.objects.update(notes="Seen.")
    _said(author_client, drawn)
    assert len(made) == 2


def test_without_its_triggers_the_database_keeps_nothing(author: User) -> None:
    """On PostgreSQL a transaction that has written has no mark at all."""
    watched = change_marks.tables()
    assert {"qualification_weldertest", "wps_spec_tests", "qualification_auditentry"} <= set(watched)
    assert set(watched) >= change_marks.IDLE, "an idle table that is no table"
    welder()  # a database that was emptied has no mark before something is stored
    has_marks = connection.vendor == "sqlite"
    assert (change_marks.mark_of(connection) is not None) is has_marks
    try:
        change_marks.remove(connection)
        assert change_marks.mark_of(connection) is None
    finally:
        change_marks.install(connection)
    assert (change_marks.mark_of(connection) is not None) is has_marks


def test_a_photo_at_a_weld_leaves_what_was_worked_out_be(author: User, shop: object) -> None:
    """Every photo and every brought paper dropped all that was kept of every job. A photo shows at once
    all the same (`pages/test_around_weld.py`), and a test that is approved still counts."""
    weld, made = part(job()), io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(made, "PNG")
    before = change_marks.mark_of(connection)
    keep_attachment(made.getvalue(), "a.png", author, kind=AttachmentKind.PHOTO, title="Root", part=weld)
    assert change_marks.mark_of(connection) == before
    welder_test(author, welder())
    assert before is None or change_marks.mark_of(connection) != before
