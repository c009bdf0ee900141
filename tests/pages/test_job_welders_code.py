"""A job whose welds are judged under one code and whose welders are qualified under another, as ISO has
it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.editions import TABLES, editions_for_welders
from qualification.models import HouseRule, Welder
from qualification.rules.core.facts import Side
from qualification.rules.editions.loader import edition
from qualification.rules.ranges.ranges import range_qualified
from qualification.welders.who_may_weld import Roster, WelderFile
from tests.rules.readers.case_files import base_case, bases
from tests.rules.readers.ruled import LISTS, RULED
from tests.shop_records import EDITION, job, part, procedure_test, spec, welder, welder_test
from wps.jobs.part_view import PartView, tally_all
from wps.models import Job
from wps.procedures.procedure_match import ApprovedProcedures

WELDS, WELDERS = "iso_15614_2_2005", "iso_9606_2_2004"
FILLED = {"number": "J-1", "title": "Handrail", "customer": "", "edition": WELDS, "notes": "", "open": "on"}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def test_editions_without_rules_for_welders_are_not_offered_for_them() -> None:
    offered = dict(editions_for_welders())
    assert {WELDERS, EDITION, "aws_d1_2_2014"} <= set(offered)
    assert not {WELDS, "iso_15614_1_2017_level2"} & set(offered)


def test_a_code_without_rules_for_welders_asks_for_theirs(author_client: Client) -> None:
    answer = author_client.post(reverse("job_new"), FILLED)
    assertContains(
        answer, "has no rules for welders. Choose the code of their tests.", count=2, status_code=422
    )
    assertContains(answer, "Handrail", status_code=422)
    author_client.post(reverse("job_new"), {**FILLED, "welder_edition": WELDERS})
    assert Job.objects.get().edition_for_welders == WELDERS


def test_one_code_for_both_needs_no_second(author_client: Client) -> None:
    author_client.post(reverse("job_new"), {**FILLED, "edition": EDITION})
    assert Job.objects.get().edition_for_welders == EDITION


def test_welders_are_read_under_their_own_code_and_the_pages_say_which(
    reader_client: Client, author: User
) -> None:
    """The coupon counts under Section IX; its record lacks what ISO 9606-2 asks of a welder."""
    tested = procedure_test(author)
    spec(author, tested, state="approved")
    welder_test(author, welder())
    alone = part(job("J-1"), spec_number="W-101")
    other = part(job("J-2", welder_edition=WELDERS), spec_number="W-101")
    assert ApprovedProcedures.for_job(alone.job).for_welders.id == EDITION
    assert ApprovedProcedures.for_job(other.job).for_welders.id == WELDERS
    assert ApprovedProcedures.for_job(other.job).edition.id == EDITION
    same, apart = (reader_client.get(each.get_absolute_url()) for each in (alone, other))
    assertContains(same, "May weld")
    assertNotContains(same, "welders under")
    assertContains(apart, "welders under ISO 9606-2, 2004")
    assertNotContains(apart, "> May weld")
    assertContains(apart, "Covered by PT-014.")
    assertContains(reader_client.get(other.job.get_absolute_url()), "ISO 9606-2, 2004")


SHIPPED = [*RULED, LISTS[0]]
PAIRS = [
    (welds, welders)
    for welds in SHIPPED
    for welders in SHIPPED
    if (TABLES / welders / "welder.toml").exists()
]
SOME_PAIRS = PAIRS[::5]
"""Every code of welds with rules, one without, and every code of welders comes up."""


@pytest.mark.parametrize(("welds", "welders"), SOME_PAIRS)
def test_the_list_counts_who_may_weld_as_the_page_of_the_weld_does(
    welds: str, welders: str, reader_client: Client, author: User
) -> None:
    """Records passed under Section IX, ISO 9606-2 and D1.2; whoever may weld on the page of a weld is counted
    in the list of its job, whichever two codes the job names. A limit on a group of one code's own numbering
    speaks of the work alone."""
    welder_test(author, welder("AB", "Anouk Berglund"), "WT-1")
    procedure_test(author, "PT-9", welder=welder("CD", "Cas Dijk"))
    welder_test(author, welder("EF", "Ebba Frost"), "WT-2", edition=welders)
    HouseRule.objects.create(
        owner_kind="job",
        owner_name="J-1",
        variable="p_number_a",
        entry=["23"],
        reason="Purchase order 7.",
        author_name="Maren Oosting",
    )
    made = job("J-1", edition=welds, welder_edition=welders if welders != welds else "")
    parts = [part(made, "A"), part(made, "B", joint={"position": "flat", "thickness_a": "3 in"})]
    rows = reader_client.get(made.get_absolute_url()).context["rows"]
    for row, drawn in zip(rows, parts, strict=True):
        page = reader_client.get(drawn.get_absolute_url()).context["answers"]
        asked = reader_client.get(reverse("who_may_weld"), {"part": drawn.pk}).context["answers"]
        assert row.may == sum(each.verdict == "covered" for each in page)
        assert row.may == sum(each.verdict == "covered" for each in asked)
        assert row.cannot_be_told == sum(each.verdict in ("unknown", "no_rule") for each in page)


def test_every_code_comes_up_in_some_pair() -> None:
    assert {welds for welds, _ in SOME_PAIRS} == {welds for welds, _ in PAIRS}
    assert {welders for _, welders in SOME_PAIRS} == {welders for _, welders in PAIRS}


@pytest.mark.parametrize(("welds", "welders"), PAIRS)
def test_the_count_is_taken_under_the_welders_code(welds: str, welders: str) -> None:
    """One welder for each case of the welders' code, asked about the weld of each."""
    cases = [
        base_case(name)
        for name in bases()
        if bases()[name]["side"] == "welder" and bases()[name].get("edition", EDITION) == welders
    ]
    asked = Roster(
        edition(welders),
        tuple(
            WelderFile(Welder(pk=n, stamp=str(n), name=f"Welder {n}"), held, held, (), (), alike=(n,))
            for n, case in enumerate(cases, start=1)
            for held in [tuple(range_qualified(each, edition(welders), Side.WELDER) for each in case.coupons)]
        ),
    )
    shelf = ApprovedProcedures(
        edition(welds), [], own_for_welders=edition(welders) if welds != welders else None
    )
    for case in cases:
        view = PartView(case.weld, "us", "", shelf)
        answers, (counted,) = view.answers(asked), tally_all([view], asked)
        assert counted.may == sum(answer.may for answer in answers) > 0
