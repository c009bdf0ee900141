"""What is worked out once for many welds says the same as asking for each on its own, and is never stale."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from qualification import coverage
from qualification.models import State, TableCheck, Welder, WelderTest
from qualification.remembered import Remembered
from qualification.rules.coverage import cover
from qualification.rules.entries import read_weld
from qualification.rules.facts import Coupon, Weld
from qualification.rules.findings import Verdict
from qualification.rules.ranges import Side, TestRange, range_qualified
from qualification.rules.tables import edition, shipped_files
from qualification.rules.variables import Use
from qualification.who_may_weld import Tally, WelderFile, answers, tally, welder_files
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

IX = edition(EDITION)
THICKNESSES = ("1/16", "1/8", "1/4", "1/2", "1")
POSITIONS = ("1G", "2G", "3G", "4G")


def test_the_answers_asked_for_last_are_kept() -> None:
    asked: list[str] = []
    kept: Remembered[str] = Remembered(2)
    for key in ("a", "b", "a", "c", "a", "b"):
        assert kept.of(key, lambda key=key: asked.append(key) or key.upper()) == key.upper()
    assert asked == ["a", "b", "c", "b"]


def test_a_record_is_read_as_if_nothing_were_remembered(author: User, shop: object) -> None:
    record = procedure_test(author)
    first = coverage.read_coupon(record)
    assert coverage.read_coupon(record) is first
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


def test_a_corrected_table_is_asked_anew(author: User, shop: object) -> None:
    """A check of the shop changes the fingerprint of the tables, and with it what is remembered."""
    from qualification.rules.overlay import hash_of

    record = procedure_test(author)
    before = coverage.range_of(record)
    path, row = next(
        (("row", n), row)
        for n, row in enumerate(shipped_files(EDITION)["procedure.toml"]["row"])
        if row["variable"] == "preheat_min"
    )
    TableCheck.objects.create(
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
    assert coverage.range_of(record) != before


def _weld(thickness: str, position: str, use: Use) -> Weld:
    where = (
        {"test_position": position}
        if use is Use.WELDER_TEST
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
    return range_qualified(Coupon(record, _weld(thickness, position, Use.WELDER_TEST), "us"), IX, Side.WELDER)


TESTS = st.lists(
    st.tuples(st.sampled_from(THICKNESSES), st.sampled_from(POSITIONS), st.booleans()), max_size=3
)


@given(st.lists(TESTS, min_size=1, max_size=4), st.sampled_from(THICKNESSES), st.sampled_from(POSITIONS))
def test_many_welders_are_answered_as_each_on_its_own(
    shop_tests: list[Any], thickness: str, position: str
) -> None:
    """Each test of a welder holds on the day or does not; who may weld follows from asking twice, with all
    and with those that hold."""
    weld = _weld(thickness, position, Use.PART)
    files = []
    for number, tests in enumerate(shop_tests):
        ranges = tuple(_range(f"T{number}-{n}", thick, where) for n, (thick, where, _) in enumerate(tests))
        holding = tuple(
            tested if holds else replace(tested, lines=())
            for tested, (_, _, holds) in zip(ranges, tests, strict=True)
        )
        who = Welder(pk=number, stamp=str(number), name=f"Welder {number}")
        files.append(WelderFile(who, ranges, holding, (), (), alike=tuple(tests)))
    each = answers(weld, files, IX)
    assert tally(weld, files, IX) == Tally(
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
    files = welder_files([first, second, third], day, IX)
    assert files[0].alike == files[1].alike != files[2].alike
    weld = read_weld(
        SPEC_JOINT | {"thickness_a": "1/4", "position": "vertical"},
        [SPEC_LINE | {"deposit_thickness": "1/4"}],
        Use.PART,
        "us",
    ).weld
    assert tally(weld, files, IX).may == sum(answer.may for answer in answers(weld, files, IX)) == 3
    WelderTest.objects.filter(number="WT-2").update(welded_on=date(2030, 1, 1))
    files = welder_files([first, second], day, IX)
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
        ("C", {"joint": {"thickness_a": "3"}}),
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
    assert "Page of the job against each weld on its own: 0." in printed
    assert Welder.objects.count() == 1
