"""Starting a procedure test and entering what was welded."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import ProcedureTest, Shop, State
from qualification.records.approving import obstacles_to_approval
from qualification.records.audit import events_of
from tests.pages.posts import edit_post
from tests.shop_records import COUPON_JOINT, COUPON_LINE, EDITION, procedure_test, welder

START = {"number": "PT-020", "title": "Deck plank", "edition": EDITION, "units": "us"}


@pytest.fixture
def draft(author: User) -> ProcedureTest:
    return procedure_test(author, state=State.DRAFT, welded_on=timezone.localdate() - timedelta(days=9))


def url(record: ProcedureTest, page: str = "edit") -> str:
    return reverse(f"procedure_test_{page}", args=[record.pk])


def test_a_test_starts_as_a_draft_with_the_next_number_and_the_shops_units(
    author_client: Client, author: User, shop: Shop
) -> None:
    shop.unit_order = "metric_first"
    shop.save()
    procedure_test(author, "PT-019", State.DRAFT)
    answer = author_client.get(reverse("procedure_test_add"))
    assertContains(answer, 'value="PT-020"')
    assertContains(answer, '<option value="si" selected>')
    answer = author_client.post(reverse("procedure_test_add"), START)
    made = ProcedureTest.objects.get(number="PT-020")
    assertRedirects(answer, url(made))
    assert (made.state, made.revision, made.author_name, made.joint, made.results) == (
        State.DRAFT,
        0,
        "Maren Oosting",
        {},
        [],
    )
    assert [event.verb for event in events_of(made)] == ["create"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"number": " "}, "Enter the record&#x27;s number."),
        (
            {"number": "pt-014"},
            "Number pt-014 is taken by PT-014 rev 0. Choose another, or revise that record.",
        ),
        ({"number": "P" * 41}, "Number is 41 characters long. Shorten it to 40 or fewer."),
        ({"edition": "ex1_1999"}, "Code edition has no “ex1_1999”. Choose one of those listed."),
        ({"units": ""}, "Choose the units of the record."),
        ({"title": "x" * 121}, "Title is 121 characters long. Shorten it to 120 or fewer."),
    ],
)
def test_a_start_that_cannot_be_made_says_why_and_keeps_the_rest(
    change: dict[str, str], sentence: str, author_client: Client, author: User
) -> None:
    procedure_test(author, state=State.DRAFT)
    answer = author_client.post(reverse("procedure_test_add"), {**START, **change})
    assertContains(answer, sentence, count=2)
    assertContains(answer, {**START, **change}["title"])
    assert ProcedureTest.objects.count() == 1


def test_what_was_welded_is_kept_as_typed(author_client: Client, draft: ProcedureTest) -> None:
    changes = {"thickness_a": "6,35 mm"}
    answer = author_client.post(
        url(draft),
        edit_post(draft, changes, {"amps": "155 - 160"}, spec_followed="W-101 rev 2", witness="R. Halloran"),
        follow=True,
    )
    assertContains(answer, "PT-014 rev 0 is saved.")
    draft.refresh_from_db()
    assert (draft.joint, draft.lines) == ({**COUPON_JOINT, **changes}, [{**COUPON_LINE, "amps": "155 - 160"}])
    assert (draft.spec_followed, draft.witness) == ("W-101 rev 2", "R. Halloran")
    event = events_of(draft)[0]
    assert event.verb == "change"
    assert event.data["detail"] == "WPS followed and its revision, witness, current, thickness of side A"


def test_saving_can_lead_on_to_the_results(author_client: Client, draft: ProcedureTest) -> None:
    assertRedirects(author_client.post(url(draft), edit_post(draft, do="results")), url(draft, "results"))


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        (
            {"welded_on": "FUTURE"},
            "Welding completed on: FUTURE lies in the future. Enter a day up to today, TODAY.",
        ),
        (
            {"welded_on": "1949-12-31"},
            "Welding completed on: 1949-12-31 is before 1950-01-01. Check the year.",
        ),
        (
            {"welded_on": "31.11.2025"},
            "Welding completed on: “31.11.2025” is not a day. Write year, month and day, such as TODAY.",
        ),
        ({"welder": "999"}, "Welder is not one of those listed. Choose one, or add the welder first."),
        ({"units": "cubits"}, "Units of bare numbers has no “cubits”. Choose one of those listed."),
        ({"report_number": "R" * 61}, "Report number is 61 characters long. Shorten it to 60 or fewer."),
    ],
)
def test_a_wrong_head_is_said_at_its_field_and_nothing_typed_is_lost(
    head: dict[str, str], sentence: str, author_client: Client, draft: ProcedureTest
) -> None:
    today = timezone.localdate()
    days = {"FUTURE": f"{today + timedelta(days=1)}", "TODAY": f"{today}"}
    for word, day in days.items():
        head = {key: text.replace(word, day) for key, text in head.items()}
        sentence = sentence.replace(word, day)
    answer = author_client.post(url(draft), edit_post(draft, {"root_face": "3/32"}, {"amps": "151"}, **head))
    assertContains(answer, sentence, count=2, status_code=422)
    assertContains(answer, 'value="3/32"', status_code=422)
    assertContains(answer, 'value="151"', status_code=422)
    draft.refresh_from_db()
    assert draft.joint["root_face"] == "1/16"


@pytest.mark.parametrize(
    ("joint", "line", "sentence"),
    [
        (
            {"thickness_a": "thick"},
            {},
            "“thick” could not be read as a number with a unit. Write it like 1/8 in.",
        ),
        ({"thickness_a": "-1/4"}, {}, "“-1/4” is below zero; write a number above zero."),
        ({"thickness_a": "0"}, {}, "“0” is zero. Enter a number above zero, or n/a if it does not apply."),
        (
            {"thickness_a": "1/4 lbf"},
            {},
            "“lbf” is not a unit this field takes. Use one of: in, mm, cm, m, ft.",
        ),
        ({}, {"amps": "165-150"}, "The range “165-150” runs downwards; write the smaller number first."),
        (
            {},
            {"deposit_thickness": "1/2"},
            "the deposits add up to 1/2 in, more than the joint&#x27;s 1/4 in.",
        ),
        ({"base_metal_a": "6016"}, {}, "“6016” is not in the catalogue."),
        ({"interpass_max": "40 °F"}, {}, "it is below the lowest preheat (60 °F)."),
    ],
)
def test_an_entry_that_cannot_be_is_pointed_at_kept_and_refused_at_approval(
    joint: dict[str, str], line: dict[str, str], sentence: str, author_client: Client, draft: ProcedureTest
) -> None:
    answer = author_client.post(url(draft), edit_post(draft, joint, line), follow=True)
    assertContains(answer, sentence)
    assertContains(answer, "Needs a look")
    draft.refresh_from_db()
    stored = {**draft.joint, **draft.lines[0]}
    assert {key: stored[key] for key in {**joint, **line}} == {**joint, **line}
    assert any(sentence.replace("&#x27;", "'") in obstacle for obstacle in obstacles_to_approval(draft))
    assertContains(author_client.get(draft.get_absolute_url()), "This record qualifies nothing")


def test_a_line_is_added_and_removed_without_saving(author_client: Client, draft: ProcedureTest) -> None:
    answer = author_client.post(url(draft), edit_post(draft, {"root_face": "3/32"}, lines="add:GTAW"))
    assertContains(answer, "Process 2: GTAW, tungsten arc")
    assertContains(answer, 'value="3/32"')
    answer = author_client.post(url(draft), edit_post(draft, lines="remove:0"))
    assertNotContains(answer, "Process 1:")
    draft.refresh_from_db()
    assert draft.lines == [COUPON_LINE]


def test_a_line_like_this_one_takes_its_set_up_and_not_its_deposit(
    author_client: Client, draft: ProcedureTest
) -> None:
    sent = edit_post(draft, line={"deposit_thickness": "1/4", "volts": "24.5"}, lines="copy:0")
    first, second = author_client.post(url(draft), sent).context["forms"].line_entries
    assert (second["process"], second["volts"]) == (first["process"], "24.5")
    assert (first["deposit_thickness"], "deposit_thickness" in second) == ("1/4", False)


def test_side_a_is_copied_to_side_b_but_for_the_heat_of_the_piece(
    author_client: Client, draft: ProcedureTest
) -> None:
    typed = {"base_metal_a": "5083", "temper_a": "H116", "base_metal_b": "", "heat_number_a": "H-77"}
    answer = author_client.post(url(draft), edit_post(draft, typed, lines="side:b"))
    entries = answer.context["forms"].joint_entries
    assert (entries["base_metal_b"], entries["temper_b"]) == ("5083", "H116")
    assert "heat_number_b" not in entries
    draft.refresh_from_db()
    assert draft.joint["base_metal_a"] != "5083"


def test_the_check_reads_what_is_typed_and_lists_the_tests_it_will_need(
    author_client: Client, draft: ProcedureTest
) -> None:
    sent = edit_post(draft, {"thickness_a": "1 in"}, {"deposit_thickness": "1", "amps": "lots"})
    answer = author_client.post(url(draft, "check"), sent)
    assertContains(answer, "4 side bends, specimen 1/8 in thick, former 2 1/16 in")
    assertContains(answer, "QW-451.1")
    assertContains(answer, "“lots” could not be read")
    assertContains(answer, 'hx-swap-oob="true"')
    draft.refresh_from_db()
    assert draft.joint["thickness_a"] == "1/4"


def test_someone_elses_save_is_never_written_over(author_client: Client, draft: ProcedureTest) -> None:
    mine = edit_post(draft, {"root_face": "3/32"})
    author_client.post(url(draft), edit_post(draft, witness="R. Halloran"))
    answer = author_client.post(url(draft), mine)
    assertContains(answer, "saved this draft at", status_code=409)
    assertContains(answer, 'value="3/32"', status_code=409)
    draft.refresh_from_db()
    assert (draft.joint["root_face"], draft.witness) == ("1/16", "R. Halloran")


def test_a_revision_that_is_no_draft_leads_to_its_page(author_client: Client, author: User) -> None:
    record = procedure_test(author)
    for page in ("edit", "results"):
        answer = author_client.get(url(record, page), follow=True)
        assertContains(
            answer, "PT-014 rev 0 is approved and cannot be edited. Start a new revision to change it."
        )


def test_a_later_revision_says_what_it_changes(author_client: Client, author: User) -> None:
    draft = procedure_test(author, state=State.DRAFT, revision=1, change_note="Report number corrected.")
    assertContains(author_client.get(url(draft)), 'value="Report number corrected."')
    answer = author_client.post(url(draft), edit_post(draft, change_note=""))
    assertContains(answer, "Say in one sentence what this revision changes.", count=2, status_code=422)


def test_a_welder_who_left_is_offered_only_where_the_record_names_that_welder(
    author_client: Client, draft: ProcedureTest
) -> None:
    gone = welder("BD", "Bo Delacroix")
    gone.active = False
    gone.save()
    assertNotContains(author_client.get(url(draft)), "Bo Delacroix")
    draft.welder = gone
    draft.save()
    assertContains(author_client.get(url(draft)), "Bo Delacroix (BD)")


def test_a_coupon_like_another_takes_over_its_set_up_and_no_reading(
    author_client: Client, author: User
) -> None:
    pattern = procedure_test(author, line={"filler_lot": "L-7"}, passes=[{"pass": "1", "amps": "150"}])
    sent = {
        "number": "PT-040",
        "title": "Again",
        "edition": pattern.edition,
        "units": "us",
        "like": pattern.pk,
    }
    author_client.post(reverse("procedure_test_add"), sent)
    made = ProcedureTest.objects.get(number="PT-040")
    assert made.joint["thickness_a"] == pattern.joint["thickness_a"]
    assert made.lines[0]["shielding_gas"] == pattern.lines[0]["shielding_gas"]
    read = {"amps", "volts", "wire_feed", "travel_speed", "filler_lot", "preheat_min", "interpass_max"}
    assert read & {*pattern.joint, *pattern.lines[0]} == read
    assert not read & {*made.joint, *made.lines[0]}
    assert (made.passes, made.results, made.report_number) == ([], [], "")
