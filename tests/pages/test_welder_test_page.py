"""Welder tests: starting one from a welder, its page, and questioning the ability it shows."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import State, WelderTest
from qualification.records.audit import events_of
from tests.pages.posts import edit_post, results_post
from tests.shop_records import BEND, EDITION, RESULTS, approve, procedure_test, welder, welder_test

START = {"number": "WT-040", "title": "Vertical plate", "edition": EDITION, "units": "us"}


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


def test_a_test_is_started_from_a_welder(author_client: Client, author: User) -> None:
    who = welder()
    page = author_client.get(reverse("welder_test_add"), {"welder": who.pk})
    assertContains(page, f'<option value="{who.pk}" selected>Anouk Berglund (AB)</option>')
    assertContains(page, 'value="WT-001"')
    author_client.post(reverse("welder_test_add"), {**START, "welder": who.pk})
    made = WelderTest.objects.get()
    assert (made.welder, made.number, made.state) == (who, "WT-040", State.DRAFT)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"welder": ""}, "Choose the welder who welded the coupon."),
        ({"welder": "99"}, "Welder is not one of those listed. Choose one, or add the welder first."),
        ({"number": ""}, "Enter the record&#x27;s number."),
    ],
)
def test_a_start_without_welder_or_number_says_so(
    change: dict[str, str], sentence: str, author_client: Client, db: None
) -> None:
    answer = author_client.post(reverse("welder_test_add"), {**START, "welder": str(welder().pk), **change})
    assertContains(answer, sentence, count=2)
    assertContains(answer, "Vertical plate")
    assert not WelderTest.objects.exists()


def test_a_coupon_like_another_takes_over_what_was_welded_and_no_result(
    author_client: Client, author: User
) -> None:
    pattern = welder_test(author, welder(), spec_followed="AL-01 rev 0")
    page = author_client.get(reverse("welder_test", args=[pattern.pk]))
    assertContains(page, f"?like={pattern.pk}")
    page = author_client.get(reverse("welder_test_add"), {"like": pattern.pk})
    assertContains(page, f'<option value="{pattern.pk}" selected>')
    assertContains(page, 'value="Gangway deck coupon"')
    other = welder("CD", "Cato Duin")
    author_client.post(reverse("welder_test_add"), {**START, "welder": other.pk, "like": pattern.pk})
    made = WelderTest.objects.get(number="WT-040")
    assert made.spec_followed == "AL-01 rev 0"
    assert made.joint["thickness_a"] == pattern.joint["thickness_a"]
    assert made.lines[0]["filler_classification"] == pattern.lines[0]["filler_classification"]
    # What was read on one coupon is no actual of the next.
    left = {"preheat_min", "interpass_max", "amps", "volts", "wire_feed", "travel_speed"}
    assert not left & {*made.joint, *made.lines[0]}
    assert (made.welder, made.state, made.results, made.welded_on, made.report_number) == (
        other,
        State.DRAFT,
        [],
        None,
        "",
    )


def test_a_coupon_like_another_keeps_its_units(author_client: Client, author: User) -> None:
    """A bare 1/4 would otherwise turn from inches into millimetres."""
    pattern = welder_test(author, welder())
    answer = author_client.post(
        reverse("welder_test_add"), {**START, "units": "si", "welder": welder().pk, "like": pattern.pk}
    )
    assertContains(answer, "is kept in Inch", count=2)
    assert WelderTest.objects.count() == 1


def test_only_the_newest_revision_is_offered_as_a_pattern(author_client: Client, author: User) -> None:
    old = welder_test(author, welder(), state=State.SUPERSEDED)
    new = welder_test(author, welder(), revision=1)
    page = author_client.get(reverse("welder_test_add"), {"like": old.pk})
    assertContains(page, str(new))
    assertNotContains(page, str(old))


def test_a_test_is_entered_from_coupon_to_range(
    author_client: Client, approver_client: Client, author: User
) -> None:
    draft = welder_test(author, welder(), state=State.DRAFT, results=[], welded_on=None)
    edit = reverse("welder_test_edit", args=[draft.pk])
    author_client.post(edit, edit_post(draft, welded_on="2031-03-04"))
    draft.refresh_from_db()
    results = reverse("welder_test_results", args=[draft.pk])
    asked = [row.kind.value for row in author_client.get(results).context["forms"].rows]
    assert asked == ["visual", "face_bend", "root_bend"]  # QW-302.4, QW-452.1(a): P452
    rows = [
        {
            "kind": "visual",
            "specimen": "VT1",
            "cracks": "no",
            "complete_fusion": "yes",
            "complete_penetration": "yes",
        },
        {"kind": "face_bend", "specimen": "FB1", **BEND},
        {"kind": "root_bend", "specimen": "RB1", **BEND},
    ]
    assertRedirects(author_client.post(results, results_post(draft, rows)), draft.get_absolute_url())
    draft.refresh_from_db()
    approve(draft, author, approver := User.objects.get(username="tobias"))
    assert approver.username == "tobias"
    page = approver_client.get(draft.get_absolute_url())
    rows_shown = {row["variable"]: row["qualified"] for part in page.context["ranges"] for row in part.shown}
    assert rows_shown["f_number"] == "F-21 to F-26"  # QW-433: VW
    assertContains(page, "Holds until 2031-09-04")
    assertContains(page, "QW-322.1(a)")


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        ({"welder": ""}, "Choose the welder who welded the coupon."),
        (
            {"welded_on": "2031-06-11"},
            "Welding completed on: 2031-06-11 lies in the future. Enter a day up to today, 2031-06-10.",
        ),
    ],
)
def test_a_wrong_head_is_said_and_nothing_typed_is_lost(
    head: dict[str, str], sentence: str, author_client: Client, author: User
) -> None:
    draft = welder_test(author, welder(), state=State.DRAFT)
    answer = author_client.post(
        reverse("welder_test_edit", args=[draft.pk]), edit_post(draft, {"thickness_a": "5/16"}, **head)
    )
    assertContains(answer, sentence, count=2, status_code=422)
    assertContains(answer, 'value="5/16"', status_code=422)


def test_a_coupon_in_two_positions_asks_for_specimens_of_each(author_client: Client, author: User) -> None:
    draft = welder_test(
        author, welder(), state=State.DRAFT, results=[], joint={"test_position": ["3G", "4G"]}
    )
    answer = author_client.get(reverse("welder_test_results", args=[draft.pk]))
    found = [(row.kind.value, row.entry["position"]) for row in answer.context["forms"].rows]
    assert sorted(found) == sorted(
        (kind, position) for position in ("3G", "4G") for kind in ("visual", "face_bend", "root_bend")
    )
    assertContains(answer, "position 4G")


def test_the_check_lists_a_welders_tests(author_client: Client, author: User) -> None:
    draft = welder_test(author, welder(), state=State.DRAFT)
    answer = author_client.post(
        reverse("welder_test_check", args=[draft.pk]),
        edit_post(draft, {"thickness_a": "1/2"}, {"deposit_thickness": "1/2"}),
    )
    assertContains(answer, "QW-452.1(a)")


def test_the_list_names_welder_result_and_questions(reader_client: Client, author: User) -> None:
    test = welder_test(author, welder())
    WelderTest.objects.filter(pk=test.pk).update(
        questioned_on=date(2031, 5, 1), questioned_because="Two failed radiographs"
    )
    answer = reader_client.get(reverse("welder_test_list"))
    assertContains(answer, "Anouk Berglund (AB)")
    assertContains(answer, "Questioned since 2031-05-01")
    assertContains(reader_client.get(reverse("welder_test_list"), {"q": "zeller"}), "No welder test fits.")


def test_an_ability_is_questioned_and_a_question_taken_back(
    approver_client: Client, reader_client: Client, author: User
) -> None:
    # A specific reason to question the ability revokes what the test supports: QW-322.1(b), WI2 in part.
    test = welder_test(author, welder())
    url = reverse("welder_test_question", args=[test.pk])
    assertContains(approver_client.get(test.get_absolute_url()), "Question the welder's ability")
    assertNotContains(reader_client.get(test.get_absolute_url()), url)
    reason = {"questioned_on": "2031-06-01", "reason": "Three failed bends on job J-3107"}
    answer = approver_client.post(url, reason, follow=True)
    assertContains(answer, "WT-021 rev 0 is questioned.")
    assertContains(answer, "Revoked on 1 June 2031: Three failed bends on job J-3107.")
    test.refresh_from_db()
    assert test.state == State.APPROVED
    answer = approver_client.post(url, {"reason": "The bends were another welder's"}, follow=True)
    assertContains(answer, "WT-021 rev 0 is no longer questioned.")
    assertContains(answer, "Holds until 2031-09-04")
    assert [(e.verb, e.data["reason"]) for e in events_of(test)[:2]] == [
        ("unquestion", "The bends were another welder's"),
        ("question", "Three failed bends on job J-3107"),
    ]


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (
            {"questioned_on": "2031-06-11", "reason": "Late"},
            "Questioned on: 2031-06-11 lies in the future. Enter a day up to today, 2031-06-10.",
        ),
        ({"questioned_on": "", "reason": "Late"}, "Enter the day since which the ability is questioned."),
        ({"questioned_on": "2031-06-01", "reason": " "}, "Write what gave reason to question this ability."),
    ],
)
def test_a_question_needs_a_day_and_a_reason(
    sent: dict[str, str], sentence: str, approver_client: Client, author: User
) -> None:
    test = welder_test(author, welder())
    assertContains(
        approver_client.post(reverse("welder_test_question", args=[test.pk]), sent), sentence, count=2
    )
    test.refresh_from_db()
    assert test.questioned_on is None


def test_a_draft_qualifies_nothing_that_could_be_questioned(approver_client: Client, author: User) -> None:
    test = welder_test(author, welder(), state=State.DRAFT)
    answer = approver_client.get(reverse("welder_test_question", args=[test.pk]), follow=True)
    assertContains(answer, "is not approved, so it qualifies nothing that could be questioned.")


def test_a_welders_page_lists_tests_with_their_ranges_in_short(reader_client: Client, author: User) -> None:
    who = welder()
    welder_test(author, who)
    procedure_test(author, results=[row for row in RESULTS if row["specimen"] != "T2"])
    page = reader_client.get(reverse("welder", args=[who.pk]))
    assertContains(page, "WT-021")
    assertContains(
        page,
        "Flat; Vertical (weld type: groove; product form: plate, sheet or profile), further limits apply",
    )  # QW-461.9: WQT8
    assertContains(page, "F-21 to F-26")
    assertContains(page, "Still missing: 1 tension test.")


def test_a_welders_page_folds_tests_that_lie_inside_another(reader_client: Client, author: User) -> None:
    """A thinner coupon qualifies less deposit (QW-452.1(b)); one that holds longer is not folded away."""
    who = welder()
    welder_test(author, who, number="WT-021")
    thin = {"joint": {"thickness_a": "1/8"}, "line": {"deposit_thickness": "1/8"}}
    welder_test(author, who, number="WT-022", **thin)
    welder_test(author, who, number="WT-023", **thin)
    welder_test(author, who, number="WT-024", state=State.DRAFT)
    page = reader_client.get(reverse("welder", args=[who.pk]))
    (held,) = page.context["held"]
    assert held.summary.record.number == "WT-021"
    assert [each.record.number for each in held.inside] == ["WT-022", "WT-023"]
    assertContains(page, "2 more tests: each lies inside one of these")
    assert (len(page.context["best"]), len(page.context["other_standings"])) == (1, 2)
    assert [row.record.number for row in page.context["tests"]] == ["WT-021", "WT-022", "WT-023", "WT-024"]


def test_a_test_that_holds_longer_is_not_folded_into_a_wider_one(reader_client: Client, author: User) -> None:
    who = welder()
    welder_test(author, who, number="WT-021", welded_on=date(2030, 1, 1))
    WelderTest.objects.update(questioned_on=date(2030, 2, 1), questioned_because="Porosity")
    thin = {"joint": {"thickness_a": "1/8"}, "line": {"deposit_thickness": "1/8"}}
    welder_test(author, who, number="WT-022", **thin)
    held = reader_client.get(reverse("welder", args=[who.pk])).context["held"]
    assert [each.summary.record.number for each in held] == ["WT-021", "WT-022"]


def test_who_welds_a_passing_procedure_coupon_is_qualified_by_it(reader_client: Client, author: User) -> None:
    # QW-301.2: UF, WI2.
    procedure_test(author)
    page = reader_client.get(reverse("welder", args=[welder().pk]))
    assert [(s.record.number, s.words) for s in page.context["standings"]] == [
        ("PT-014", "Holds until 2031-09-04")
    ]
