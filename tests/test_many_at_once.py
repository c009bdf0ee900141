"""What is worked out once for many welds says the same as asking for each on its own, and is never stale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from qualification.codes.editions_in_force import _begin_request, _built, _read_anew, edition_in_force
from qualification.evidence import coverage
from qualification.models import ProcessUse, State, TableCheck, Welder, WelderTest
from qualification.records.cache import Remembered
from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import edition, shipped_files
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import cover
from qualification.rules.ranges.house import HouseLimit
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.tabular.overlay import hash_of
from qualification.rules.variables.definition import RecordKind
from qualification.welders.ranking import Tally, tally
from qualification.welders.who_may_weld import Roster, WelderFile, answers, roster
from tests.shop_records import (
    COUPON_JOINT,
    COUPON_LINE,
    EDITION,
    SPEC_JOINT,
    SPEC_LINE,
    job,
    part,
    procedure_test,
    spec,
    welder_test,
)
from wps.procedures.offers import offers
from wps.procedures.procedure_match import ApprovedProcedures, read_part

IX = edition(EDITION)
THICKNESSES = ("1/16", "1/8", "1/4", "1/2", "1")
POSITIONS = ("1G", "2G", "3G", "4G")


def test_an_answer_at_hand_is_not_worked_out_again_and_there_are_never_more_than_so_many() -> None:
    asked: list[str] = []
    kept: Remembered[str] = Remembered(2)
    for key in ("a", "b", "a", "b", "c", "c"):
        assert kept.of(key, lambda key=key: asked.append(key) or key.upper()) == key.upper()
    assert asked == ["a", "b", "c"]
    assert len(kept._kept) == len(kept._keys) == 2
    kept.forget()
    kept.of("c", lambda: asked.append("again") or "C")
    assert asked[-1] == "again"


def test_one_record_more_than_there_is_room_for_still_finds_the_others() -> None:
    """Read in order ten times; kept by age nothing would ever be at hand."""
    asked: list[int] = []
    kept: Remembered[int] = Remembered(100)
    for _ in range(10):
        for key in range(101):
            assert kept.of(key, lambda key=key: asked.append(key) or key) == key
    assert len(asked) < 101 * 3


def test_a_record_is_read_as_if_nothing_were_remembered(author: User, shop: object) -> None:
    record = procedure_test(author)
    first = coverage.read_coupon(record)
    assert coverage.read_coupon(record).outcome is first.outcome
    coverage._coupons.forget()
    coverage._ranges.forget()
    assert coverage.read_coupon(record) == first
    assert coverage.range_of(record) == range_qualified(first.coupon, IX, Side.PROCEDURE)


CHANGES: dict[str, Any] = {
    "joint": {**COUPON_JOINT, "thickness_a": "3/8"},
    "lines": [{**COUPON_LINE, "deposit_thickness": "1/8"}],
    "results": [],
    "number": "PT-015",
    "units": "si",
    "welded_on": date(2031, 3, 5),
    "moved_from": ["aws_d1_2_2014"],
}


@pytest.mark.parametrize("field", CHANGES)
def test_a_record_that_says_something_else_is_read_anew(author: User, shop: object, field: str) -> None:
    record = procedure_test(author, state=State.DRAFT)
    before = coverage.read_coupon(record)
    setattr(record, field, CHANGES[field])
    assert coverage.read_coupon(record) != before


def test_another_welder_is_read_anew(author: User, shop: object) -> None:
    record = procedure_test(author, state=State.DRAFT)
    before = coverage.read_coupon(record)
    record.welder = Welder.objects.create(stamp="CD", name="Cas Dijk")
    assert coverage.read_coupon(record).coupon.welder != before.coupon.welder


def a_corrected_preheat(*, save: bool = True) -> TableCheck:
    """A check of the shop that changes a number of the table."""
    path, row = next(
        (("row", n), row)
        for n, row in enumerate(shipped_files(EDITION)["procedure.toml"]["row"])
        if row["variable"] == "preheat_min"
    )
    made = TableCheck(
        edition=EDITION,
        file="procedure.toml",
        path=list(path),
        clause=row["clause"],
        row_hash=hash_of(row),
        copy="2023",
        person_name="Maren Oosting",
        checked_on=date(2031, 3, 4),
        changes=[[["with", "allowance", "us"], "50 °F"]],
    )
    if save:
        made.save()
    return made


def test_a_corrected_table_is_asked_anew(author: User, shop: object) -> None:
    """A check of the shop changes the fingerprint of the tables, and with it what is remembered."""
    record = procedure_test(author)
    before = coverage.range_of(record)
    a_corrected_preheat()
    assert coverage.range_of(record) != before


@pytest.fixture
def in_a_request() -> Iterator[None]:
    _begin_request()
    yield
    _read_anew()


def _asked_about_checks(seen: CaptureQueriesContext) -> int:
    return sum('FROM "qualification_tablecheck"' in each["sql"] for each in seen.captured_queries)


@pytest.mark.usefixtures("shop", "in_a_request")
def test_a_request_asks_once_what_is_in_force(author: User) -> None:
    records = [procedure_test(author, number=f"PT-{number}") for number in range(3)]
    _begin_request()
    with CaptureQueriesContext(connection) as seen:
        for record in records:
            coverage.range_of(record)
    assert _asked_about_checks(seen) == 1
    _read_anew()  # as in the background: what another process made counts at once
    with CaptureQueriesContext(connection) as seen:
        for record in records:
            coverage.range_of(record)
    assert _asked_about_checks(seen) >= len(records)


@pytest.mark.usefixtures("shop", "in_a_request")
def test_a_request_that_changes_the_tables_reads_them_anew_also_when_it_takes_that_back() -> None:
    before = edition_in_force(EDITION)
    with transaction.atomic():
        made = a_corrected_preheat()
        assert edition_in_force(EDITION) != before
        transaction.set_rollback(True)
    assert edition_in_force(EDITION) == before
    made = a_corrected_preheat()
    assert edition_in_force(EDITION) != before
    made.delete()
    assert edition_in_force(EDITION) == before


@pytest.mark.usefixtures("shop", "in_a_request")
def test_what_is_made_while_a_request_reads_counts_for_the_next_alone() -> None:
    """As by another process: no signal of it comes here. Nor does what is kept mix the two."""
    before = edition_in_force(EDITION)
    TableCheck.objects.bulk_create([a_corrected_preheat(save=False)])
    _built.cache_clear()
    assert edition_in_force(EDITION) == before
    _begin_request()
    assert edition_in_force(EDITION) != before


def _weld(thickness: str, position: str, use: RecordKind) -> Weld:
    where = (
        {"test_position": position}
        if use is RecordKind.WELDER_TEST
        else {"position": "vertical" if position == "3G" else "flat"}
    )
    joint = {
        "weld_type": "groove",
        "base_metal_a": "6061",
        "base_metal_b": "same",
        "product_form": "plate",
        **where,
    }
    line = {
        "process": "GMAW",
        "operation": "semiautomatic",
        "backing": "none",
        "transfer_mode": "pulsed_spray",
        "deposit_thickness": thickness,
        "filler_classification": "ER5356",
        "filler_form": "solid",
        "progression": "up",
    }
    return read_weld({**joint, "thickness_a": thickness, "thickness_b": "same"}, [line], use, "us").weld


def _range(record: str, thickness: str, position: str) -> TestRange:
    return range_qualified(
        Coupon(record, _weld(thickness, position, RecordKind.WELDER_TEST), "us"), IX, Side.WELDER
    )


TESTS = st.lists(
    st.tuples(st.sampled_from(THICKNESSES), st.sampled_from(POSITIONS), st.booleans()), max_size=3
)


@given(st.lists(TESTS, min_size=1, max_size=4), st.sampled_from(THICKNESSES), st.sampled_from(POSITIONS))
def test_many_welders_are_answered_as_each_on_its_own(
    shop_tests: list[Any], thickness: str, position: str
) -> None:
    """Each test of a welder holds on the day or does not; who may weld follows from asking twice, with all
    and with those that hold."""
    weld = _weld(thickness, position, RecordKind.PART)
    files = []
    for number, tests in enumerate(shop_tests):
        ranges = tuple(_range(f"T{number}-{n}", thick, where) for n, (thick, where, _) in enumerate(tests))
        holding = tuple(
            tested if holds else replace(tested, lines=())
            for tested, (_, _, holds) in zip(ranges, tests, strict=True)
        )
        who = Welder(pk=number, stamp=str(number), name=f"Welder {number}")
        files.append(WelderFile(who, ranges, holding, (), (), alike=tuple(tests)))
    asked = Roster(IX, tuple(files))
    each = answers(weld, asked)
    assert tally(weld, asked) == Tally(
        sum(answer.may for answer in each),
        sum(Verdict.COVERED < answer.verdict < Verdict.NOT_COVERED for answer in each),
    )
    for answer in each:
        file = files[int(answer.welder.stamp)]
        held, ever = (cover(weld, ranges, IX, Side.WELDER) for ranges in (file.holding, file.ranges))
        assert answer.may == (held.verdict <= Verdict.COVERED)
        if answer.may:
            assert answer.lines[0].by == held.relied_on
        elif ever.verdict <= Verdict.COVERED:
            assert (answer.verdict, answer.lines[0].by) == (Verdict.NOT_COVERED, ever.relied_on)
        else:
            assert answer.verdict is ever.verdict
            assert set(answer.lines[0].obstacles) == set(ever.obstacles)


def test_welders_are_alike_only_while_tests_and_days_are(author: User, shop: object) -> None:
    """A weld may be made by both or neither of two who are alike; another thickness, or a lapse, parts
    them."""
    first, second, third = (
        Welder.objects.create(stamp=stamp, name=f"Welder {stamp}") for stamp in ("X", "Y", "Z")
    )
    for number, who, changes in (
        ("WT-1", first, {}),
        ("WT-2", second, {}),
        ("WT-3", third, {"joint": {"thickness_a": "3/8"}}),
    ):
        welder_test(author, who, number, **changes)
    day = date(2031, 4, 1)
    asked = roster([first, second, third], day, IX)
    files = asked.files
    assert files[0].alike == files[1].alike != files[2].alike
    weld = read_weld(
        SPEC_JOINT | {"thickness_a": "1/4", "position": "vertical"},
        [SPEC_LINE | {"deposit_thickness": "1/4"}],
        RecordKind.PART,
        "us",
    ).weld
    assert tally(weld, asked).may == sum(answer.may for answer in answers(weld, asked)) == 3
    WelderTest.objects.filter(number="WT-2").update(welded_on=date(2030, 1, 1))
    files = roster([first, second], day, IX).files
    assert files[0].alike != files[1].alike


def test_equal_welds_share_an_answer_and_others_do_not(
    author: User, shop: object, author_client: Client
) -> None:
    tested = procedure_test(author)
    spec(author, tested, number="W-101", state=State.APPROVED)
    welder_test(author, tested.welder)
    made = job()
    for mark, changes in (
        ("A", {}),
        ("B", {}),
        ("C", {"joint": {"thickness_a": "3 in"}}),
        ("D", {"spec_number": ""}),
    ):
        part(made, mark, **{"spec_number": "W-101", **changes})
    rows = author_client.get(made.get_absolute_url()).context["rows"]
    assert [row.part.mark for row in rows] == ["A", "B", "C", "D"]
    assert [row.fit.verdict if row.fit else None for row in rows] == [
        Verdict.COVERED,
        Verdict.COVERED,
        Verdict.NOT_COVERED,
        None,
    ]
    assert [row.offers for row in rows] == [0, 0, 0, 1]


def test_procedures_offered_at_once_are_those_that_fit_one_by_one(author: User, shop: object) -> None:
    """Some alike, one outside by its claim, one by a limit of the customer it is kept for, one on no test."""
    tested = procedure_test(author)
    for number, changes in (
        ("W-1", {}),
        ("W-2", {}),
        ("W-3", {"joint": {"thickness_a": "1/8", "thickness_b": "1/8"}}),
        ("W-4", {"customer": "Port Ellery"}),
    ):
        spec(author, tested, number=number, state=State.APPROVED, **changes)
    spec(author, number="W-5", state=State.APPROVED)
    made = job()
    drawn = [part(made, "A"), part(made, "B", joint={"thickness_a": "3 in"})]
    shelf = ApprovedProcedures.for_job(made)
    flat_only = HouseLimit("customer Port Ellery", "position", frozenset({"flat"}), "Flat only.")
    shelf._limits["Port Ellery"] = [flat_only]
    welds = [(read_part(each), each.units) for each in drawn]
    alone = [
        [fit.spec.number for fit in shelf.fits(*each) if fit.verdict <= Verdict.COVERED] for each in welds
    ]
    assert alone == [["W-1", "W-2"], []]
    assert offers(shelf, welds) == [len(each) for each in alone]


def test_a_large_job_is_measured_and_nothing_stays(
    author: User, approver: User, shop: object, capsys: pytest.CaptureFixture[str]
) -> None:
    tested = procedure_test(author)
    spec(author, tested, state=State.APPROVED)
    welder_test(author, tested.welder)
    part(job())
    call_command("bench_job", welds=3, details=2, procedures=2, welders=2, alone=1)
    printed = capsys.readouterr().out
    assert "3 welds of 2 details, 2 procedures, 2 welders" in printed
    assert "Page of the job against each weld on its own: " in printed
    assert Welder.objects.count() == 1


def test_more_welders_ask_the_database_no_more_often(
    author: User, shop: object, author_client: Client
) -> None:
    """The page of a job, of a weld, and who may weld it: as many queries for eight welders as for two."""
    tested = procedure_test(author)
    spec(author, tested, number="W-101", state=State.APPROVED)
    made = job()
    drawn = part(made, "A", spec_number="W-101")
    pages = (made.get_absolute_url(), drawn.get_absolute_url(), f"{reverse('who_may_weld')}?part={drawn.pk}")
    counts: list[list[int]] = []
    for first, last in ((0, 2), (2, 8)):
        for n in range(first, last):
            who = Welder.objects.create(stamp=f"Q{n}", name=f"Welder {n}")
            welder_test(author, who, f"WT-{n}")
            ProcessUse.objects.create(
                welder=who,
                process="GMAW",
                operation="semiautomatic",
                used_on=date(2031, 3, 5),
                evidence="Job",
            )
        counts.append([])
        for page in pages:
            author_client.get(page)  # once, so that the tables are read
            with CaptureQueriesContext(connection) as seen:
                assert author_client.get(page).status_code == 200
            counts[-1].append(len(seen.captured_queries))
    assert counts[0] == counts[1]
