"""Entries that do not go together: shown while one types, on records and before approval, in the way of
nothing."""

from __future__ import annotations

from datetime import date, timedelta

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from qualification.evidence.checks import checks_of_head
from qualification.models import AuditEntry, QuietCheck, State
from qualification.records import workflow
from qualification.welders.changes import set_active
from tests.pages.posts import edit_post
from tests.pages.test_procedure_edit import page_of
from tests.shop_records import approve, job, part, procedure_test, spec, welder
from tests.trial_records import trial
from wps.procedures.checks import checks_of_days

LATELY = timezone.localdate() - timedelta(days=9)
ODD = "Only vertical welds go up or down"


def test_a_procedures_editor_says_it_while_one_types(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    address = reverse("procedure_new_check")
    sound = author_client.post(address, page_of(None, test))
    assertNotContains(sound, "Check this")
    odd = author_client.post(
        address,
        page_of(None, test, line={"filler_specification": "SFA-5.1", "filler_classification": "ER4043"}),
    )
    assertContains(odd, "Check this")
    assertContains(odd, "The filler is classified by another specification.")
    assertContains(odd, '<a href="#id_line-0-filler_specification">')
    assertContains(odd, "1 to check.")


def test_a_tests_editor_says_it_while_one_types(author_client: Client, author: User) -> None:
    draft = procedure_test(author, state=State.DRAFT, joint={"test_position": "1G"})
    answer = author_client.post(reverse("procedure_test_check", args=[draft.pk]), edit_post(draft))
    assertContains(answer, "Check this")
    assertContains(answer, ODD)


def test_a_record_lists_it_and_is_approved_all_the_same(
    author_client: Client, approver_client: Client, author: User, approver: User
) -> None:
    draft = procedure_test(
        author, state=State.DRAFT, joint={"test_position": "1G"}, welder=welder(), welded_on=LATELY
    )
    assertContains(author_client.get(draft.get_absolute_url()), ODD)
    workflow.apply("submit", draft, author)
    before = approver_client.get(draft.get_absolute_url())
    assertContains(before, "Check this before approval")
    assertNotContains(before, "As it stands, approval will be refused")
    workflow.apply("approve", draft, approver)
    draft.refresh_from_db()
    assert draft.state == State.APPROVED
    assert [each["key"] for each in draft.snapshot["checks"]] == ["progression_of_test"]
    assertContains(approver_client.get(draft.get_absolute_url()), ODD)


def test_a_procedure_lists_it_on_its_page(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), line={"filler_specification": "SFA-5.1"})
    assertContains(reader_client.get(made.get_absolute_url()), "classified by another specification")
    sound = spec(author, procedure_test(author, "PT-015"), number="W-102")
    assertNotContains(reader_client.get(sound.get_absolute_url()), "Check this")


def test_a_trial_lists_it_too(reader_client: Client, author: User) -> None:
    made = trial(author, line={"filler_classification": "ER70S-6"})
    assertContains(reader_client.get(made.get_absolute_url()), "Only an aluminum filler fuses with aluminum")


def test_a_welder_who_was_not_active_on_the_day(author: User) -> None:
    who, today = welder(), timezone.localdate()
    earlier = procedure_test(author, state=State.DRAFT, welder=who, welded_on=today)
    assert checks_of_head(earlier) == ()
    set_active(who, False, author)
    assert checks_of_head(earlier) == ()
    later = procedure_test(
        author, "PT-030", state=State.DRAFT, welder=who, welded_on=date(today.year + 1, 1, 2)
    )
    assert [each.key for each in checks_of_head(later)] == ["welder_inactive"]
    set_active(who, True, author)
    assert checks_of_head(later) == ()


def test_a_welder_who_was_a_child_on_the_day(author: User) -> None:
    who = welder()  # born on 1991-02-17
    old_enough = procedure_test(author, state=State.DRAFT, welder=who, welded_on=date(2005, 2, 17))
    assert checks_of_head(old_enough) == ()
    child = procedure_test(author, "PT-031", state=State.DRAFT, welder=who, welded_on=date(2005, 2, 16))
    assert [each.key for each in checks_of_head(child)] == ["welder_too_young"]


def test_days_out_of_order(author: User, approver: User) -> None:
    test = procedure_test(author, state=State.DRAFT, welder=welder(), welded_on=LATELY)
    approve(test, author, approver)
    assert checks_of_head(test) == ()
    test.welded_on = date(test.approved_at.year + 1, 1, 2)
    assert [each.key for each in checks_of_head(test)] == ["welded_after_approval"]
    made = spec(author, test)
    assert checks_of_days(made, [test]) == ()
    made.approved_at = test.approved_at
    assert [each.key for each in checks_of_days(made, [test])] == ["test_after_procedure"]


def test_the_shop_leaves_a_check_aside_with_a_reason_and_takes_that_back(
    author_client: Client, approver_client: Client, author: User
) -> None:
    draft = procedure_test(author, state=State.DRAFT, joint={"test_position": "1G"})
    listed = author_client.get(reverse("quiet_checks"))
    assertContains(listed, ODD)
    assertNotContains(listed, "Leave aside<")
    add = reverse("quiet_check_add", args=["progression_of_test"])
    assert author_client.post(add, {"reason": "Ours to say"}).status_code == 403
    assert approver_client.post(add, {"reason": ""}).status_code == 422
    approver_client.post(add, {"reason": "Our form always states it"})
    said = "Left aside by the shop: Our form always states it"
    assertContains(author_client.get(draft.get_absolute_url()), said)
    live = author_client.post(reverse("procedure_test_check", args=[draft.pk]), edit_post(draft))
    assertContains(live, said)
    (stored,) = QuietCheck.objects.all()
    approver_client.post(reverse("quiet_check_take_back", args=[stored.pk]), {"reason": "New form"})
    assertNotContains(author_client.get(draft.get_absolute_url()), said)
    assertContains(author_client.get(reverse("quiet_checks")), "Again because: New form")
    verbs = [event.verb for event in AuditEntry.objects.filter(record_kind=QuietCheck.KIND)]
    assert sorted(verbs) == ["leave aside", "take back"]


def test_a_paper_names_a_check_that_is_left_aside_with_its_reason(
    approver_client: Client, author: User, approver: User
) -> None:
    approver_client.post(reverse("quiet_check_add", args=["progression_of_test"]), {"reason": "Our form"})
    draft = procedure_test(author, state=State.DRAFT, joint={"test_position": "1G"}, welded_on=LATELY)
    approve(draft, author, approver)
    (check,) = [each for each in draft.snapshot["checks"] if each["key"] == "progression_of_test"]
    assert check["quiet_because"].startswith("Our form (")


def test_a_weld_of_a_job_says_it_while_one_types_and_on_its_page(author_client: Client) -> None:
    weld = part(job(), joint={"position": "flat"}, line={"progression": "up"})
    assertContains(author_client.get(weld.get_absolute_url()), ODD)
    typed = {
        "joint-position": "flat",
        "line_count": "1",
        "line-0-process": "GMAW",
        "line-0-progression": "up",
    }
    assertContains(author_client.post(reverse("part_check", args=[weld.job_id, weld.pk]), typed), ODD)
