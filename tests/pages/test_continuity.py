"""The continuity log: recording, striking, and the month's sheet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import AuditEntry, ProcessUse, Welder
from qualification.records.audit_check import first_break
from qualification.records.history import history_about
from qualification.welders.changes import KIND
from qualification.welders.continuity import best_by_process, standings_of
from tests.shop_records import COUPON_LINE, welder, welder_test

TODAY = date(2031, 6, 10)
USE = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "used_on": "2031-05-02",
    "evidence": "Job J-3107, weld map 2",
}


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def anouk(author: User) -> Welder:
    """Welded her coupon on 4 December 2030: without a use she held it to 4 June 2031."""
    who = welder()
    welder_test(author, who, welded_on=date(2030, 12, 4))
    return who


def standing(who: Welder) -> str:
    return next(s.words for s in best_by_process(standings_of(who, TODAY)))


def record(client: Client, who: Welder, **change: str) -> Any:
    return client.post(reverse("use_add", args=[who.pk]), {**USE, **change}, follow=True)


def test_a_use_within_six_months_keeps_a_qualification(author_client: Client, anouk: Welder) -> None:
    # QW-322.1(a): WI2; counted in calendar months (worked by us).
    assert standing(anouk) == "Lapsed, held until 2031-06-04"
    answer = record(author_client, anouk)
    assertContains(answer, "GMAW (semiautomatic) on 2031-05-02 is in the log.")
    assertContains(answer, "Holds until 2031-11-02")
    line = ProcessUse.objects.get()
    assert (line.evidence, line.recorded_by_name) == ("Job J-3107, weld map 2", "Maren Oosting")
    assert [(e.did, e.detail) for e in history_about(KIND, anouk.pk)] == [
        ("recorded a use", "GMAW (semiautomatic) on 2031-05-02, Job J-3107, weld map 2")
    ]


@pytest.mark.parametrize("change", [{"process": "GTAW"}, {"operation": "machine"}])
def test_another_process_or_kind_of_operation_keeps_nothing(
    change: dict[str, str], author_client: Client, anouk: Welder
) -> None:
    record(author_client, anouk, **change)
    assert standing(anouk) == "Lapsed, held until 2031-06-04"


def test_a_use_after_the_lapse_is_told_and_brings_nothing_back(author_client: Client, anouk: Welder) -> None:
    answer = record(author_client, anouk, used_on="2031-06-08")
    assertContains(answer, "Used while lapsed: 2031-06-08.")
    assertContains(
        answer, "Lapsed. GMAW was not shown to be used after 4 December 2030, to the end of 4 June 2031."
    )
    assert standing(anouk) == "Lapsed, held until 2031-06-04"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"process": ""}, "Choose the process that was used."),
        ({"process": "OAW"}, "Process has no “OAW”. Choose one of those listed."),
        ({"operation": ""}, "Choose by which kind of operation it was used."),
        ({"used_on": ""}, "Enter the day on which the process was used."),
        (
            {"used_on": "2031-06-11"},
            "Day of use: 2031-06-11 lies in the future. Enter a day up to today, 2031-06-10.",
        ),
        ({"used_on": "1031-05-02"}, "Day of use: 1031-05-02 is before 1950-01-01. Check the year."),
        (
            {"used_on": "2 May"},
            "Day of use: “2 May” is not a day. Write year, month and day, such as 2031-06-10.",
        ),
        (
            {"used_on": "2031-02-29"},
            "Day of use: “2031-02-29” is not a day. Write year, month and day, such as 2031-06-10.",
        ),
        ({"evidence": " "}, "Enter what shows the use, such as a job or weld map."),
        ({"evidence": "x" * 201}, "Evidence is 201 characters long. Shorten it to 200 or fewer."),
    ],
)
def test_a_use_that_cannot_be_recorded_says_why_and_keeps_the_rest(
    change: dict[str, str], sentence: str, author_client: Client, anouk: Welder
) -> None:
    answer = record(author_client, anouk, **change)
    assertContains(answer, sentence, count=2)
    assertContains(answer, {**USE, **change}["evidence"])
    assert not ProcessUse.objects.exists()


def test_a_use_is_recorded_once(author_client: Client, anouk: Welder) -> None:
    record(author_client, anouk)
    assertContains(
        record(author_client, anouk),
        "GMAW (semiautomatic) on 2031-05-02 is in the log of Anouk Berglund (AB) already.",
    )
    assert ProcessUse.objects.count() == 1


def test_a_struck_line_stays_readable_and_no_longer_counts(author_client: Client, anouk: Welder) -> None:
    record(author_client, anouk)
    line = ProcessUse.objects.get()
    url = reverse("use_strike", args=[line.pk])
    assertContains(author_client.get(url), "Job J-3107, weld map 2")
    assertContains(author_client.post(url, {"reason": ""}), "Write the reason in one sentence.", count=2)
    answer = author_client.post(url, {"reason": "It was Bo who welded it"}, follow=True)
    assertContains(answer, "GMAW on 2031-05-02 is struck from the log.")
    assertContains(answer, "Struck: It was Bo who welded it")
    assertContains(answer, "Job J-3107, weld map 2")
    assertNotContains(answer, url)
    assert standing(anouk) == "Lapsed, held until 2031-06-04"
    assertContains(
        author_client.post(url, {"reason": "Twice"}), "This line is struck already: It was Bo who welded it"
    )
    assert [e.did for e in history_about(KIND, anouk.pk)] == ["struck a use from the log", "recorded a use"]
    record(author_client, anouk)
    assert ProcessUse.objects.filter(struck_because="").count() == 1


def test_the_trail_of_the_log_is_chained(author_client: Client, anouk: Welder) -> None:
    record(author_client, anouk)
    record(author_client, anouk, used_on="2031-05-03")
    assert first_break() is None
    assert AuditEntry.objects.filter(verb="use").count() == 2


@pytest.fixture
def bo(author: User) -> Welder:
    """Holds GMAW by hand and by machine."""
    who = welder("BD", "Bo Delacroix")
    welder_test(author, who, "WT-050", welded_on=date(2031, 3, 4))
    machine = {**COUPON_LINE, "operation": "machine", "passes_per_side": "multiple"}
    welder_test(author, who, "WT-051", welded_on=date(2031, 3, 4), line=machine)
    return who


def sheet(anouk: Welder, bo: Welder, **change: Any) -> dict[str, Any]:
    return {
        "used_on": "2031-06-01",
        "evidence": "Weld maps of May",
        f"welder-{anouk.pk}-used": ["GMAW:semiautomatic"],
        f"welder-{bo.pk}-used": ["GMAW:semiautomatic"],
        **change,
    }


def test_a_month_is_put_into_the_log_on_one_screen(author_client: Client, anouk: Welder, bo: Welder) -> None:
    page = author_client.get(reverse("month"))
    assertContains(page, "GMAW, semiautomatic", count=2)
    assertContains(page, "Last in the log: nothing", count=2)
    assertContains(page, "GMAW, machine", count=1)
    change = {
        f"welder-{bo.pk}-used": ["GMAW:semiautomatic", "GMAW:machine"],
        f"welder-{bo.pk}-own_day": "2031-06-03",
        f"welder-{bo.pk}-own_evidence": "Job J-3110",
    }
    answer = author_client.post(reverse("month"), sheet(anouk, bo, **change), follow=True)
    assertContains(answer, "3 uses are in the log.")
    assert set(ProcessUse.objects.filter(welder=anouk).values_list("used_on", "evidence")) == {
        (date(2031, 6, 1), "Weld maps of May")
    }
    assert set(ProcessUse.objects.filter(welder=bo).values_list("used_on", "evidence")) == {
        (date(2031, 6, 3), "Job J-3110")
    }
    assert standing(anouk) == "Holds until 2031-12-01"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"used_on": ""}, "Enter the day on which the ticked processes were used."),
        ({"used_on": "2031-06-11"}, "Day of use: 2031-06-11 lies in the future."),
        ({"evidence": ""}, "Enter the evidence here, or at each row that is ticked."),
        ({"OWN_DAY": "2031-12-24"}, "Other day for Anouk Berglund (AB): 2031-12-24 lies in the future."),
        (
            {"USED": ["GTAW:manual"]},
            "Used by Anouk Berglund (AB) has no “GTAW:manual”. Tick one of those listed.",
        ),
        (
            {"USED": [], "OWN_EVIDENCE": "Job J-9"},
            "Anouk Berglund (AB) has a day or evidence, but nothing is ticked.",
        ),
    ],
)
def test_a_sheet_that_cannot_be_recorded_says_why_and_keeps_the_ticks(
    change: dict[str, Any], sentence: str, author_client: Client, anouk: Welder, bo: Welder
) -> None:
    own = {
        "OWN_DAY": f"welder-{anouk.pk}-own_day",
        "USED": f"welder-{anouk.pk}-used",
        "OWN_EVIDENCE": f"welder-{anouk.pk}-own_evidence",
    }
    answer = author_client.post(
        reverse("month"), sheet(anouk, bo, **{own.get(key, key): value for key, value in change.items()})
    )
    assertContains(answer, sentence, count=2)
    assertContains(answer, f'id="id_welder-{bo.pk}-used_0"')
    assert answer.content.decode().count("checked") >= 1
    assert not ProcessUse.objects.exists()


def test_a_sheet_without_a_tick_records_nothing(author_client: Client, anouk: Welder, bo: Welder) -> None:
    nothing = {f"welder-{who.pk}-used": [] for who in (anouk, bo)}
    assertContains(
        author_client.post(reverse("month"), sheet(anouk, bo, **nothing)),
        "Nothing is ticked. Tick what was used, or leave the page.",
    )


def test_a_sheet_is_recorded_whole_or_not_at_all(author_client: Client, anouk: Welder, bo: Welder) -> None:
    record(author_client, bo, used_on="2031-06-01")
    answer = author_client.post(reverse("month"), sheet(anouk, bo))
    assertContains(answer, "is in the log of Bo Delacroix (BD) already.")
    assert not ProcessUse.objects.filter(welder=anouk).exists()


def test_a_welder_who_left_or_holds_nothing_is_not_on_the_sheet(author_client: Client, anouk: Welder) -> None:
    welder("CZ", "Cyra Zeller")
    anouk.active = False
    anouk.save()
    answer = author_client.get(reverse("month"))
    assertContains(
        answer, "No active welder has a passed and approved test, so there is nothing to keep alive."
    )
