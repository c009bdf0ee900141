"""The page of one procedure test: outcome, range, steps and history."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification import links
from qualification.evidence.range_parts import range_parts
from qualification.models import CouponRecord, ProcedureTest, State
from qualification.models.record import content_hash
from qualification.records.audit import record_event
from qualification.views import coupon_pages
from tests.shop_records import COUPON_LINE, RESULTS, approve, procedure_test

WELDED = date(2026, 3, 4)
CLEAN = [row for row in RESULTS if row["kind"] != "visual"]


@pytest.fixture
def draft(author: User) -> ProcedureTest:
    return procedure_test(author, state=State.DRAFT, welded_on=WELDED, results=CLEAN)


def step(client: Client, record: ProcedureTest, action: str, reason: str = "") -> Any:
    return client.post(
        reverse("procedure_test_step", args=[record.pk]), {"action": action, "reason": reason}, follow=True
    )


def rows_of(answer: Any) -> list[dict[str, Any]]:
    return [
        row
        for part in answer.context["ranges"]
        for row in (*part.shown, *part.details, *part.others, *part.tough)
    ]


def test_a_passed_test_shows_its_range_row_by_row(reader_client: Client, draft: ProcedureTest) -> None:
    answer = reader_client.get(draft.get_absolute_url())
    assertContains(answer, "What this record will qualify once it is approved.")
    row = next(
        r for r in rows_of(answer) if r["variable"] == "thickness_thinner" and r["clause"] == "QW-451.1"
    )
    # 1/4 in qualifies 1/16 in to 2T (published: AL207, MG).
    assert (row["found"], row["qualified"], row["when"]) == (
        "1/4 in (6.35 mm)",
        "1/16 to 1/2 in (1.59 to 12.7 mm)",
        "weld type: groove",
    )
    assert (row["provenance_words"], row["sources"][0]["url"][:8]) == ("public source", "https://")
    assertContains(answer, f'<a href="{row["sources"][0]["url"]}"')
    assertContains(answer, "unverified")
    assertContains(answer, "The governing code decides")
    assertContains(answer, "29866 psi (205.9 MPa)")


def test_limits_that_bind_only_with_toughness_stand_apart(
    reader_client: Client, draft: ProcedureTest
) -> None:
    answer = reader_client.get(draft.get_absolute_url())
    (part,) = answer.context["ranges"]
    assert part.label == "GMAW"
    assert "QW-406.3" in {row["clause"] for row in part.tough}
    assert not {row["standing"] for row in (*part.shown, *part.others)} & {"supplementary"}
    assertContains(answer, "Further limits where toughness is required")


@pytest.mark.parametrize(("others", "in_sight"), [(8, 9), (9, 1)])
def test_a_long_range_shows_first_what_decides_most_often(others: int, in_sight: int) -> None:
    """Up to nine limits are all in sight; of more, the rest is folded and none is lost."""
    said = {
        "line": 0,
        "standing": "essential",
        "found": "1",
        "qualified": "1 to 2",
        "when": "",
        "clause": "1",
    }
    said |= {"provenance": "memory", "because": "A rule.", "note": ""}
    keys = ["weld_type", *(f"setting_{number}" for number in range(others))]
    rows = [{**said, "variable": key, "label": key.capitalize()} for key in keys]
    (part,) = range_parts({"entered": [], "range": rows})
    assert len(part.shown) == in_sight
    assert part.shown[0]["variable"] == "weld_type"
    assert [row["variable"] for row in (*part.shown, *part.details)] == keys


def test_a_coupon_tested_for_toughness_shows_those_limits_at_once(
    reader_client: Client, draft: ProcedureTest
) -> None:
    content = reader_client.get(draft.get_absolute_url()).context["content"]
    tested = {"line": None, "process": "", "rows": [{"label": "Toughness tested", "words": "Yes"}]}
    (part,) = range_parts({**content, "entered": [*content["entered"], tested]})
    assert not part.tough
    assert "QW-406.3" in {row["clause"] for row in part.shown}


def test_every_row_of_the_range_stands_on_the_page_and_what_has_no_limit_is_folded(
    reader_client: Client, draft: ProcedureTest
) -> None:
    answer = reader_client.get(draft.get_absolute_url())
    (part,) = answer.context["ranges"]
    folded = [row for row in answer.context["content"]["range"] if row["qualified"] == "No limit"]
    assert folded
    assert {row["label"] for row in folded} <= {row["label"] for row in part.others}
    for row in answer.context["content"]["range"]:
        assertContains(answer, row["clause"])
        assertContains(answer, row["qualified"][:1].upper() + row["qualified"][1:])


def test_two_processes_have_ranges_of_their_own(reader_client: Client, draft: ProcedureTest) -> None:
    root = {
        **COUPON_LINE,
        "process": "GTAW",
        "filler_used": "yes",
        "deposit_thickness": "1/16",
        "operation": "manual",
        "current_programme": "steady",
        "max_pass_thickness": "1/16",
    }
    for key in (
        "transfer_mode",
        "pulse_frequency",
        "gun",
        "wire_feed",
        "contact_tube_distance",
        "supplemental_filler",
    ):
        root.pop(key)
    draft.lines = [root, {**COUPON_LINE, "deposit_thickness": "3/16"}]
    draft.save()
    answer = reader_client.get(draft.get_absolute_url())
    assert answer.context["content"]["refusals"] == []
    assert [part.label for part in answer.context["ranges"]] == ["Process 1, GTAW", "Process 2, GMAW"]


def test_a_failed_test_says_plainly_that_it_qualifies_nothing(reader_client: Client, author: User) -> None:
    failed = procedure_test(
        author,
        "PT-015",
        State.DRAFT,
        results=[{**row, "openings": "3/16; 1/32"} if row["specimen"] == "R2" else row for row in CLEAN],
    )
    answer = reader_client.get(failed.get_absolute_url())
    assertContains(answer, "This record qualifies nothing")
    assertContains(answer, "Root bend R2: It opened 3/16 in, more than 1/8 in.")
    assertContains(answer, "QW-163")
    assertContains(answer, "A retest is a record of its own.")
    assert answer.context["ranges"] == []


def test_an_incomplete_test_lists_what_is_missing(reader_client: Client, author: User) -> None:
    waiting = procedure_test(author, "PT-016", State.DRAFT, results=CLEAN[:1])
    answer = reader_client.get(waiting.get_absolute_url())
    assertContains(answer, "Still missing: 1 tension test.")
    assertContains(answer, "2 face bends, specimen 1/8 in thick, 1 1/2 in wide, former 2 1/16 in")


def test_an_empty_draft_says_so(reader_client: Client, author: User) -> None:
    empty = ProcedureTest.objects.create(
        number="PT-017", edition="asme_ix_2023", author=author, author_name="Maren Oosting"
    )
    assertContains(reader_client.get(empty.get_absolute_url()), "State weld type.")


def test_actuals_are_shown_in_words_and_what_is_left_out_is_named(
    reader_client: Client, draft: ProcedureTest
) -> None:
    answer = reader_client.get(draft.get_absolute_url())
    assertContains(answer, "420 to 440 in/min (10.67 to 11.18 m/min)")
    assertContains(answer, "Stainless brush after acetone")
    assertContains(answer, "Not stated:")


def test_a_record_is_handed_in_approved_and_revised(
    author_client: Client, approver_client: Client, draft: ProcedureTest
) -> None:
    assertContains(step(author_client, draft, "submit"), "PT-014 rev 0 is now in review.")
    assertContains(step(approver_client, draft, "approve"), "PT-014 rev 0 is now approved.")
    page = author_client.get(draft.get_absolute_url())
    assertContains(page, "Tobias Quell approved it")
    assertNotContains(page, "Edit what was welded")
    revise = reverse("procedure_test_revise", args=[draft.pk])
    refused = author_client.post(revise, {"change_note": " "})
    assertContains(refused, "Say in one sentence what the new revision changes.", status_code=409)
    made = author_client.post(revise, {"change_note": "Report number corrected."})
    revision = ProcedureTest.objects.get(revision=1)
    assertRedirects(made, reverse("procedure_test_edit", args=[revision.pk]))
    page = author_client.get(revision.get_absolute_url())
    assertContains(page, "“Report number corrected.”")
    assertContains(page, f'<a href="{draft.get_absolute_url()}">0</a> (approved)')
    assertNotContains(author_client.get(draft.get_absolute_url()), "Start the revision")


def test_a_step_that_is_refused_says_why_and_keeps_the_reason(
    author_client: Client, approver_client: Client, author: User
) -> None:
    waiting = procedure_test(author, "PT-016", State.IN_REVIEW, results=CLEAN[:1], welded_on=None)
    ProcedureTest.objects.filter(pk=waiting.pk).update(welder=None)
    answer = step(approver_client, waiting, "approve")
    assert answer.status_code == 409
    for sentence in (
        "“Approve” was not taken",
        "State the day on which the coupon was welded.",
        "State who welded the coupon.",
        "Still missing",
    ):
        assertContains(answer, sentence, status_code=409)
    answer = step(approver_client, waiting, "return")
    assertContains(answer, "“Return to the author” needs a reason. Write one sentence.", status_code=409)
    answer = step(author_client, waiting, "approve", "It is urgent & late")
    assertContains(answer, "“Approve” takes an approver", status_code=409)
    waiting.refresh_from_db()
    assert waiting.state == State.IN_REVIEW


def test_steps_of_the_workflow_stand_only_before_those_who_may(
    author_client: Client, approver_client: Client, reader_client: Client, draft: ProcedureTest
) -> None:
    assertContains(author_client.get(draft.get_absolute_url()), "Submit for review")
    for client in (approver_client, reader_client):
        assertNotContains(client.get(draft.get_absolute_url()), "Submit for review")
    assertNotContains(reader_client.get(draft.get_absolute_url()), "Enter test results")


def test_an_approved_record_shows_what_was_approved_and_names_what_changed_since(
    reader_client: Client, draft: ProcedureTest, author: User, approver: User
) -> None:
    approve(draft, author, approver)
    assertNotContains(reader_client.get(draft.get_absolute_url()), "The code tables were changed")
    snapshot = draft.snapshot
    snapshot["code"]["fingerprint"] = "0" * 64
    row = next(
        r for r in snapshot["range"] if r["variable"] == "thickness_thinner" and r["clause"] == "QW-451.1"
    )
    row["qualified"] = "1/16 to 0.49 in"
    draft.snapshot_hash = content_hash(snapshot)
    ProcedureTest.objects.filter(pk=draft.pk).update(snapshot=snapshot, snapshot_hash=draft.snapshot_hash)
    record_event("approve", draft, approver, {"snapshot": draft.snapshot_hash})
    answer = reader_client.get(draft.get_absolute_url())
    assertContains(answer, "The code tables were changed after this record was approved.")
    assertContains(answer, "its range differs in: thickness of the thinner side.")
    assertContains(answer, "1/16 to 0.49 in")


def test_a_change_of_the_tables_that_leaves_the_range_alone_is_no_news() -> None:
    before = {"code": {"fingerprint": "a"}, "refusals": [], "range": []}
    assert coupon_pages.changed_since(before, {**before, "code": {"fingerprint": "b"}}) == []
    assert coupon_pages.changed_since(
        before, {**before, "code": {"fingerprint": "b"}, "refusals": ["x"]}
    ) == ["Whether it qualifies anything"]
    assert coupon_pages.changed_since(None, before) == []


def test_without_its_tables_a_record_is_shown_and_not_judged(reader_client: Client, author: User) -> None:
    record = procedure_test(author, "PT-018", State.DRAFT, edition="ex1_2031")
    answer = reader_client.get(record.get_absolute_url())
    assertContains(answer, "This record cannot be judged here")
    assertContains(answer, "there is no edition &#x27;ex1_2031&#x27;")


def test_what_rests_on_a_record_comes_from_whoever_knows(
    reader_client: Client, draft: ProcedureTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    def resting(record: CouponRecord) -> links.Links:
        return links.Links(
            "Procedures that rest on it",
            "None.",
            (links.Link(f"W-101 on {record.number}", "/procedures/1/", "Approved"),),
        )

    monkeypatch.setattr(
        links,
        "SOURCES",
        [resting, lambda record: None, lambda record: links.Links("Papers", "No paper yet.", ())],
    )
    answer = reader_client.get(draft.get_absolute_url())
    assertContains(answer, '<a href="/procedures/1/">W-101 on PT-014</a>')
    assertContains(answer, "No paper yet.")
