"""The work sheet of the code tables: which rows stand on it, entering it back, its paper, rows due again."""

from __future__ import annotations

import json
from datetime import date, timedelta
from io import BytesIO, StringIO
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.editions_in_force import edition_in_force
from qualification.models import AuditEntry, Shop, TableCheck
from qualification.records.audit_check import first_break
from tests.pages.test_table_checks import save
from tests.shop_records import EDITION, procedure_test
from wps.corrections.work_sheet import Due, Line, Part, rows_due, work_sheet
from wps.views.work_sheets import ROWS

pytestmark = pytest.mark.django_db
URL = reverse("work_sheet", args=[EDITION])
COPY = "2023 edition, office copy 2"
HEAD = {"checked_on": "2026-01-15", "copy": COPY}


@pytest.fixture
def record(author: User) -> Any:
    """One passed procedure test; the numbers it rests on stand first."""
    return procedure_test(author)


def entered(client: Client, answers: dict[int, str], **more: str) -> Any:
    """The sheet sent back as it was shown, with what was typed for each number."""
    shown = {line.row.number: line.row.hash for line in work_sheet(EDITION).lines}
    rows = {f"book-{number}": text for number, text in answers.items()}
    marks = {f"row-{number}": shown[number] for number in answers}
    return client.post(f"{URL}?part=used", {**HEAD, **rows, **marks, **more}, follow=True)


def used() -> list[Line]:
    return work_sheet(EDITION).of(Part.USED)


def one_number() -> Line:
    """The first row in use that has one number, in both units."""
    return next(line for line in used() if len(line.row.numbers) == 2 and line.row.place_for("7 mm"))


def test_rows_that_records_rest_on_come_first_in_the_order_of_the_book(
    record: Any, reader_client: Client
) -> None:
    sheet = work_sheet(EDITION)
    numbers = [line.row.number for line in sheet.of(Part.USED)]
    assert numbers == sorted(numbers)
    assert all(line.records == (record.number,) for line in sheet.of(Part.USED))
    assert sheet.left.used_left == len(numbers) > 20
    assert sum(each.used_left for each in sheet.by_heading) == len(numbers)
    clauses = {line.row.words.clause for line in sheet.of(Part.USED)}
    assert {"QW-401", "QW-402.1", "QW-163"} <= clauses
    page = reader_client.get(URL)
    assert [line.row.number for line, _ in page.context["rows"]] == numbers[:ROWS]
    assertNotContains(page, "Save the confirmed rows")


def test_without_records_nothing_is_in_use(shop: Shop, reader_client: Client) -> None:
    sheet = work_sheet(EDITION)
    assert sheet.left.used_left == 0
    assert reader_client.get(URL).context["part"] is Part.REST


def test_rows_are_confirmed_in_one_pass_and_audited(record: Any, approver_client: Client) -> None:
    lines, left = used()[:3], work_sheet(EDITION).left
    number = one_number()
    answers = {line.row.number: "same" for line in lines} | {number.row.number: number.row.numbers[0][1]}
    answer = entered(approver_client, answers)
    assertContains(answer, f"{len(answers)} rows are confirmed against {COPY}.")
    made = TableCheck.objects.all()
    assert {(each.person_name, each.copy, each.checked_on) for each in made} == {
        ("Tobias Quell", COPY, date(2026, 1, 15))
    }
    assert not any(each.changes for each in made)
    assert [entry.verb for entry in AuditEntry.objects.filter(record_kind="table check")] == [
        "confirm_row"
    ] * len(answers)
    assert first_break() is None
    after = work_sheet(EDITION).left
    assert (after.used_left, after.confirmed) == (
        left.used_left - len(answers),
        left.confirmed + len(answers),
    )
    assert after.percent >= left.percent
    assert max(answers) < answer.context["start"]


def test_a_number_that_differs_is_a_correction_and_never_saved_here(
    record: Any, approver_client: Client
) -> None:
    line, fingerprint = one_number(), edition_in_force(EDITION).fingerprint
    answer = entered(approver_client, {line.row.number: "7 mm"})
    assertContains(answer, "The book says something else")
    assert not TableCheck.objects.exists()
    assert edition_in_force(EDITION).fingerprint == fingerprint
    (_, typed, url), *others = answer.context["differing"]
    assert (typed, others) == ("7 mm", [])
    page = approver_client.get(url)
    assertContains(page, "The book says:")
    values = {name: page.context["form"].fields[name].initial for name in page.context["form"].leaves}
    assert "7 mm" in values.values()
    shown = approver_client.post(url, {**HEAD, **values})
    assert shown.context["changes"] is not None
    assertContains(shown, "What the correction changes")
    assert not TableCheck.objects.exists()


def test_a_row_that_changed_meanwhile_is_not_confirmed_and_nothing_else_is(
    record: Any, approver_client: Client
) -> None:
    first, second = used()[:2]
    answer = entered(
        approver_client,
        {first.row.number: "y", second.row.number: "y"},
        **{f"row-{second.row.number}": "0" * 64},
    )
    assert answer.status_code == 409
    assertContains(answer, f"Row {second.row.number} was changed", status_code=409)
    assert not TableCheck.objects.exists()
    kept = {line.row.number: typed for line, typed in answer.context["rows"]}
    assert (kept[first.row.number], kept[second.row.number]) == ("y", "y")


def test_a_corrected_row_is_confirmed_as_corrected(record: Any, approver_client: Client) -> None:
    save(approver_client, **{"with.allowance.us": "10 °F"})
    (line,) = work_sheet(EDITION).of(Part.SHOP)
    entered(approver_client, {line.row.number: "same"}, part="shop")
    first, second = TableCheck.objects.order_by("id")
    assert first.changes == second.changes != []
    assert work_sheet(EDITION).of(Part.SHOP)[0].row.hash == line.row.hash


def test_what_cannot_be_saved_says_why(record: Any, approver_client: Client) -> None:
    number = used()[0].row.number
    for answers, more, sentence in (
        ({}, {}, "Nothing is entered."),
        ({number: "y"}, {"copy": ""}, "Enter which copy of the code they were checked against."),
        ({number: "y"}, {"checked_on": ""}, "Enter the day on which the rows were checked"),
    ):
        answer = entered(approver_client, answers, **more)
        assert answer.status_code in (409, 422)
        assertContains(answer, sentence, status_code=answer.status_code)
    assert not TableCheck.objects.exists()


def test_only_an_approver_confirms(record: Any, author_client: Client) -> None:
    answer = entered(author_client, {used()[0].row.number: "y"})
    assert answer.status_code == 403
    assert not TableCheck.objects.exists()
    assert author_client.get(reverse("work_sheet", args=["no_such_code"])).status_code == 404


def test_the_paper_has_each_row_with_a_place_for_the_book(record: Any, reader_client: Client) -> None:
    *before, first, _, last = used()
    start = first.row.number
    answer = reader_client.get(reverse("work_sheet_paper", args=[EDITION]), {"part": "used", "from": start})
    assert answer["Content-Type"] == "application/pdf"
    text = "\n".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for line in (first, last):
        assert line.row.words.clause.split(",")[0] in text.replace("\n", "")
        assert str(line.row.number) in text
    assert "The book says" in text
    assert "Initials" in text
    assert before[0].row.words.clause not in text


def due_of(number: int, due: list[Due]) -> list[str]:
    return [each.because for each in due if each.line.row.number == number]


def test_a_check_is_due_again_on_the_day_its_months_are_over(record: Any, approver_client: Client) -> None:
    number = used()[0].row.number
    assert due_of(number, rows_due(work_sheet(EDITION), date(2026, 6, 1), 12)) == [
        "Unverified, and records rest on it."
    ]
    entered(approver_client, {number: "y"})
    sheet = work_sheet(EDITION)
    assert due_of(number, rows_due(sheet, date(2027, 1, 14), 12)) == []
    assert due_of(number, rows_due(sheet, date(2027, 1, 15), 12)) == ["Last checked on 2026-01-15."]
    TableCheck.objects.update(row_hash="0" * 64, recorded_at=timezone.now() + timedelta(seconds=1))
    assert due_of(number, rows_due(work_sheet(EDITION), date(2026, 2, 1), 12)) == [
        "The row has changed since Tobias Quell checked it on 2026-01-15."
    ]


def test_a_source_is_due_again_on_the_day_its_months_are_over(shop: Shop) -> None:
    sheet = work_sheet(EDITION)
    public = sheet.of(Part.PUBLIC)[0]
    read = max(sheet.edition.sources[each["key"]].read for each in public.row.words.sources)
    again = read.replace(year=read.year + 1)
    assert due_of(public.row.number, rows_due(sheet, again - timedelta(days=1), 12)) == []
    assert due_of(public.row.number, rows_due(sheet, again, 12)) == [f"Its source was last read on {read}."]


def test_the_command_lists_them_with_the_records_that_wait_first(record: Any) -> None:
    said = StringIO()
    call_command("rows_due", EDITION, stdout=said)
    assert f"{len(used())} unverified rows that records rest on" in said.getvalue()
    assert record.number in said.getvalue()
    data = StringIO()
    call_command("rows_due", EDITION, json=True, stdout=data)
    (answer,) = json.loads(data.getvalue())
    assert [each["records"] for each in answer["due"][: len(used())]] == [[record.number]] * len(used())
    with pytest.raises(CommandError, match="There is no edition"):
        call_command("rows_due", "no_such_code", stdout=said)
