"""What exists in spreadsheets comes in whole or not at all, each problem named by its cell."""

from __future__ import annotations

import io
from datetime import date, datetime

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook, load_workbook
from pytest_django.asserts import assertContains, assertRedirects

from qualification.models import ProcedureTest, ProcessUse, State, Welder, WelderTest
from qualification.models.audit import AuditEntry
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from tests.shop_records import procedure_test
from wps.jobs.weld_columns import matched
from wps.models import ListImport, Spec
from wps.outside.import_columns import TARGETS, columns_for
from wps.outside.list_import import Look, import_list, keep_list
from wps.outside.list_templates import template_of
from wps.reading.spreadsheet import NotAList, Sheet, read_text, workbook

pytestmark = pytest.mark.django_db
TODAY = date(2031, 5, 2)
EDITION = "asme_ix_2023"


@pytest.fixture
def welders() -> list[Welder]:
    return [
        Welder.objects.create(name=name, stamp=stamp)
        for name, stamp in (("Anouk Berglund", "AB"), ("Bela Cerny", "BC"), ("Bela Cerny", "B2"))
    ]


def _read(target: str, text: str, person: User, units: str = "us") -> Look:
    sheet = read_text(text)
    return Look(keep_list(target, sheet, "list.csv", units, EDITION, person), TODAY)


def _upload(client: Client, target: str, content: bytes, name: str = "list.xlsx") -> ListImport:
    file = SimpleUploadedFile(name, content)
    posted = {"target": target, "units": "us", "edition": EDITION, "file": file}
    answer = client.post(reverse("import_records"), posted)
    listed = ListImport.objects.get()
    assertRedirects(answer, listed.get_absolute_url())
    return listed


def _messy() -> bytes:
    """A list as shops keep it: heads merged over two rows, units in cells, fractions turned into days, days
    with the day first, empty rows, duplicates."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Welder qualification register"])
    sheet.append([])
    sheet.append(["Cert No.", "Welder", "Date", "Process", "Thickness", None, "Pos.", "Filler", "Remarks"])
    sheet.append([None, None, None, None, "Side A", "Side B"])
    sheet.merge_cells("E3:F3")
    rows = [
        ["WT-1", "AB", "27/04/2024", "GMAW", "1/4 in", "same", "3G", "ER5356", "from the old book"],
        [],
        ["WT-2", "Anouk Berglund", "13.06.2024", "gmaw", "6 mm", "1 1/4", "2G", "ER4043", ""],
        ["WT-3", "ZZ", "27/04/2024", "GMAW", "1/4", "same", "3G", "ER5356", ""],
        ["WT-4", "Bela Cerny", "31/02/2024", "GMAW", "1/4", "same", "3G", "ER5356", ""],
        ["WT-1", "AB", "27/04/2024", "GMAW", "1/4", "same", "3G", "ER5356", ""],
        ["", "AB", "27/04/2024", "GMAW", "1/4", "same", "3G", "ER5356", ""],
        ["WT-7", "AB", "27/04/2099", "GMAW", datetime(2024, 1, 4), "same", "3G", "ER5356", ""],
        ["WT-8", "AB", "01/02/2024", "laser", "1/4", "same", "9G", "ER5356", ""],
        ["WT-9", "", "27/04/2024", "GMAW", "about 1/4", "same", "3G", "ER9999x", "=1/0"],
    ]
    for row in rows:
        sheet.append(row)
    stored = io.BytesIO()
    book.save(stored)
    return stored.getvalue()


def test_a_messy_workbook_has_every_problem_named_by_its_cell(
    author_client: Client, welders: list[Welder]
) -> None:
    listed = _upload(author_client, "welder_tests", _messy())
    look = Look(listed, TODAY)
    assert look.missing_columns == []
    found: dict[str, str] = {}
    for each in look.problems:
        found[each.place] = f"{found.get(each.place, '')} {each.words}".strip()
    assert {
        "B8": "“ZZ” is nobody's stamp or full name here" in found["B8"],
        "B9": "the name of several welders. Write the stamp" in found["B9"],
        "C9": "“31/02/2024” is not a day of the calendar" in found["C9"],
        "A10": "WT-1 is also in row 5" in found["A10"],
        "A11": "Number is empty" in found["A11"],
        "C12": "2099-04-27 is in the future" in found["C12"],
        "E12": "holds the date 2024-01-04 here, most often made of a fraction" in found["E12"],
        "D13": "laser" in found["D13"],
        "G13": "9G" in found["G13"],
        "B14": "Welder is empty" in found["B14"],
    } == dict.fromkeys(("B8", "B9", "C9", "A10", "A11", "C12", "E12", "D13", "G13", "B14"), True), found
    assert {row.read.number for row in look.added} == {5, 7}
    answer = author_client.get(listed.get_absolute_url())
    assertContains(answer, "Stops the import")
    assertContains(answer, "without results, specimen by specimen")
    refused = author_client.post(listed.get_absolute_url(), {"do": "import", "token": look.token})
    assertContains(refused, "nothing was imported", status_code=422)
    assert not WelderTest.objects.exists()
    file = author_client.get(reverse("list_import_failed", args=[listed.pk])).content
    rows = list(load_workbook(io.BytesIO(file)).active.values)
    assert [row[0] for row in rows] == ["Row", "8", "9", "10", "11", "12", "13", "14"]


def test_days_with_the_day_first_and_units_in_cells_are_read(author: User, welders: list[Welder]) -> None:
    look = _read(
        "welder_tests",
        "Number;Welder;Date;Process;Thickness;Position\nW1;AB;27/04/2024;GMAW;6 mm;3G\n"
        "W2;AB;03/04/2024;GMAW;1/4;2G\n",
        author,
    )
    assert look.problems == []
    first, second = (row.read.thing for row in look.rows)
    assert (first.welded_on, second.welded_on) == (date(2024, 4, 27), date(2024, 4, 3))
    assert (first.joint["thickness_a"], second.joint["thickness_a"]) == ("6 mm", "1/4")
    assert first.joint["test_position"] in ("3G", ["3G"])


def test_a_day_that_can_be_two_is_not_guessed(author: User, welders: list[Welder]) -> None:
    look = _read("welder_tests", "Number;Welder;Date\nW1;AB;03/04/2024\n", author)
    assert [(each.place, "can be 2024-04-03 or 2024-03-04" in each.words) for each in look.problems] == [
        ("C2", True)
    ]


def test_two_hundred_tests_come_in_as_drafts_that_say_where_they_come_from(
    author: User, welders: list[Welder]
) -> None:
    rows = "\n".join(
        f"WT-{n:03};{('AB', 'BC')[n % 2]};2024-04-{n % 28 + 1:02};GMAW;ER5356;6061;1/4;3G;VT ok, bends ok"
        for n in range(200)
    )
    look = _read(
        "welder_tests", f"Number;Welder;Date;Process;Filler;Metal;Thickness;Position;Result\n{rows}", author
    )
    assert (len(look.added), look.problems) == (200, [])
    with_results = dict(look.lacking)
    assert with_results["results, specimen by specimen"] == 200
    import_list(look.listed, Look(look.listed, TODAY).token, author)
    assert set(WelderTest.objects.values_list("state", flat=True)) == {State.DRAFT}
    made = WelderTest.objects.get(number="WT-007")
    assert made.notes == (
        "Results on the paper: VT ok, bends ok\nAs recorded on paper. Imported from list.csv, row 9."
    )
    assert (made.results, made.lines[0]["filler_classification"]) == ([], "ER5356")
    assert AuditEntry.objects.filter(verb="create", record_kind="welder test").count() == 200
    assert not ListImport.objects.exists()


def test_the_same_list_again_changes_nothing_and_other_values_are_refused(
    author: User, welders: list[Welder]
) -> None:
    text = "Number;Welder;Date;Process;Thickness\nW1;AB;2024-04-27;GMAW;1/4\n"
    look = _read("welder_tests", text, author)
    import_list(look.listed, look.token, author)
    again = _read("welder_tests", text, author)
    assert (again.unchanged, again.added, again.problems) == (1, [], [])
    import_list(again.listed, again.token, author)
    assert WelderTest.objects.count() == 1
    other = _read("welder_tests", text.replace("1/4", "3/8"), author)
    ((place, words),) = [(each.place, each.words) for each in other.problems]
    assert place == "A2"
    assert "the row says otherwise of: joint. An import adds and never changes" in words


def test_records_may_wait_for_review_and_are_never_approved(author: User, welders: list[Welder]) -> None:
    look = _read("tests", "PQR No;Welder;Date\nPT-7;AB;2024-04-27\n", author)
    import_list(look.listed, look.token, author, submit=True)
    assert ProcedureTest.objects.get(number="PT-7").state == State.IN_REVIEW


def test_procedures_name_their_tests(author: User) -> None:
    test = procedure_test(author, number="PT-001")
    look = _read("procedures", "WPS No;PQR;Process\nAL-1;PT-001;GMAW\nAL-2;PT-999;GMAW\n", author)
    assert [(each.place, "“PT-999” is not on file" in each.words) for each in look.problems] == [("B3", True)]
    look = _read("procedures", "WPS No;PQR;Process\nAL-1;PT-001;GMAW\n", author)
    import_list(look.listed, look.token, author)
    assert list(Spec.objects.get(number="AL-1").tests.all()) == [test]


def test_welders_and_their_uses_come_in(author: User) -> None:
    look = _read("welders", "Name,ID,DOB\nAnouk Berglund,AB,1990-02-03\nBela Cerny,BC,\n", author)
    import_list(look.listed, look.token, author)
    assert Welder.objects.get(stamp="AB").born_on == date(1990, 2, 3)
    taken = _read("welders", "Name,ID\nSomebody Else,AB\nDora Ekman,ab\n", author)
    assert [each.place for each in taken.problems] == ["B2", "B3"]
    text = (
        "Welder,Process,Operation,Date,Job\nAB,GMAW,Semiautomatic,2024-04-27,J-7\nBC,gmaw,semi,2024-04-28,\n"
    )
    uses = _read("uses", text, author)
    assert uses.lacking == [("evidence; the row of the list is named instead", 1)]
    import_list(uses.listed, uses.token, author)
    assert sorted(ProcessUse.objects.values_list("welder__stamp", "evidence")) == [
        ("AB", "J-7"),
        ("BC", "Row 3 of list.csv"),
    ]
    again = _read("uses", text, author)
    assert (again.unchanged, len(again.added), again.problems) == (2, 0, [])
    wrong = _read("uses", "Welder,Process,Operation,Date\nAB,laser,by foot,2024-04-27\n", author)
    assert [each.place for each in wrong.problems] == ["B2", "C2"]


@pytest.mark.parametrize("target", TARGETS)
def test_each_template_is_understood_as_it_is(target: str, author: User) -> None:
    Welder.objects.create(name="Anouk Berglund", stamp="ZA" if target == "welders" else "AB")
    if target == "procedures":
        procedure_test(author, number="PT-014")
    heads, rows = template_of(target)
    sheet = read_text("\n".join("\t".join(row) for row in [heads, *rows]))
    look = Look(keep_list(target, sheet, "template", "us", EDITION, author), TODAY)
    assert look.listed.columns == [
        column.key for label in heads for column in columns_for(target) if column.label == label
    ]
    assert (len(look.added), look.problems) == (1, []), look.problems
    labels = [column.label for column in columns_for(target)]
    assert len(set(labels)) == len(labels), "two columns share a heading"


def test_headings_of_earlier_lists_are_understood() -> None:
    """Until labels lost their commas they named the side, the lowest and the highest behind one."""
    heads = ["Base metal, side A", "Preheat, lowest", "Interpass temperature, highest", "thickness (side b)"]
    assert matched(heads, columns_for("procedures"), {}) == [
        "0:base_metal_a",
        "0:preheat_min",
        "0:interpass_max",
        "0:thickness_b",
    ]


def test_what_goes_out_comes_in_again(author_client: Client, author: User) -> None:
    stored = procedure_test(author, number="PT-001", state=State.DRAFT)
    content = author_client.get(reverse("list_file", args=["procedure-test", "xlsx"])).content
    stored.delete()
    listed = _upload(author_client, "tests", content)
    look = Look(listed, TODAY)
    assert look.problems == []
    (read,) = (row.read for row in look.added)
    said, stored_as = (
        read_weld(each.joint, each.lines, RecordKind.TEST, each.units).weld for each in (read.thing, stored)
    )
    assert said == stored_as


def test_a_look_that_is_no_longer_true_is_not_imported(author_client: Client, welders: list[Welder]) -> None:
    listed = _upload(author_client, "welders", workbook("W", ["Name", "Stamp"], [["Dora Ekman", "DE"]]))
    token = Look(listed, TODAY).token
    Welder.objects.create(name="Dora Ekman", stamp="DE")
    answer = author_client.post(listed.get_absolute_url(), {"do": "import", "token": token})
    assertContains(answer, "has changed since", status_code=422)


def test_the_pages(author_client: Client, reader_client: Client, welders: list[Welder]) -> None:
    assertContains(author_client.get(reverse("import_records") + "?target=uses"), "Templates to fill in")
    assert reader_client.get(reverse("import_records")).status_code == 403
    template = author_client.get(reverse("list_template", args=["uses"]))
    assert next(iter(load_workbook(io.BytesIO(template.content)).active.values))[0] == "Welder"
    assert author_client.get("/import/templates/people.xlsx").status_code == 404
    listed = _upload(author_client, "welders", workbook("W", ["Who", "Mark"], [["Dora Ekman", "DE"]]))
    url = listed.get_absolute_url()
    assertContains(author_client.get(url), "Match a column to each of: Name; Stamp")
    author_client.post(url, {"do": "match", "column-0": "name", "column-1": "stamp", "units": "us"})
    listed.refresh_from_db()
    assertContains(author_client.get(url), "Adds Dora Ekman (DE)")
    done = author_client.post(url, {"do": "import", "token": Look(listed, TODAY).token}, follow=True)
    assertContains(done, "1 added, 0 as they were.")
    assert reader_client.get(url).status_code in (403, 404)
    # And the match is remembered.
    listed = _upload(author_client, "welders", workbook("W", ["Who", "Mark"], [["Else Falk", "EF"]]))
    assert listed.columns == ["name", "stamp"]


def test_an_empty_sheet_is_refused(author: User) -> None:
    with pytest.raises(NotAList, match="No rows stand below"):
        keep_list("welders", Sheet("", read_text("Name,Stamp").rows), "x", "us", EDITION, author)
