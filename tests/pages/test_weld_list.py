"""The weld list of a job: lists that come in, details that welds follow, and cells typed in the grid."""

from __future__ import annotations

import io
import json
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook, load_workbook
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import AuditEntry
from qualification.records.audit_check import check_trail
from qualification.rules.entries.reading import EntryError
from tests.shop_records import job, part, procedure_test, spec
from wps.jobs.weld_cells import said_by
from wps.jobs.weld_grid import text_of
from wps.models import Detail, Job, Part, WeldImport
from wps.reading.spreadsheet import XLSX

pytestmark = pytest.mark.django_db
HEADS = ["Weld No.", "Dwg", "Type", "Mat'l", "Thk 1", "Thk 2", "Pos.", "Fillet", "Qty"]


def messy() -> bytes:
    """A list as shops keep them: a title, a heading over two rows with merged cells, units in cells, mixed
    fractions, blank rows, a fraction that became a date, and slips."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Gangway, weld list rev D"])
    sheet.append([])
    sheet.append(["Weld No.", "Dwg", "Type", "Mat'l", "Thk", None, "Pos.", "Fillet", "Qty", "Remarks"])
    sheet.append([None, None, None, None, "1", "2"])
    sheet.merge_cells("E3:F3")
    for column in "ABCDGHIJ":
        sheet.merge_cells(f"{column}3:{column}4")
    rows: list[list[Any]] = [
        [501, "G-211", "fillet tee", "6061-T6", '1/4"', "3/16", "2F", 0.25, 4, "rev D"],
        [],
        [505, "G-211", "fillet tee", "6061-T6", ".25 in", "6 mm", "2F/3F", "1/4", 1],
        [],
        [512, "G-212", "bevel tee", "6016", "1 1/2", "3/4", "3G", "CJP", 1],
        [520, "G-212", "fillet lap", "5083", "10", "1/8", "2F", "1/8", 2],
        [527, "G-212", "fillet lap", "5083", "1/8", "1/8", "horiz.", "1/8", "two"],
        [501, "G-204", "fillet", "6061", "1/4", "1/8", "1Q", date(2026, 4, 1), 1],
        [None, "G-204", "V butt", "6061", "3/8", "3/8", "2F", "3/8", 1],
    ]
    for row in rows:
        sheet.append(row)
    for cells in sheet.iter_rows(min_row=5, max_col=1):
        cells[0].number_format = "0000"
    stored = io.BytesIO()
    book.save(stored)
    return stored.getvalue()


def bring(client: Client, to: Job, content: bytes, name: str = "list.xlsx", **more: str) -> Any:
    file = SimpleUploadedFile(name, content, XLSX)
    data = {"target": "welds", "units": "us", "file": file, **more}
    return client.post(reverse("import_start", args=[to.pk]), data, follow=True)


def do_import(client: Client, answer: Any) -> Any:
    listed = WeldImport.objects.get()
    data = {"do": "import", "token": answer.context["look"].token}
    return client.post(listed.get_absolute_url(), data, follow=True)


def as_csv(*rows: str) -> bytes:
    return "\n".join(rows).encode()


def test_every_slip_of_a_messy_list_is_named_by_its_cell(author_client: Client, shop: object) -> None:
    made = job()
    answer = bring(author_client, made, messy())
    look = answer.context["look"]
    assert answer.context["listed"].columns == [
        "mark", "drawing", "joint", "metal", "thickness_a", "thickness_b", "position", "size", "quantity", "",
    ]  # fmt: skip
    assert [problem.place for problem in look.problems] == [
        "D9",
        "E10",
        "I11",
        "A12",
        "G12",
        "H12",
        "A13",
        "G13",
    ]
    words = {problem.place: problem.words for problem in look.problems}
    assert "not in the catalogue" in words["D9"]
    assert "Write 10 in or 10 mm" in words["E10"]
    assert "whole number" in words["I11"]
    assert "also in row 5" in words["A12"]
    assert "holds the date 2026-04-01" in words["H12"]
    assert "1G to 6G" in words["G12"]
    assert "Mark is empty" in words["A13"]
    assert "position of a fillet" in words["G13"]
    assertContains(answer, "nothing is saved yet")
    assertNotContains(answer, "Import 7 rows")
    refused = author_client.post(
        answer.context["listed"].get_absolute_url(), {"do": "import", "token": look.token}
    )
    assert refused.status_code == 422
    assert not made.parts.exists()

    file = author_client.get(reverse("failed_rows", args=[made.pk, answer.context["listed"].pk]))
    failed = list(load_workbook(io.BytesIO(file.content)).active.values)
    assert [row[0] for row in failed[1:]] == ["9", "10", "11", "12", "13"]
    assert "D9:" in failed[1][-1]


def test_a_list_is_read_as_the_forms_read_it(author_client: Client, shop: object) -> None:
    made = job()
    rows = (
        ",".join(HEADS),
        '0501,G-211,fillet tee,6061-T6,"1/4""",6 mm,2F/3F,1/4,4',
        "0502,G-211,V butt,6061 to 5083,1 1/2,3/4,3G up,CJP,1",
    )
    done = do_import(author_client, bring(author_client, made, as_csv(*rows), "list.csv"))
    assertContains(done, "2 added, 0 changed")
    first, second = made.parts.order_by("mark")
    assert (first.mark, first.drawing, first.quantity) == ("0501", "G-211", 4)
    assert first.joint == {
        "weld_type": ["fillet"], "joint_form": "tee", "base_metal_a": "6061-T6", "base_metal_b": "same",
        "thickness_a": '1/4"', "thickness_b": "6 mm", "position": ["horizontal", "vertical"],
        "fillet_size": "1/4",
    }  # fmt: skip
    assert second.joint["base_metal_b"] == "5083"
    assert (second.joint["penetration"], second.joint["position"]) == ("complete", ["vertical"])
    assert second.lines == [{"progression": ["up"]}]
    assert AuditEntry.objects.filter(record_kind="part", verb="create").count() == 2
    assert check_trail().first_break is None


def test_numbers_of_a_list_in_mm_stay_mm_in_a_weld_kept_in_inches(
    author_client: Client, shop: object
) -> None:
    made = job()
    part(made, "A1")
    rows = ("Mark,t1,t2", "A1,8,10 mm")
    do_import(author_client, bring(author_client, made, as_csv(*rows), "list.csv", units="si"))
    assert {k: made.parts.get().joint[k] for k in ("thickness_a", "thickness_b")} == {
        "thickness_a": "8 mm",
        "thickness_b": "10 mm",
    }


def test_an_import_again_updates_by_mark_and_says_so_first(author_client: Client, shop: object) -> None:
    made = job()
    part(made, "0412", joint={"thickness_a": "1/4"})
    part(made, "0413")
    rows = ("Mark,Thk 1,Drawing", "0412,5/16,G-204", "0413,,", "0414,1/4,G-204")
    answer = bring(author_client, made, as_csv(*rows), "list.csv")
    look = answer.context["look"]
    assert [row.read.mark for row in look.changed] == ["0412"]
    assert [row.read.mark for row in look.added] == ["0414"]
    assert look.unchanged == 1
    assertContains(answer, "thickness of side A: 1/4 to 5/16")
    made.parts.filter(mark="0412").update(drawing="G-999")
    refused = author_client.post(
        answer.context["listed"].get_absolute_url(), {"do": "import", "token": look.token}
    )
    assertContains(refused, "changed since", status_code=422)
    do_import(author_client, bring(author_client, made, as_csv(*rows), "list.csv"))
    changed = made.parts.get(mark="0412")
    assert (changed.joint["thickness_a"], changed.drawing) == ("5/16", "G-204")
    assert changed.joint["base_metal_a"] == "6061"
    assert made.parts.get(mark="0413").joint["thickness_a"] == "1/4"


def test_columns_matched_once_are_remembered(author_client: Client, shop: object) -> None:
    made = job()
    rows = ("Strange,Thicker one", "0412,1/4")
    answer = bring(author_client, made, as_csv(*rows), "list.csv")
    assertContains(answer, "Match the column that holds the mark")
    listed = answer.context["listed"]
    twice = {"do": "match", "units": "us", "column-0": "mark", "column-1": "mark"}
    assertContains(author_client.post(listed.get_absolute_url(), twice), "Two columns", status_code=422)
    author_client.post(listed.get_absolute_url(), {**twice, "column-1": "thickness"})
    again = bring(author_client, made, as_csv(*rows), "list.csv")
    assert again.context["listed"].columns == ["mark", "thickness"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1old", "old kind"),
        (b"PK\x03\x04broken", "cannot be opened"),
        (b"Mark,t1\n", "No rows stand below"),
        (b"\x00\x01\x02", "neither a CSV file nor an XLSX"),
    ],
)
def test_a_file_that_is_no_list_is_refused_in_words(
    author_client: Client, shop: object, content: bytes, said: str
) -> None:
    assertContains(bring(author_client, job(), content), said, status_code=422)


def test_a_procedure_outside_coverage_needs_a_reason_in_a_list_too(
    author_client: Client, author: User, shop: object
) -> None:
    spec(author, procedure_test(author), state="approved")
    made = job()
    part(made, "A", joint={"thickness_a": "2", "thickness_b": "2"})
    part(made, "B")
    answer = bring(author_client, made, as_csv("Mark,WPS", "A,W-101", "B,W-101"), "list.csv")
    assert [problem.place for problem in answer.context["look"].problems] == ["B2"]
    rows = as_csv("Mark,WPS,Reason", "A,W-101,Engineer agreed on 3 March", "B,W-101,")
    do_import(author_client, bring(author_client, made, rows, "list.csv"))
    kept = made.parts.get(mark="A")
    assert kept.spec_number == "W-101"
    assert kept.despite["spec"]["reason"] == "Engineer agreed on 3 March"
    assert made.parts.get(mark="B").despite == {}


def test_welds_follow_their_detail_but_for_their_own(author_client: Client, shop: object) -> None:
    made = job()
    for mark, thickness in (("A", "1/4"), ("B", "1/4"), ("C", "3/8")):
        part(made, mark, joint={"thickness_a": thickness})
    author_client.post(reverse("details_make", args=[made.pk]))
    assert Detail.objects.count() == 2
    shared = made.parts.get(mark="A").detail
    assert shared == made.parts.get(mark="B").detail != made.parts.get(mark="C").detail

    type_in(author_client, made, made.parts.get(mark="B"), size="1/8")
    answer = author_client.get(reverse("weld_list", args=[made.pk]))
    origins = {(row.part.mark, cell.key): cell.origin for row in answer.context["rows"] for cell in row.cells}
    assert origins["B", "size"] == "own"
    assert origins["B", "thickness_a"] == origins["A", "size"] == "detail"

    shown = author_client.get(shared.get_absolute_url())
    data = {name: value for name, value in _posted(shown).items() if value not in (None, "")}
    data |= {"joint-thickness_a": "5/16", "do": "save"}
    author_client.post(shared.get_absolute_url(), data)
    a, b = made.parts.get(mark="A"), made.parts.get(mark="B")
    assert (a.joint["thickness_a"], b.joint["thickness_a"]) == ("5/16", "5/16")
    assert (a.lines[0]["deposit_thickness"], b.lines[0]["deposit_thickness"]) == ("1/4", "1/8")
    assert made.parts.get(mark="C").joint["thickness_a"] == "3/8"

    type_in(author_client, made, b, size="")
    assert made.parts.get(mark="B").lines[0]["deposit_thickness"] == "1/4"
    author_client.post(reverse("detail_remove", args=[made.pk, shared.pk]))
    kept = made.parts.get(mark="A")
    assert kept.detail is None
    assert kept.joint["thickness_a"] == "5/16"


def _posted(answer: Any) -> dict[str, Any]:
    forms, found = answer.context["forms"], {}
    for form in (answer.context["head"], forms.joint_form, *(line.form for line in forms.lines)):
        found |= {form.add_prefix(name): form[name].value() for name in form.fields}
    return {**found, "line_count": len(forms.lines), "version": answer.context["desk"].version}


def test_many_welds_take_their_facts_from_a_detail(author_client: Client, shop: object) -> None:
    made = job()
    detail = Detail.objects.create(
        job=made, number="D-12", joint={"weld_type": ["fillet"], "thickness_a": "1/4"}
    )
    rows = ["Mark,Detail,t1", *(f"{n:04d},d-12,{'3/8' if n == 7 else ''}" for n in range(1, 201))]
    do_import(author_client, bring(author_client, made, as_csv(*rows), "list.csv"))
    assert detail.welds.count() == 200
    assert made.parts.get(mark="0007").joint == {"weld_type": ["fillet"], "thickness_a": "3/8"}
    assert made.parts.get(mark="0008").joint == detail.joint


def type_in(client: Client, to: Job, weld: Part | None, **cells: str) -> dict[str, Any]:
    rows = [{"row": "r0", "pk": weld.pk if weld else None, "cells": cells}]
    body = json.dumps({"rows": rows, "units": "us"})
    answer = client.post(reverse("weld_cells", args=[to.pk]), body, "application/json")
    assert answer.status_code == 200
    return answer.json()["rows"][0]


def test_a_cell_that_cannot_be_read_stays_and_the_rest_is_stored(author_client: Client, shop: object) -> None:
    made = job()
    weld = part(made, "A")
    answer = type_in(author_client, made, weld, position="1Q", thickness_a="3/8", quantity="0")
    assert set(answer["problems"]) == {"position", "quantity"}
    weld.refresh_from_db()
    assert (weld.joint["thickness_a"], weld.joint["position"]) == ("3/8", "vertical")
    assert "mark" in type_in(author_client, made, None, thickness_a="3/8")["problems"]
    assert "taken" in type_in(author_client, made, None, mark="a")["problems"]["mark"]
    new = type_in(author_client, made, None, mark="B", joint="fillet tee", metal="6061", position="2F")
    assert new["problems"] == {}
    assert made.parts.get(mark="B").joint["weld_type"] == ["fillet"]
    assert AuditEntry.objects.filter(record_kind="part", verb__in=("create", "change")).count() == 2


def test_what_a_cell_shows_reads_back_as_what_is_stored(author_client: Client, shop: object) -> None:
    made = job()
    weld = part(
        made, "A", joint={"joint_form": "butt", "groove_type": "double_v", "position": ["flat", "vertical"]}
    )
    before = (weld.joint, weld.lines)
    cells = {
        key: text_of(weld, key) for key in ("joint", "metal", "thickness_a", "position", "size", "backing")
    }
    assert cells["joint"] == "Double V butt"
    assert cells["position"] == "Flat/Vertical"
    assert type_in(author_client, made, weld, **cells)["problems"] == {}
    weld.refresh_from_db()
    assert {**weld.joint, "weld_type": "groove"} == before[0]
    assert {**weld.lines[0], "backing": "none"} == before[1][0]


@pytest.mark.parametrize(
    "body",
    [
        "",
        "[]",
        '{"rows": [1]}',
        '{"rows": [{"row": "a", "cells": {"pk": "1"}}]}',
        '{"rows": [{"row": "a", "cells": {"mark": "\\ud800"}}]}',
    ],
)
def test_cells_that_arrive_broken_are_refused(author_client: Client, shop: object, body: str) -> None:
    answer = author_client.post(reverse("weld_cells", args=[job().pk]), body, "application/json")
    assert answer.status_code == 400


@pytest.mark.parametrize("entries", [{}, {"part": "0001-01-01"}])
def test_a_form_sent_in_place_of_cells_is_refused(
    author_client: Client, shop: object, entries: dict[str, str]
) -> None:
    answer = author_client.post(reverse("weld_cells", args=[job().pk]), entries)
    assert (answer.status_code, list(answer.json())) == (400, ["problem"])


def test_a_reader_sees_the_list_and_changes_nothing(reader_client: Client, shop: object) -> None:
    made = job()
    part(made, "A")
    assertContains(reader_client.get(reverse("weld_list", args=[made.pk])), "Deck plate")
    for name in ("import_start", "details_make", "weld_cells"):
        assert reader_client.post(reverse(name, args=[made.pk])).status_code == 403
    file = reader_client.get(reverse("weld_list_file", args=[made.pk]))
    assert next(load_workbook(io.BytesIO(file.content)).active.values)[0] == "Weld mark"


def test_details_come_in_as_a_list_and_take_their_welds_along(author_client: Client, shop: object) -> None:
    made = job()
    rows = (
        "Detail,Type,Mat'l,Thickness,Pos,Size",
        "D-12,fillet tee,6061,1/4,2F/3F,1/4",
        "D-13,V butt,6061,3/8,1G,CJP",
    )
    do_import(author_client, bring(author_client, made, as_csv(*rows), "d.csv", target="details"))
    assert [each.number for each in made.details.order_by("number")] == ["D-12", "D-13"]
    do_import(author_client, bring(author_client, made, as_csv("Mark,Detail", "A,D-12"), "w.csv"))
    again = as_csv("Detail,Thickness", "d-12,5/16")
    answer = bring(author_client, made, again, "d.csv", target="details")
    assertContains(answer, "thickness of side A: 1/4 to 5/16")
    do_import(author_client, answer)
    assert made.parts.get().joint["thickness_a"] == "5/16"
    assert made.parts.get().joint["position"] == ["horizontal", "vertical"]


@pytest.mark.parametrize(
    ("key", "text", "entry"),
    [
        ("process", "GMAW, gas-shielded wire", "GMAW"),
        ("process", "gmaw", "GMAW"),
        ("backing", "Metal; both_sides", ["metal", "both_sides"]),
        ("operation", "semi", "semiautomatic"),
    ],
)
def test_a_choice_is_read_by_key_label_or_beginning(key: str, text: str, entry: object) -> None:
    assert said_by(key, text, "us", "us").line[key] == entry


@pytest.mark.parametrize(
    ("key", "text"),
    [("joint", "banana"), ("joint", "fillet bevel"), ("quantity", "0"), ("quantity", "²"), ("length", "long"),
     ("position", "6F"), ("position", "2F/3G"), ("backing", "wood"), ("mark", "m" * 41)],
)  # fmt: skip
def test_a_cell_that_says_nothing_known_is_refused_in_words(key: str, text: str) -> None:
    with pytest.raises(EntryError):
        said_by(key, text, "us", "us")


@pytest.mark.parametrize(
    ("text", "stops"), [("10", True), ("10 mm", False), ("10 in", False), ("2 3/4", False)]
)
def test_a_number_far_larger_than_its_column_asks_for_its_unit(
    author_client: Client, shop: object, text: str, stops: bool
) -> None:
    rows = as_csv("Mark,t1", "A,1/4", "B,1/8", "C,.25", "D,3/8", f"E,{text}")
    problems = bring(author_client, job(), rows, "list.csv").context["look"].problems
    assert [problem.place for problem in problems] == (["B6"] if stops else [])
