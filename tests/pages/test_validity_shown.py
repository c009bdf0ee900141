"""Where it shows whether a confirmed and prolonged qualification holds: home page, welders, who may weld,
papers, packets."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.asserts import assertContains

from qualification.models import ActKind, State, ValidityAct
from tests.shop_records import approve, job, part, welder, welder_test
from tests.validity_records import ALUMINIUM, STEEL, TWO_YEARS, WELD, chosen, confirmed, made
from wps.documents.context import content_of, document_context
from wps.documents.render import render_html
from wps.packets.contents import welder_entry
from wps.packets.obstacles import _with_welder
from wps.today.attention import continuity_ending


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2036, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


@pytest.mark.parametrize(
    ("today", "says"),
    [
        ("2031-08-04", []),
        ("2031-08-05", ["Holds until 2031-09-04. Confirmation due by 2031-09-04"]),
        ("2031-09-05", ["Lapsed, held until 2031-09-04"]),
    ],
)
def test_the_home_page_names_a_confirmation_thirty_days_before(
    today: str, says: list[str], author: User
) -> None:
    record = made(author)
    with time_machine.travel(today, tick=False):
        section = continuity_ending(author)
    assert [matter.detail for matter in section.matters] == says
    assert {(matter.what, matter.url) for matter in section.matters} <= {
        ("Anouk Berglund (AB): GMAW, semiautomatic, WT-021", record.get_absolute_url())
    }


def test_the_home_page_names_prolongations_and_tests_that_another_outlasts(author: User) -> None:
    record = made(author)
    confirmed(record, *TWO_YEARS)
    made(author, number="WT-022", welded_on=date(2033, 1, 10))
    with time_machine.travel("2033-02-10", tick=False):
        section = continuity_ending(author)
    assert [(m.what.split(", ")[-1], m.detail) for m in section.matters] == [
        ("WT-021", "Holds until 2033-03-04. Confirmation due by 2033-03-04; prolongation due by 2033-03-04")
    ]
    with time_machine.travel("2034-01-01", tick=False):
        section = continuity_ending(author)
    assert [m.what.split(", ")[-1] for m in section.matters] == ["WT-022"]


def test_the_welders_pages_say_what_is_due(reader_client: Client, author: User) -> None:
    record = made(author, welded_on=date(2036, 3, 4))
    for url in (record.welder.get_absolute_url(), reverse("welder_list"), record.get_absolute_url()):
        page = reader_client.get(url)
        assertContains(page, "Holds until 2036-09-04")
        assertContains(page, "Confirmation due by 2036-09-04; prolongation due by 2038-03-04")


def test_the_certificate_prints_the_way_and_leaves_lines(author: User, approver: User) -> None:
    draft = made(author, STEEL, state=State.DRAFT)
    chosen(draft, "9.3 b")
    approve(draft, author, approver)
    draft.refresh_from_db()
    html = render_html("documents/welder.html", document_context(content_of(draft)), "a4")
    assert "Revalidation method: 9.3 b." in html
    assert "employer or welding coordinator or examiner or examining body" in html
    assert (
        html.count('class="blank-line"') == 4 + 3
    )  # two years of confirmations, three prolongations (worked by us)
    other = welder_test(author, welder(), "WT-090")
    assert "Confirmation and prolongation" not in render_html(
        "documents/welder.html", document_context(content_of(other)), "a4"
    )


def test_a_certificate_without_a_way_offers_all_of_them(author: User) -> None:
    context = document_context(content_of(made(author, STEEL)))
    assert not any(
        "way of going on" in each for each in context["unconfirmed"]
    )  # REVAL and its like have all three
    assert (
        "9.3 (way of going on)" in document_context(content_of(made(author, number="WT-091")))["unconfirmed"]
    )
    html = render_html("documents/welder.html", context, "a4")
    assert "Revalidation method: not stated." in html
    assert html.count('class="tick"') == 3


def test_the_sheet_shows_what_is_on_record_today(reader_client: Client, author: User) -> None:
    record = made(author)
    confirmed(record, *TWO_YEARS)
    ValidityAct(
        test=record,
        edition=ALUMINIUM,
        kind=ActKind.PROLONGATION,
        day=date(2033, 3, 4),
        by_name="Ida Brandt",
        by_role="examiner",
        processes=["GMAW"],
        welds=[WELD, {**WELD, "report": "HT-3302"}],
        recorded_by_name="Tobias Rehn",
    ).save()
    with time_machine.travel("2033-06-01", tick=False):
        answer = reader_client.get(reverse("validity_sheet", args=[record.pk]))
    text = " ".join(
        " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages).split()
    )
    assert answer["Content-Type"] == "application/pdf"
    for said in (
        "As on record on 2033-06-01",
        "Holds until 2033-09-04",
        "2032-09-04 Tobias Rehn, welding coordinator",
        "Ida Brandt",
        "report HT-3302",
        "prolongation due by 2035-03-04",
    ):
        assert said in text, said
    assertContains(reader_client.get(record.get_absolute_url()), reverse("validity_sheet", args=[record.pk]))


def test_a_packet_lists_the_day_to_which_a_confirmed_welder_holds(author: User) -> None:
    record = made(author)
    confirmed(record, "2031-08-20")
    day = date(2031, 9, 1)
    entry = welder_entry(record.welder, {"GMAW"}, day)
    assert [(row.standing.words, row.kept_by) for row in entry.rows] == [
        ("Holds until 2032-02-20", "Confirmed 2031-08-20")
    ]
    assert not _with_welder(entry)
    later = welder_entry(record.welder, {"GMAW"}, date(2032, 2, 21))
    assert _with_welder(later) == [
        "Welder Anouk Berglund (AB), GMAW, semiautomatic: lapsed, held until 2032-02-20."
    ]


def test_who_may_weld_says_why_not_with_its_clause(reader_client: Client, author: User) -> None:
    record = made(author)
    weld = part(
        job(edition=ALUMINIUM),
        units="si",
        joint={"thickness_a": "6 mm", "sides_welded": "one"},
        line={
            "deposit_thickness": "6 mm",
            "shielding_gas": "100Ar",
            "backing_gas": "none",
            "layers": "3",
            "passes_per_side": "multiple",
        },
    )
    url = reverse("who_may_weld")
    may = reader_client.get(url, {"part": weld.pk, "day": "2031-09-04"})
    assertContains(may, "holds until 2031-09-04")
    ended = reader_client.get(url, {"part": weld.pk, "day": "2031-09-05"})
    assertContains(ended, "6 months without a further confirmation ended on 4 September 2031.")
    assertContains(ended, '<span class="clause">9.2</span>')
    assert record.welder.name in ended.content.decode()
