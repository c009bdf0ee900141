"""The matrix of a job says of every cell what the pages of its welds say one by one."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import ProcessUse, Welder
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.jobs.matrix import COVERED, LAPSES, NO_PROCEDURE, NO_WELDER, Supposed, lost, matrix_of
from wps.jobs.part_view import PartView
from wps.models import Job

pytestmark = pytest.mark.django_db
DAY = date(2031, 4, 1)


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def busy(author: User, shop: object) -> Job:
    """Welds of all sorts: covered, thick, in another position, without a process; two procedures; welders who
    hold, who lapsed, who are held to one position, and one with two tests."""
    first = procedure_test(author)
    second = procedure_test(author, "PT-015", joint={"thickness_a": "3/4"}, line={"deposit_thickness": "3/4"})
    spec(author, first, state="approved")
    wide = {"thickness_a": "1/8-1 1/2"}
    spec(
        author,
        first,
        second,
        number="W-102",
        state="approved",
        joint=wide,
        line={"deposit_thickness": "1/8-1 1/2"},
    )
    welder_test(author, welder())
    old = welder("CD", "Cato Dunn")
    welder_test(author, old, "WT-022", welded_on=date(2029, 3, 4))
    low = welder("EF", "Edda Frost")
    welder_test(author, low, "WT-023", joint={"test_position": "1G"})
    welder_test(author, low, "WT-024", joint={"test_position": "4G"}, welded_on=date(2031, 2, 4))
    ProcessUse.objects.create(
        welder=low, process="GMAW", operation="semiautomatic", used_on=date(2031, 3, 20), evidence="Job 9"
    )
    made = job(ends_on=date(2031, 9, 10))
    part(made, "A", spec_number="W-101")
    part(made, "B", spec_number="W-101")
    part(made, "C", joint={"position": ["flat", "overhead"]})
    part(made, "D", joint={"thickness_a": "3/4"}, line={"deposit_thickness": "3/4"})
    part(made, "E", joint={"thickness_a": "4 in"}, line={"deposit_thickness": "4 in"})
    part(made, "F", line={"filler_classification": ""}, spec_number="W-102")
    part(made, "G", lines=[])
    part(made, "H", spec_number="W-101", joint={"thickness_a": "1"}, line={"deposit_thickness": "1"})
    return made


@pytest.mark.parametrize("lapsed", ["", "WT-024", "PT-015"])
def test_every_cell_says_what_the_page_of_the_weld_says(busy: Job, lapsed: str) -> None:
    matrix = matrix_of(busy, DAY, by_weld=True, supposed=Supposed(lapsed=lapsed))
    assert len(matrix.rows) == 8
    seen = set()
    for at, row in enumerate(matrix.rows):
        view = PartView.of(row.first, matrix.shelf)
        if not lapsed:
            fits = {fit.spec.pk: fit.verdict for fit in view.fits}
            assert matrix.specs[at].tolist() == [fits[spec.pk] for spec in matrix.shelf.specs]
        told = {answer.welder.pk: answer for answer in view.answers(matrix.roster)}
        for column, file in enumerate(matrix.roster.files):
            answer = told[file.welder.pk]
            assert matrix.welders.verdicts[at, column] == answer.verdict
            days = [line.holds_until for line in answer.lines if line.holds_until] if answer.may else []
            assert matrix.welders.until[at][column] == min(days, default=None)
            seen.add((answer.may, bool(days)))
    assert seen >= {(True, True), (False, False)}


def test_rows_stand_as_they_do_and_say_until_when(busy: Job) -> None:
    busy.ends_on = date(2031, 9, 1)
    matrix = matrix_of(busy, DAY)
    stands = {row.name: group for row, group in zip(matrix.rows, matrix.groups, strict=True)}
    assert stands["A and 1 more"] == COVERED
    assert stands["D"] == stands["E"] == stands["H"] == NO_PROCEDURE
    assert stands["G"] == NO_WELDER
    assert sum(row.pieces for row in matrix.rows) == 8
    busy.ends_on = date(2031, 9, 10)
    end = matrix_of(busy, DAY)
    assert dict(zip([row.name for row in end.rows], end.groups, strict=True))["A and 1 more"] == LAPSES


@pytest.mark.parametrize("days_after", [-1, 0, 1])
def test_who_lapses_on_the_last_day_of_the_job_still_covers_it(busy: Job, days_after: int) -> None:
    busy.parts.exclude(mark="A").delete()
    busy.parts.update(welder=Welder.objects.get(stamp="AB"))
    until = matrix_of(busy, DAY).until[0]
    assert until is not None
    busy.ends_on = date.fromordinal(until.toordinal() + days_after)
    assert matrix_of(busy, DAY).groups == ((LAPSES,) if days_after > 0 else (COVERED,))


def test_what_is_lost_when_somebody_is_away(busy: Job) -> None:
    before = matrix_of(busy, DAY)
    edda = Welder.objects.get(stamp="EF")
    for supposed in (Supposed(away=edda.pk), Supposed(lapsed="WT-024")):
        assert [row.name for row, _ in lost(before, matrix_of(busy, DAY, supposed=supposed))] == ["C"]
    anouk = Welder.objects.get(stamp="AB")
    busy.parts.filter(mark="A").update(welder=anouk)
    away = lost(matrix_of(busy, DAY), matrix_of(busy, DAY, supposed=Supposed(away=anouk.pk)))
    assert [(row.name, group) for row, group in away] == [
        ("A and 1 more", NO_WELDER),
        ("F", NO_WELDER),
    ]


@pytest.fixture
def page(reader_client: Client, busy: Job) -> Any:
    def get(**query: Any) -> Any:
        return reader_client.get(reverse("matrix", args=[busy.pk]), query)

    return get


def test_the_page_filters_by_its_address_and_opens_a_cell(page: Any, busy: Job) -> None:
    answer = page()
    assertContains(answer, "W-101")
    assertContains(answer, "A and 1 more")
    assertNotContains(page(show="not_covered"), "A and 1 more")
    first = busy.parts.get(mark="A")
    spec_pk = answer.context["matrix"].shelf.specs[0].pk
    assertContains(page(at=f"{first.pk}.s{spec_pk}"), "Against what W-101 claims")
    anouk = Welder.objects.get(stamp="AB")
    opened = page(at=f"{first.pk}.w{anouk.pk}")
    assertContains(opened, "Anouk Berglund")
    assertContains(opened, "WT-021")
    assertContains(page(away=anouk.pk), "If Anouk Berglund (AB) is away")
    assertContains(page(lapsed="WT-021"), "If test WT-021 lapses")
    assertNotContains(page(welder=anouk.pk), 'title="Edda Frost"')
    for wild in ("x", "1.s", "9.w9", "1.s99999999999999999999"):
        assert page(at=wild, away=wild, welder=wild).status_code == 200


def test_the_matrix_as_a_workbook(reader_client: Client, busy: Job) -> None:
    file = reader_client.get(reverse("matrix_file", args=[busy.pk]))
    rows = list(load_workbook(io.BytesIO(file.content)).active.values)
    head = list(rows[0])
    assert rows[1][head.index("WPS W-101")] in ("Covered", "Not covered")
    assert any("until 2031-" in str(cell) for row in rows[1:] for cell in row)
