"""The weld log: at the weld, at a desk by ranges, what it refuses, what it feeds, and lots both ways."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook
from pytest_django.asserts import assertContains

from qualification.models import AuditEntry, ProcessUse, Welder
from qualification.welders.continuity import standings_of
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.documents.weld_standing import marks_in, progress, standings_of_job
from wps.jobs.weld_log import Entry, LogRefused, Writer, strike_event
from wps.models import Job, Lot, Part, WeldEvent
from wps.reading.days import NotADay, read_day
from wps.views.weld_log import BY_SCRIPT

pytestmark = pytest.mark.django_db
DAY = date(2031, 4, 1)


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def made(author: User, shop: object) -> Job:
    """Twelve welds that one procedure and one welder cover."""
    spec(author, procedure_test(author), state="approved")
    welder_test(author, welder())
    Welder.objects.create(stamp="ZZ", name="Zoe Zander")
    of = job()
    for n in range(409, 421):
        part(of, f"{n:04d}", spec_number="W-101")
    return of


def who(stamp: str = "AB") -> Welder:
    return Welder.objects.get(stamp=stamp)


def at_weld(client: Client, weld: Part, **data: Any) -> Any:
    url = reverse("weld_log_one", args=[weld.job_id, weld.pk])
    return client.post(url, {"done_on": "2031-04-01", "do": "stay", **data}, follow=True)


def write(of: Job, author: User, mark: str, step: str, on: date = DAY, **more: Any) -> WeldEvent:
    return Writer(of, author).write([Entry(of.parts.get(mark=mark), step, on, **more)])[0]


@pytest.mark.parametrize(
    ("typed", "found", "wrong"),
    [
        ("0409", ["0409"], []),
        ("0413-0415, 0410", ["0410", "0413", "0414", "0415"], []),
        ("0418 - 0500", ["0418", "0419", "0420"], []),
        ("0409 0411", ["0409", "0411"], []),
        ("0500-0600", [], ["0500-0600"]),
        ("0409, 9999", ["0409"], ["9999"]),
        ("0415-0413", [], ["0415-0413"]),
    ],
)
def test_ranges_of_marks(typed: str, found: list[str], wrong: list[str]) -> None:
    assert marks_in(typed, [f"{n:04d}" for n in range(409, 421)]) == (found, wrong)


def test_a_range_keeps_to_its_letters() -> None:
    known = ["A-1", "A-2", "A-10", "B-2", "A-2R"]
    assert marks_in("a-1 to A-9", known) == (["A-1", "A-2"], [])
    assert marks_in("A-1-3", known) == (["A-1", "A-2"], [])
    assert marks_in("A-1 - B-2", known)[1] == ["A-1 - B-2"]


def test_a_weld_is_logged_at_the_weld_and_feeds_continuity(author_client: Client, made: Job) -> None:
    weld = made.parts.get(mark="0412")
    lot = Lot.objects.create(kind="filler", number="7731", material="ER5356 3/64")
    url = reverse("weld_log_one", args=[made.pk, weld.pk])
    assertContains(author_client.get(url, {"welder": who().pk}), "AB may weld this today")
    answer = at_weld(author_client, weld, step="welded", welder=who().pk, lots=[lot.pk], gas="Ar 4.8")
    assertContains(answer, "0412 is logged: welded")
    event = weld.events.get()
    assert (event.spec_reference, event.gas, list(event.lots.all())) == ("W-101 rev 0", "Ar 4.8", [lot])
    use = ProcessUse.objects.get()
    assert (use.welder, use.process, use.operation, use.used_on) == (who(), "GMAW", "semiautomatic", DAY)
    assert use.evidence == "Weld log: J-3107 / 0412"
    assert {s.answer.holds_until for s in standings_of(who(), DAY)} == {date(2031, 10, 1)}
    assert "welded, 2031-04-01, by AB" in AuditEntry.objects.filter(verb="log").get().data["detail"]
    assert at_weld(author_client, weld, step="visual", by_name="HK", result="accepted").status_code == 200
    assert standings_of_job(made, [weld])[0].words == "Complete"


def test_what_a_device_sends_twice_is_logged_once(author_client: Client, made: Job) -> None:
    weld = made.parts.get(mark="0412")
    url = reverse("weld_log_one", args=[made.pk, weld.pk])
    sent = {"done_on": "2031-04-01", "step": "fit_up", "by_name": "HK", "token": f"{uuid4()}"}
    for _ in range(2):
        answer = author_client.post(url, sent, headers={"Accept": BY_SCRIPT})
        assert (answer.status_code, answer.content) == (204, b"")
    assert weld.events.count() == 1
    refused = {**sent, "step": "visual", "token": f"{uuid4()}"}
    answer = author_client.post(url, refused, headers={"Accept": BY_SCRIPT})
    assert (answer.status_code, answer["Content-Type"]) == (422, "text/plain; charset=utf-8")
    assert "not logged as welded yet" in answer.content.decode()


def test_who_is_not_qualified_needs_a_reason_and_keeps_no_continuity(
    author_client: Client, made: Job
) -> None:
    weld = made.parts.get(mark="0412")
    data = {"step": "welded", "welder": who("ZZ").pk}
    assertContains(at_weld(author_client, weld, **data), "Enter a reason to log it", status_code=422)
    assert not weld.events.exists()
    at_weld(author_client, weld, **data, reason="Under supervision of AB")
    assert weld.events.get().reason == "Under supervision of AB"
    assert not ProcessUse.objects.exists()


def test_the_day_of_welding_decides(author: User, made: Job) -> None:
    """Six months from the coupon of 2031-03-04 (ASME IX QW-322.1(a))."""
    with time_machine.travel("2031-10-10 10:00", tick=False):
        write(made, author, "0409", "welded", date(2031, 9, 4), welder=who())
        ProcessUse.objects.all().delete()
        with pytest.raises(LogRefused, match="Enter a reason"):
            write(made, author, "0410", "welded", date(2031, 9, 5), welder=who())


def test_steps_follow_each_other(author: User, made: Job) -> None:
    for step, more, said in (
        ("visual", {"by_name": "HK", "result": "accepted"}, "not logged as welded"),
        ("repair", {"welder": who()}, "not logged as welded"),
        ("welded", {}, "Choose the welder"),
        ("nde_asked", {}, "Choose the method"),
        ("fit_up", {}, "Enter who checked"),
    ):
        with pytest.raises(LogRefused, match=said):
            write(made, author, "0412", step, **more)
    write(made, author, "0412", "fit_up", by_name="HK")
    write(made, author, "0412", "welded", welder=who())
    with pytest.raises(LogRefused, match="logged as welded by AB"):
        write(made, author, "0412", "welded", welder=who())
    with pytest.raises(LogRefused, match="before that"):
        write(made, author, "0412", "visual", date(2031, 3, 31), by_name="HK", result="accepted")
    with pytest.raises(LogRefused, match="in the future"):
        write(made, author, "0413", "fit_up", date(2031, 4, 2), by_name="HK")
    with pytest.raises(LogRefused, match="Nothing of it is rejected"):
        write(made, author, "0412", "repair", welder=who())


def test_a_repair_asks_for_visual_and_nde_again(author: User, made: Job) -> None:
    def stands() -> tuple[str, int]:
        found = standings_of_job(made, [made.parts.get(mark="0412")])[0]
        return found.words, found.cycles

    steps: list[tuple[str, dict[str, Any], tuple[str, int]]] = [
        ("nde_asked", {"method": "PT"}, ("Not welded", 0)),
        ("welded", {"welder": who()}, ("Waiting for visual", 0)),
        ("visual", {"by_name": "HK", "result": "accepted"}, ("Waiting for NDE", 0)),
        ("nde", {"method": "PT", "result": "rejected"}, ("Repair open", 0)),
        ("repair", {"welder": who()}, ("Waiting for visual", 1)),
        ("visual", {"by_name": "HK", "result": "accepted"}, ("Waiting for NDE", 1)),
        ("nde", {"method": "PT", "result": "accepted"}, ("Complete", 1)),
    ]
    for step, more, expected in steps:
        write(made, author, "0412", step, **more)
        assert stands() == expected
    told = progress(standings_of_job(made))
    assert (told.total, told.complete, told.repairs_done, told.nde_done, told.percent) == (12, 1, 1, 1, 8)


def test_many_are_logged_at_a_desk_or_none(author_client: Client, made: Job) -> None:
    url = reverse("weld_log", args=[made.pk])
    data = {"bulk-marks": "0413-0420", "bulk-step": "welded", "bulk-done_on": "2031-03-31"}
    wrong = author_client.post(url, {**data, "bulk-marks": "0413-0420, 99", "bulk-welder": who().pk})
    assertContains(wrong, "“99” is not a mark", status_code=422)
    assertContains(author_client.post(url, data), "Choose the welder", status_code=422)
    assert not WeldEvent.objects.exists()
    done = author_client.post(url, {**data, "bulk-welder": who().pk}, follow=True)
    assertContains(done, "8 welds are logged")
    assert ProcessUse.objects.get().evidence == "Weld log: J-3107 / 0413 and 7 more"
    again = author_client.post(url, {**data, "bulk-marks": "0412, 0413", "bulk-welder": who().pk})
    assertContains(again, "0413: It is logged as welded", status_code=422)
    assert not made.parts.get(mark="0412").events.exists()
    assertContains(author_client.get(url, {"show": "visual", "q": "0414"}), "0414")
    file = author_client.get(reverse("weld_log_file", args=[made.pk]))
    rows = {row[0]: row for row in load_workbook(io.BytesIO(file.content)).active.values}
    assert rows["0413"][2:4] == ("AB", "W-101 rev 0")


def test_a_struck_line_takes_back_only_the_use_it_alone_showed(author: User, made: Job) -> None:
    first = write(made, author, "0412", "welded", welder=who())
    second = write(made, author, "0413", "welded", welder=who())
    assert ProcessUse.objects.count() == 1
    strike_event(first, "Wrong weld", author)
    assert not ProcessUse.objects.get().struck_because
    strike_event(second, "Wrong weld", author)
    assert ProcessUse.objects.get().struck_because
    with pytest.raises(LogRefused, match="struck already"):
        strike_event(second, "Again", author)
    third = write(made, author, "0412", "welded", welder=who())
    write(made, author, "0412", "visual", by_name="HK", result="accepted")
    with pytest.raises(LogRefused, match="Strike those lines first"):
        strike_event(third, "Wrong", author)


def test_a_use_that_somebody_else_wrote_stays(author: User, made: Job) -> None:
    mine = ProcessUse.objects.create(
        welder=who(), process="GMAW", operation="semiautomatic", used_on=DAY, evidence="Job 9"
    )
    event = write(made, author, "0412", "welded", welder=who())
    strike_event(event, "Wrong weld", author)
    mine.refresh_from_db()
    assert not mine.struck_because


def test_which_welds_hold_a_lot_both_ways(author_client: Client, author: User, made: Job) -> None:
    data = {"kind": "filler", "number": "7731", "material": "ER5356 3/64", "received_on": "2031-03-03"}
    author_client.post(reverse("lot_new"), data)
    lot = Lot.objects.get()
    assertContains(author_client.post(reverse("lot_new"), data), "is on file", status_code=422)
    event = write(made, author, "0412", "welded", welder=who(), lots=[lot])
    shown = author_client.get(lot.get_absolute_url())
    assertContains(shown, "0412")
    assert shown.context["welds"] == 1
    assertContains(author_client.get(reverse("weld_log", args=[made.pk]), {"lot": lot.pk}), "7731")
    assertContains(author_client.get(reverse("lot_list"), {"q": "7731"}), "Not on file")
    strike_event(event, "Wrong lot", author)
    assert author_client.get(lot.get_absolute_url()).context["welds"] == 0


def test_a_weld_with_a_log_stays_on_the_job(author_client: Client, author: User, made: Job) -> None:
    write(made, author, "0412", "fit_up", by_name="HK")
    weld = made.parts.get(mark="0412")
    answer = author_client.post(reverse("part_remove", args=[made.pk, weld.pk]), follow=True)
    assertContains(answer, "has a log")
    assert made.parts.filter(mark="0412").exists()


def test_a_reader_sees_the_log_and_writes_nothing(reader_client: Client, made: Job) -> None:
    assertContains(reader_client.get(reverse("weld_log", args=[made.pk])), "0412")
    weld = made.parts.get(mark="0412")
    assert at_weld(reader_client, weld, step="fit_up", by_name="X").status_code == 403
    reader_client.post(reverse("weld_log", args=[made.pk]), {"bulk-marks": "0412"})
    assert not WeldEvent.objects.exists()


def imported(client: Client, of: Job, *rows: str) -> Any:
    text = "\n".join(("Weld No,Date,Welded by,Filler lot,VT,VT by,NDT,NDT result", *rows))
    data = {"target": "log", "units": "us", "pasted": text}
    return client.post(reverse("import_start", args=[of.pk]), data, follow=True)


def test_a_log_is_imported_whole_or_not_at_all(author_client: Client, made: Job) -> None:
    Lot.objects.create(kind="filler", number="7731", material="ER5356 3/64")
    wrong = imported(
        author_client,
        made,
        "0412,13/03/2031,AB,7731,accept,HK,PT,accepted",
        "0413,14/03/2031,QQ,7732,maybe,HK,XT,",
        "0999,14/03/2031,AB,,,,,",
        "0414,31/02/2031,AB,,,,,",
    )
    places = [problem.place for problem in wrong.context["look"].problems]
    assert places == ["C3", "D3", "E3", "G3", "A4", "B5"]
    assert not WeldEvent.objects.exists()
    good = imported(
        author_client,
        made,
        "0412,13/03/2031,AB,7731,accept,HK,PT,accepted",
        "0413,05/03/2031,AB,7731,rejected,HK,,",
    )
    assertContains(good, "Logs welded, 2031-03-13, by AB")
    listed = good.context["listed"]
    data = {"do": "import", "token": good.context["look"].token}
    author_client.post(listed.get_absolute_url(), data)
    stands = {each.part.mark: each for each in standings_of_job(made)}
    assert (stands["0412"].words, stands["0413"].words) == ("Complete", "Repair open")
    assert stands["0413"].welded is not None
    assert stands["0413"].welded.done_on == date(2031, 3, 5)
    assert ProcessUse.objects.count() == 2
    again = imported(author_client, made, "0412,13/03/2031,AB,7731,accept,HK,PT,accepted")
    assert (again.context["look"].unchanged, again.context["look"].problems) == (1, [])


@pytest.mark.parametrize(
    ("text", "day_first", "day"),
    [
        ("2031-03-04", None, date(2031, 3, 4)),
        ("4.3.2031", None, date(2031, 3, 4)),
        ("04/03/2031", True, date(2031, 3, 4)),
        ("03/04/2031", False, date(2031, 3, 4)),
        ("13/03/31", None, date(2031, 3, 13)),
        ("4 Mar 2031", None, date(2031, 3, 4)),
        ("March 4, 2031", None, date(2031, 3, 4)),
    ],
)
def test_days_are_read_as_lists_write_them(text: str, day_first: bool | None, day: date) -> None:
    assert read_day(text, day_first) == day


@pytest.mark.parametrize("text", ["04/03/2031", "31/02/2031", "soon", "13/13/2031", ""])
def test_a_day_that_can_be_two_or_none_is_refused(text: str) -> None:
    with pytest.raises(NotADay):
        read_day(text)


def test_codes_for_the_floor_lead_to_the_weld(
    reader_client: Client, made: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = reverse("weld_codes", args=[made.pk])
    monkeypatch.setattr("wps.views.weld_log.server_address", lambda: "")
    assertContains(reader_client.get(url), "no server address yet")
    monkeypatch.setattr("wps.views.weld_log.server_address", lambda: "https://shop.example")
    answer = reader_client.get(url, {"marks": "0413-0415, 77"})
    assert [part.mark for part, _ in answer.context["codes"]] == ["0413", "0414", "0415"]
    assertContains(answer, "77: not a mark")
