"""One procedure to read: entries, sketch, findings, steps, revisions."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from lxml.html import document_fromstring
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.evidence.sides import parted
from qualification.models import Shop, State
from qualification.records.approving import obstacles_to_approval
from qualification.rules.entries import answer_words
from tests.shop_records import approve, procedure_test, spec
from wps.models import Spec
from wps.procedures.approval import judgement_of


def test_it_says_what_is_stated_in_both_unit_systems(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author))
    answer = reader_client.get(made.get_absolute_url())
    assertContains(answer, "1/8 to 1/2 in (3.18 to 12.7 mm)")
    assertContains(answer, "Covered by PT-014.")
    assertContains(answer, 'class="sketch"')
    assertContains(answer, "Joint sketch. Groove: Single V.")
    assertContains(answer, "Not stated: Trade name")


def test_each_finding_stands_with_test_clause_and_provenance(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), joint={"thickness_a": "1/8-3/4"})
    answer = reader_client.get(made.get_absolute_url())
    names = _findings(answer.content.decode()) | _nonessential(answer.content.decode())
    for line in judgement_of(made).report.lines:
        for row in answer_words.rows_of_line(line, "us"):
            assert {row.label, f"{parted(row.label)[0]} of both sides"} & names, row.label
            assertContains(answer, row.clause)
            if row.binds:
                assertContains(answer, row.qualified)
                assertContains(answer, row.provenance_words)
    assertContains(answer, "Not covered: thickness of the thinner side; thickness of the thicker side.")
    assertContains(answer, "1/8 to 3/4 in (3.18 to 19.05 mm)")


def test_both_sides_stand_once_where_only_the_side_parts_them(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    alike = spec(author, test, joint={"thickness_a": "1/8-3/4"})
    apart = spec(author, test, number="W-102", joint={"thickness_a": "1/4", "thickness_b": "3/4"})
    found = {
        made: _findings(reader_client.get(made.get_absolute_url()).content.decode())
        for made in (alike, apart)
    }
    thickness = {
        made: {name for name in names if name.startswith("Thickness of")} for made, names in found.items()
    }
    assert thickness[alike] == {"Thickness of both sides"}
    assert thickness[apart] == {"Thickness of the thinner side", "Thickness of the thicker side"}


def _findings(page: str) -> set[str]:
    """The variables of the tables of findings."""
    rows = document_fromstring(page).xpath("//*[contains(@class, 'table--findings')]//tbody/tr/th")
    return {str(row.text).strip() for row in rows}


def _nonessential(page: str) -> set[str]:
    """The variables that only have to be recorded."""
    rows = document_fromstring(page).xpath("//*[@id='limits']//dl[@class='stated']//dt")
    return {str(row.text).strip() for row in rows}


def test_other_tests_that_were_considered_are_named_with_the_reason(
    reader_client: Client, author: User
) -> None:
    other = procedure_test(author, "PT-015", line={"filler_classification": "ER4043"})
    made = spec(author, procedure_test(author), other)
    assertContains(reader_client.get(made.get_absolute_url()), "PT-015: does not cover F-Number.")


def test_a_supporting_test_that_qualifies_nothing_says_why(reader_client: Client, author: User) -> None:
    failed = procedure_test(author, results=[])
    answer = reader_client.get(spec(author, failed).get_absolute_url())
    assertContains(answer, "PT-014: ")
    assertNotContains(answer, "Covered by")


def test_entries_that_need_a_look_are_said(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), line={"amps": "plenty"})
    assertContains(reader_client.get(made.get_absolute_url()), "“plenty” could not be read")


def test_an_approved_revision_shows_what_was_approved_although_its_test_was_withdrawn(
    author: User, approver: User, reader_client: Client
) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    approve(made, author, approver)
    test.state = State.WITHDRAWN
    test.save()
    answer = reader_client.get(made.get_absolute_url())
    assertContains(answer, "Covered by PT-014.")
    assertContains(answer, '<td data-label="State today">Withdrawn</td>', html=True)


def test_steps_are_offered_to_those_who_may_take_them(
    author_client: Client, approver_client: Client, reader_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author))
    assertContains(author_client.get(made.get_absolute_url()), "Submit for review")
    assertContains(author_client.get(made.get_absolute_url()), reverse("procedure_edit", args=[made.pk]))
    for client in (approver_client, reader_client):
        answer = client.get(made.get_absolute_url())
        assertNotContains(answer, "Submit for review")
        assertNotContains(answer, reverse("procedure_edit", args=[made.pk]))


def test_the_way_from_draft_to_approved(author_client: Client, approver_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author))
    step = reverse("procedure_step", args=[made.pk])
    assertRedirects(author_client.post(step, {"action": "submit"}), made.get_absolute_url())
    answer = approver_client.post(step, {"action": "approve"}, follow=True)
    assertContains(answer, "W-101 rev 0 is now approved.")
    assertContains(answer, "Tobias Quell approved it")
    made.refresh_from_db()
    assert made.snapshot["verdict"] == "covered"


def test_a_draft_says_before_and_at_submitting_what_approval_will_refuse(
    author_client: Client, author: User, shop: Shop
) -> None:
    """Its band has one solid button, the editor, as long as approval would be refused."""
    made = spec(author, procedure_test(author), line={"filler_classification": "ER4043"})
    answer = author_client.get(made.get_absolute_url())
    assertContains(answer, "As it stands, approval will be refused: 1 reason")
    assertContains(answer, f'<a class="button" href="{reverse("procedure_edit", args=[made.pk])}">')
    assertContains(answer, '<button class="button button--plain">Submit for review</button>')
    answer = author_client.post(reverse("procedure_step", args=[made.pk]), {"action": "submit"}, follow=True)
    assertContains(answer, "is now in review. As it stands, approval will refuse it: Line 1, F-Number")
    # What was just done stands below the verdict, never above it.
    html = answer.content.decode()
    assert html.index("verdict--not_covered") < html.index("is now in review")


def test_a_covered_draft_offers_its_next_step_first_and_folds_what_is_covered(
    author_client: Client, author: User, shop: Shop
) -> None:
    answer = author_client.get(spec(author, procedure_test(author)).get_absolute_url())
    assertContains(answer, '<button class="button">Submit for review</button>')
    assertNotContains(answer, "approval will be refused")
    assertContains(answer, " covered: process; weld type;")
    assertContains(answer, '<span class="fold__count">complete</span>')


def test_approval_is_refused_with_every_finding_in_the_way(
    author_client: Client, approver_client: Client, author: User
) -> None:
    made = spec(
        author,
        procedure_test(author),
        line={"filler_classification": "ER4043"},
        joint={"thickness_a": "1/8-3/4"},
    )
    step = reverse("procedure_step", args=[made.pk])
    author_client.post(step, {"action": "submit"})
    answer = approver_client.post(step, {"action": "approve"})
    assert answer.status_code == 409
    assertContains(answer, "“Approve” was not taken", status_code=409)
    assertContains(answer, "Line 1, F-Number: not covered. Entered: F-23. Qualified: F-22.", status_code=409)
    assertContains(answer, "Line 1, Thickness of the thinner side: not covered.", status_code=409)
    made.refresh_from_db()
    assert made.state == State.IN_REVIEW


def test_an_author_does_not_approve_the_own_procedure_unless_the_shop_allows_it(
    client: Client, administrator: User, shop: Shop
) -> None:
    made = spec(administrator, procedure_test(administrator))
    client.force_login(administrator)
    step = reverse("procedure_step", args=[made.pk])
    client.post(step, {"action": "submit"})
    assertNotContains(client.get(made.get_absolute_url()), ">Approve</button>")
    assertContains(
        client.post(step, {"action": "approve"}),
        "Authors do not approve their own records in this shop.",
        status_code=409,
    )
    shop.allow_self_approval = True
    shop.save()
    client.post(step, {"action": "approve"})
    made.refresh_from_db()
    assert made.state == State.APPROVED


def test_returning_needs_a_reason_and_keeps_what_was_typed(
    author_client: Client, approver_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author))
    step = reverse("procedure_step", args=[made.pk])
    author_client.post(step, {"action": "submit"})
    assertContains(
        approver_client.post(step, {"action": "return", "reason": " "}), "needs a reason", status_code=409
    )
    answer = approver_client.post(step, {"action": "return", "reason": "Preheat is missing."}, follow=True)
    assertContains(answer, "returned it to the author")
    assertContains(answer, "Preheat is missing.")


@pytest.mark.parametrize("who", ["reader", "author"])
def test_nobody_takes_a_step_without_the_role(who: str, request: pytest.FixtureRequest, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.IN_REVIEW)
    client = request.getfixturevalue(f"{who}_client")
    answer = client.post(reverse("procedure_step", args=[made.pk]), {"action": "approve"})
    assertContains(answer, "takes an approver", status_code=409)
    made.refresh_from_db()
    assert made.state == State.IN_REVIEW


@pytest.mark.parametrize("name", ["procedure_step", "procedure_revise"])
def test_steps_are_taken_by_post_only(name: str, author_client: Client, author: User) -> None:
    made = spec(author)
    assert author_client.get(reverse(name, args=[made.pk])).status_code == 405


def test_a_revision_is_started_with_a_note_of_what_it_changes(
    author_client: Client, author: User, approver: User
) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    approve(made, author, approver)
    url = reverse("procedure_revise", args=[made.pk])
    assertContains(
        author_client.post(url, {"change_note": ""}),
        "Say in one sentence what the new revision changes.",
        status_code=409,
    )
    answer = author_client.post(url, {"change_note": "Wider root opening."})
    draft = Spec.objects.get(number="W-101", revision=1)
    assertRedirects(answer, reverse("procedure_edit", args=[draft.pk]))
    assert (draft.joint, list(draft.tests.all()), draft.change_note) == (
        made.joint,
        [test],
        "Wider root opening.",
    )


def test_a_reader_starts_no_revision(reader_client: Client, author: User, approver: User) -> None:
    made = spec(author, procedure_test(author))
    approve(made, author, approver)
    answer = reader_client.post(reverse("procedure_revise", args=[made.pk]), {"change_note": "Mine."})
    assertContains(answer, "takes an author", status_code=409)
    assert Spec.objects.count() == 1


def test_approving_a_revision_supersedes_the_one_before(author: User, approver: User) -> None:
    test = procedure_test(author)
    first = spec(author, test)
    approve(first, author, approver)
    second = spec(author, test, revision=1, change_note="Wider.")
    approve(second, author, approver)
    first.refresh_from_db()
    assert (first.state, second.state) == (State.SUPERSEDED, State.APPROVED)


def test_two_revisions_are_compared_entry_by_entry(reader_client: Client, author: User) -> None:
    test, other = procedure_test(author), procedure_test(author, "PT-015")
    first = spec(author, test, state=State.SUPERSEDED, line={"filler_diameter": "3/64"})
    second = spec(
        author,
        test,
        other,
        revision=1,
        change_note="Thinner wire.",
        line={"filler_diameter": ".035"},
        joint={"root_opening": ".0625-.125"},
    )
    answer = reader_client.get(reverse("procedure_compare", args=[second.pk, first.pk]))
    assertContains(answer, "GMAW: Filler diameter")
    assertContains(answer, "3/64 in (1.19 mm)")
    assertContains(answer, "0.035 in (0.89 mm)")
    assertContains(answer, "PT-014 rev 0, PT-015 rev 0")
    assertNotContains(answer, "Root opening"), "the same number written in another way is no change"


def test_revisions_of_different_procedures_are_not_compared(reader_client: Client, author: User) -> None:
    one, other = spec(author, number="W-101"), spec(author, number="W-102")
    assert reader_client.get(reverse("procedure_compare", args=[one.pk, other.pk])).status_code == 404


@pytest.mark.parametrize("path", ["", "edit/", "compare/1/"])
def test_visitors_are_asked_to_sign_in(path: str, client: Client, author: User) -> None:
    url = f"/procedures/{spec(author).pk}/{path}"
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")


def test_a_procedure_that_is_not_there_is_not_found(reader_client: Client) -> None:
    assert reader_client.get(reverse("procedure", args=[999])).status_code == 404


@pytest.mark.parametrize(
    ("on_test", "on_procedure", "words", "covered"),
    [
        ("n/a", "n/a", "Not applicable on both.", True),
        ("n/a", "60 °F", "so there is no number to reckon from", False),
        ("60 °F", "n/a", "The weld says that it does not apply, and what was tested has it.", False),
        ("", "n/a", "Cannot be told: the test record does not state lowest preheat", False),
    ],
)
def test_not_applicable_is_judged_for_what_it_says(
    on_test: str,
    on_procedure: str,
    words: str,
    covered: bool,
    reader_client: Client,
    author: User,
    shop: Shop,
) -> None:
    """Worked by us, on the preheat of a procedure that is covered otherwise."""
    made = spec(
        author, procedure_test(author, joint={"preheat_min": on_test}), joint={"preheat_min": on_procedure}
    )
    page = reader_client.get(made.get_absolute_url())
    assertContains(page, words)
    assert page.context["content"]["verdict"] == ("covered" if covered else "unknown")
    assert bool(obstacles_to_approval(made)) is not covered
