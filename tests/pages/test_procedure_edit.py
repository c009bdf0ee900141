"""Writing a procedure."""

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import Shop, State
from qualification.records.audit import events_of
from tests.shop_records import EDITION, SPEC_JOINT, SPEC_LINE, procedure_test, spec
from wps.models import Spec
from wps.procedures.procedure_desk import FEW_TESTS


def page_of(
    made: Spec | None, *tests: Any, line: dict | None = None, joint: dict | None = None, **head: str
) -> dict[str, Any]:
    """What the editor's page sends: head, chosen tests, entries."""
    data: dict[str, Any] = {
        "number": "W-200",
        "title": "Handrail",
        "customer": "",
        "edition": EDITION,
        "units": "us",
        "joint_note": "",
        "notes": "",
        **head,
        "tests": [str(test.pk) for test in tests],
        "version": made.updated_at.isoformat() if made else "",
        "line_count": "1",
    }
    for prefix, entries in (
        ("joint", {**SPEC_JOINT, **(joint or {})}),
        ("line-0", {**SPEC_LINE, **(line or {})}),
    ):
        data |= {f"{prefix}-{key}": entry for key, entry in entries.items()}
    return data


def test_a_new_procedure_starts_with_the_next_number_and_the_shops_settings(
    author_client: Client, author: User, shop: Shop
) -> None:
    shop.code_edition, shop.unit_order = EDITION, "metric_first"
    shop.save()
    spec(author, number="W-009")
    answer = author_client.get(reverse("procedure_new"))
    assertContains(answer, 'value="W-010"')
    assertContains(answer, '<option value="si" selected>')
    assertContains(answer, "Add the process")


def test_a_procedure_is_stored_as_typed(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    answer = author_client.post(reverse("procedure_new"), page_of(None, test))
    made = Spec.objects.get(number="W-200")
    assertRedirects(answer, reverse("procedure_edit", args=[made.pk]))
    assert (made.joint, made.lines, list(made.tests.all())) == (SPEC_JOINT, [SPEC_LINE], [test])
    assert (made.author, made.author_name, made.state, made.revision) == (
        author,
        "Maren Oosting",
        State.DRAFT,
        0,
    )
    assert [event.verb for event in events_of(made)] == ["create"]


def test_save_and_read_leads_to_the_page_to_read(author_client: Client, author: User) -> None:
    data = page_of(None)
    data["do"] = "close"
    answer = author_client.post(reverse("procedure_new"), data)
    assertRedirects(answer, Spec.objects.get().get_absolute_url())


def test_a_draft_is_saved_with_what_cannot_be_read_and_says_so(author_client: Client, author: User) -> None:
    answer = author_client.post(
        reverse("procedure_new"),
        page_of(
            None, line={"amps": "plenty", "volts": "0-"}, joint={"thickness_a": "-3", "thickness_b": "1/4"}
        ),
        follow=True,
    )
    assertContains(answer, "W-200 rev 0 is saved.")
    assertContains(answer, "3 entries need a look.")
    assertContains(answer, 'value="plenty"')
    assertContains(answer, "“plenty” could not be read as a number with a unit.")
    assertContains(answer, 'href="#id_line-0-amps"')
    assert Spec.objects.get().lines[0]["amps"] == "plenty"


def test_a_missing_number_keeps_the_draft_back_and_loses_nothing(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    answer = author_client.post(
        reverse("procedure_new"), page_of(None, test, number=" ", line={"amps": "111-133"})
    )
    assertContains(answer, "Enter the number of the procedure.", count=2, status_code=422)
    assertContains(answer, 'value="111-133"', status_code=422)
    assertContains(answer, f'name="tests" value="{test.pk}" checked', status_code=422)
    assert not Spec.objects.exists()


@pytest.mark.parametrize("typed", ["W-101", " w-101 "])
def test_a_number_that_is_taken_is_refused(typed: str, author_client: Client, author: User) -> None:
    spec(author)
    answer = author_client.post(reverse("procedure_new"), page_of(None, number=typed))
    assertContains(
        answer, "is taken by W-101 rev 0. Choose another, or start a revision of it.", status_code=422
    )


def test_a_long_title_and_a_made_up_edition_are_said(author_client: Client) -> None:
    answer = author_client.post(reverse("procedure_new"), page_of(None, title="x" * 121, edition="made_up"))
    assertContains(answer, "Title is 121 characters long. Shorten it to 120 or fewer.", status_code=422)
    assertContains(answer, "Code edition has no tables named made_up here.", status_code=422)


def test_a_test_that_is_not_offered_is_refused(author_client: Client, author: User) -> None:
    withdrawn = procedure_test(author, state=State.WITHDRAWN)
    answer = author_client.post(reverse("procedure_new"), page_of(None, withdrawn))
    assertContains(answer, "Supporting tests names one that is not offered.", status_code=422)


def test_tests_are_offered_with_a_line_that_tells_them_apart(author_client: Client, author: User) -> None:
    procedure_test(author)
    procedure_test(author, "PT-015", state=State.DRAFT)
    procedure_test(author, "PT-016", state=State.WITHDRAWN)
    answer = author_client.get(reverse("procedure_new"))
    assertContains(answer, "GMAW, Pulsed spray, ER5356; Groove, 6061, 1/4 in (6.35 mm), Plate, 3G", count=2)
    assertContains(answer, '<span class="choose__state">Draft</span>', count=1, html=True)
    assertNotContains(answer, "PT-016")


def test_of_many_tests_a_few_are_listed_and_words_find_the_others(
    author_client: Client, author: User
) -> None:
    """The limit: as many as are listed need no search; one more does, and chosen tests always stay."""
    made = [procedure_test(author, f"PT-{n:03}", title=f"Bracket {n}") for n in range(100, 100 + FEW_TESTS)]
    page = reverse("procedure_new")
    assertNotContains(author_client.get(page), "find-tests")
    first = procedure_test(author, "PT-500", title="Spring hanger")
    few = author_client.get(page)
    assert (len(few.context["desk"].offered), few.context["desk"].not_offered) == (FEW_TESTS, 1)
    data = page_of(None, first) | {"lines": "find_tests", "find_tests": "BRACKET 105"}
    found = author_client.post(page, data)
    assert [each.test for each in found.context["desk"].offered] == [made[5], first]
    assertContains(found, f'value="{first.pk}" checked')
    nothing = author_client.post(
        page, page_of(None) | {"lines": "find_tests", "find_tests": "bracket hanger"}
    )
    assertContains(nothing, "No test holds all of these words.")
    assert not Spec.objects.exists()


def test_a_test_named_before_stays_on_offer_after_it_was_withdrawn(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    test.state = State.WITHDRAWN
    test.save()
    assertContains(author_client.get(reverse("procedure_edit", args=[made.pk])), f'value="{test.pk}" checked')


def test_changing_a_draft_writes_down_what_changed(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    author_client.post(
        reverse("procedure_edit", args=[made.pk]),
        page_of(made, test, number="W-101", title="Gangway deck, pulsed", line={"amps": "100-150"}),
    )
    made.refresh_from_db()
    assert made.lines[0]["amps"] == "100-150"
    event = events_of(made)[0]
    assert (event.verb, event.data) == (
        "change",
        {"detail": "current", "changes": {"lines.0.amps": ["120-180", "100-150"]}},
    )


def test_a_process_is_added_without_saving_and_keeps_everything(author_client: Client, author: User) -> None:
    made = spec(author)
    data = page_of(made, number="", line={"amps": "half typed"})
    data["lines"] = "add:GTAW"
    answer = author_client.post(reverse("procedure_edit", args=[made.pk]), data)
    assertContains(answer, "Process 2: GTAW, tungsten arc")
    assertContains(answer, 'value="half typed"')
    assertNotContains(answer, "There is a problem")
    made.refresh_from_db()
    assert len(made.lines) == 1
    assert made.number == "W-101"


def test_what_someone_saved_meanwhile_is_not_overwritten_and_both_are_shown(
    author_client: Client, approver: User, author: User
) -> None:
    made = spec(author, procedure_test(author))
    mine = page_of(made, number="W-101", line={"amps": "100-150"})
    theirs = page_of(made, number="W-101", line={"amps": "90-110"}, title="Renamed")
    author_client.post(reverse("procedure_edit", args=[made.pk]), theirs)
    answer = author_client.post(reverse("procedure_edit", args=[made.pk]), mine)
    assertContains(answer, "Maren Oosting saved this draft at", status_code=409)
    assertContains(answer, "90 to 110 A", status_code=409)
    assertContains(answer, "100 to 150 A", status_code=409)
    assertContains(answer, "Renamed", status_code=409)
    assertContains(answer, 'value="100-150"', status_code=409)
    made.refresh_from_db()
    assert made.lines[0]["amps"] == "90-110"
    again = dict(mine)
    again["version"] = made.updated_at.isoformat()
    assert answer.context["desk"].version == again["version"]
    author_client.post(reverse("procedure_edit", args=[made.pk]), again)
    made.refresh_from_db()
    assert made.lines[0]["amps"] == "100-150"


def test_what_is_no_draft_is_not_edited(author_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.IN_REVIEW)
    url = reverse("procedure_edit", args=[made.pk])
    assertContains(author_client.get(url, follow=True), "W-101 rev 0 is in review and cannot be edited.")
    author_client.post(url, page_of(made, number="W-999"))
    made.refresh_from_db()
    assert made.number == "W-101"


def test_a_later_revision_keeps_its_number_and_says_what_it_changes(
    author_client: Client, author: User
) -> None:
    spec(author, state=State.SUPERSEDED)
    made = spec(author, revision=1, change_note="Thinner wire.")
    answer = author_client.get(reverse("procedure_edit", args=[made.pk]))
    assertNotContains(answer, 'name="number"')
    assertContains(answer, 'value="Thinner wire."')
    author_client.post(
        reverse("procedure_edit", args=[made.pk]),
        page_of(made, number="W-999", change_note="Thinner wire, wider root."),
    )
    made.refresh_from_db()
    assert (made.number, made.change_note) == ("W-101", "Thinner wire, wider root.")


@pytest.mark.parametrize("name", ["procedure_new", "procedure_new_check"])
@pytest.mark.parametrize("who", ["reader", "approver"])
def test_only_authors_write(name: str, who: str, request: pytest.FixtureRequest) -> None:
    assert request.getfixturevalue(f"{who}_client").post(reverse(name), page_of(None)).status_code == 403
    assert not Spec.objects.exists()


@pytest.mark.parametrize("name", ["procedure_edit", "procedure_check"])
def test_a_reader_changes_no_draft(name: str, reader_client: Client, author: User) -> None:
    made = spec(author)
    assert reader_client.post(reverse(name, args=[made.pk]), page_of(made)).status_code == 403


def test_the_live_check_answers_with_findings_and_readings_and_stores_nothing(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    url = reverse("procedure_check", args=[made.pk])
    answer = author_client.post(
        url, page_of(made, test, number="", joint={"thickness_a": "1/8-3/4"}, line={"volts": "many"})
    )
    assertContains(answer, "Not covered: thickness of the thinner side; thickness of the thicker side.")
    assertContains(answer, '<div hx-swap-oob="innerHTML:#verdict">')
    assertContains(answer, '<p id="note_id_joint-thickness_a" class="note note--reading" hx-swap-oob="true">')
    assertContains(answer, "1/8 to 3/4 in (3.18 to 19.05 mm)")
    assertContains(answer, '<a href="#id_line-0-volts">')
    assertNotContains(answer, "<html")
    made.refresh_from_db()
    assert (made.joint["thickness_a"], made.number) == ("1/8-1/2", "W-101")


def test_the_live_check_judges_by_the_tests_chosen_on_the_page(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    made = spec(author)
    url = reverse("procedure_check", args=[made.pk])
    assertContains(author_client.post(url, page_of(made, test)), "Covered by PT-014.")
    assertContains(author_client.post(url, page_of(made)), "No supporting test is chosen")


def test_the_live_check_reads_bare_numbers_in_the_units_chosen_on_the_page(author_client: Client) -> None:
    answer = author_client.post(
        reverse("procedure_new_check"), page_of(None, units="si", joint={"thickness_a": "6"})
    )
    assertContains(answer, "6 mm (0.2362 in)")


def test_the_live_check_is_asked_by_post_only(author_client: Client) -> None:
    assert author_client.get(reverse("procedure_new_check")).status_code == 405
