"""What every list does: it sorts by its heads, is remembered as it was left, and goes out as a file."""

from __future__ import annotations

import csv
import io

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Welder
from tests.shop_records import procedure_test, spec, welder
from wps.models import Job, Lot
from wps.outside.lists import LISTS
from wps.reading.spreadsheet import as_csv, read_text

pytestmark = pytest.mark.django_db


def _rows(client: Client, name: str, **filters: str) -> list[list[str]]:
    answer = client.get(reverse("list_file", args=[name, "csv"]), filters)
    assert answer["Content-Disposition"] == f'attachment; filename="{name}.csv"'
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.fixture
def jobs() -> None:
    for number, title, is_open in (("1", "Mast", True), ("2", "Deck", False), ("3", "Boom", True)):
        Job.objects.create(number=number, title=title, open=is_open, edition="asme_ix_2023")


def _numbers(client: Client, **asked: str) -> list[str]:
    return [job.number for job in client.get(reverse("job_list"), asked).context["jobs"]]


def test_a_head_sorts_and_turns_the_order(reader_client: Client, jobs: None) -> None:
    answer = reader_client.get(reverse("job_list"), {"sort": "title"})
    assert [job.title for job in answer.context["jobs"]] == ["Boom", "Deck", "Mast"]
    assertContains(answer, 'aria-sort="ascending"', 1)
    assertContains(answer, "sort=-title")
    assert _numbers(reader_client, sort="-title") == ["1", "2", "3"]


def test_the_order_and_filter_are_remembered_and_the_search_is_not(reader_client: Client, jobs: None) -> None:
    assert _numbers(reader_client, q="", state="open", sort="title") == ["3", "1"]
    assert _numbers(reader_client) == ["3", "1"]
    assertContains(reader_client.get(reverse("job_list")), "as you left them")
    assert _numbers(reader_client, q="Mast", state="open") == ["1"]
    assert _numbers(reader_client) == ["3", "1"]
    assert _numbers(reader_client, clear="1") == ["3", "1", "2"]
    assertNotContains(reader_client.get(reverse("job_list")), "as you left them")


def test_another_person_finds_the_list_as_it_is(
    reader_client: Client, author_client: Client, jobs: None
) -> None:
    reader_client.get(reverse("job_list"), {"q": "", "state": "closed"})
    assert _numbers(author_client) == ["3", "1", "2"]


@pytest.mark.parametrize("sort", ["password", "-", "author__password", "title;drop"])
def test_no_other_field_sorts(sort: str, reader_client: Client, jobs: None) -> None:
    assert _numbers(reader_client, sort=sort) == ["3", "1", "2"]


@pytest.mark.parametrize("name", LISTS)
def test_every_list_goes_out_as_both_kinds_of_file(name: str, reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    spec(author, test, title="=1+1")
    heads = _rows(reader_client, name)[0]
    answer = reader_client.get(reverse("list_file", args=[name, "xlsx"]))
    sheet = load_workbook(io.BytesIO(answer.content)).active
    assert [cell.value for cell in sheet[1]] == heads
    assert len(set(heads)) == len(heads), "two columns have one heading"


def test_a_file_holds_what_the_list_shows_on_all_pages(reader_client: Client) -> None:
    Welder.objects.bulk_create(Welder(stamp=f"S{n:02}", name=f"Nobody {n:02}") for n in range(45))
    Welder.objects.create(stamp="ZZ", name="Zeno Zwart", active=False)
    assert len(_rows(reader_client, "welders")) == 46
    assert len(_rows(reader_client, "welders", q="", all="1")) == 47
    assert [row[1] for row in _rows(reader_client, "welders", q="Nobody 0", sort="-name")][:2] == [
        "Stamp",
        "S09",
    ]


def test_entries_go_out_under_their_labels(reader_client: Client, author: User) -> None:
    procedure_test(author, number="PT-007")
    heads, row = _rows(reader_client, "procedure-test")
    said = dict(zip(heads, row, strict=True))
    assert (said["Number"], said["Welder"], said["Base metal of side A"]) == (
        "PT-007",
        welder().stamp,
        "6061",
    )
    assert said["Transfer mode"] == "Pulsed spray"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "=cmd|' /C calc'!A0", "\t=1", "\r=1"])
def test_no_cell_of_a_csv_file_is_a_formula(text: str, reader_client: Client) -> None:
    Lot.objects.create(kind="gas", number="7", material=text, recorded_by_name="Nobody")
    raw = reader_client.get(reverse("list_file", args=["lots", "csv"])).content.decode("utf-8-sig")
    (cell,) = (row[2] for row in list(csv.reader(io.StringIO(raw, newline="")))[1:])
    assert cell == f"'{text}"
    # And it comes back as it was.
    sheet = read_text(as_csv(["Material"], [[text]]).decode("utf-8-sig"))
    assert sheet.rows[1].cells[0].text == " ".join(text.split()) or text[0] in "\t\r"


def test_no_such_list(reader_client: Client) -> None:
    assert reader_client.get("/lists/people.csv").status_code == 404
    assert reader_client.get("/lists/welders.pdf").status_code == 404
