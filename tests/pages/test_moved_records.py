"""A record put under another edition: judged by the tests required there, and plain about what it uses,
leaves and misses."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.evidence.coverage import coupon_of, edition_of, outcome_of, range_of
from qualification.models import ProcedureTest, State, Welder, WelderTest
from qualification.records import workflow
from qualification.rules.core.facts import Side
from qualification.snapshots.snapshot import test_content as content_of_test
from qualification.welders.who_may_weld import who_may_weld
from tests.pages.posts import results_post
from tests.shop_records import (
    EDITION,
    TENSION,
    approve,
    as_if_approved_with,
    job,
    part,
    procedure_test,
    welder,
    welder_test,
)
from tests.validity_records import ALUMINIUM
from wps.documents.context import document_context
from wps.documents.rederive import record_from, rederive
from wps.documents.render import render_html
from wps.jobs.welding_today import in_words
from wps.procedures.procedure_match import weld_of

pytestmark = pytest.mark.django_db
D12 = "aws_d1_2_2014"
FRACTURE = {
    "kind": "fracture",
    "specimen": "FR1",
    "bent_flat": "no",
    "cracks": "no",
    "incomplete_root_fusion": "no",
}
USED = "Used: Visual examination V1."
NOT_USED = (
    "Not used, since ISO 9606-2, 2004 asks for none of the kind: Face bend F1, face bend F2, root bend R1 and"
    " root bend R2."
)
MISSING = "Missing: 1 radiograph and 1 fracture test, or 1 fracture test."


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


def moved(author: User, edition: str = ALUMINIUM) -> WelderTest:
    made = workflow.move_to_edition(
        welder_test(author, welder()), author, edition, "The customer asks for it."
    )
    assert isinstance(made, WelderTest)
    return made


def test_bends_of_one_code_are_left_and_the_fracture_of_the_other_is_missed(
    author_client: Client, author: User
) -> None:
    # ISO 9606-2 asks a fracture test of such a butt weld, Section IX bends: outcome cases of both editions.
    record = moved(author)
    outcome = outcome_of(record)
    assert (record.moved_from, outcome.overall.value, outcome.misfits) == ([EDITION], "incomplete", ())
    assert [each.result.specimen for each in outcome.set_aside] == ["F1", "F2", "R1", "R2"]
    for url in (record.get_absolute_url(), reverse("welder_test_results", args=[record.pk])):
        page = author_client.get(url)
        for sentence in (
            USED,
            NOT_USED,
            MISSING,
            "Under ASME BPVC Section IX, 2023 the results amount to: passed.",
        ):
            assertContains(page, sentence)
        assertNotContains(page, "Remove it, or enter it as one of")
    assert coupon_of(record).refusals


def test_with_the_missing_result_it_counts_and_keeps_the_rest(
    author_client: Client, author: User, approver: User
) -> None:
    record = moved(author)
    rows = [*record.results, FRACTURE]
    author_client.post(reverse("welder_test_results", args=[record.pk]), results_post(record, rows))
    record.refresh_from_db()
    assert [each["kind"] for each in record.results].count("face_bend") == 2
    assert outcome_of(record).overall.value == "passed"
    record.witness, record.joint["job_knowledge"] = (
        "R. Halloran",
        "not_tested",
    )  # what the other code wants besides
    record.save()
    approve(record, author, approver)
    record.refresh_from_db()
    assert record.snapshot["moved_from"] == [EDITION]
    assert NOT_USED in " ".join(record.snapshot["outcome"]["moved"])
    html = render_html(
        "documents/welder.html", document_context({**record.snapshot, "state": record.state}), "a4"
    )
    assert NOT_USED in html
    assert "Missing:" not in html
    embedded = {"content": record.snapshot, "evidence": []}
    assert rederive(embedded).matches
    older = {key: value for key, value in record.snapshot.items() if key != "moved_from"}
    assert record_from(older).moved_from == []


def test_a_failed_result_that_is_not_used_is_told(author: User) -> None:
    test = welder_test(author, welder(), state=State.DRAFT)
    test.results = [
        {**each, "openings": "1/2"} if each["specimen"] == "F1" else each for each in test.results
    ] + [FRACTURE]
    test.save()
    made = workflow.move_to_edition(test, author, ALUMINIUM, "The customer asks for it.")
    said = content_of_test(made)["outcome"]
    assert said["overall"] == "passed"
    assert "Under ASME BPVC Section IX, 2023 the results amount to: failed." in said["moved"]
    assert any("face bend F2" in each and "responsible person" in each for each in said["moved"])


def test_what_both_codes_take_is_used_once_the_other_code_is_told_more(author: User) -> None:
    said = content_of_test(moved(author, D12))["outcome"]["moved"]
    assert "Used: Face bend F1, face bend F2, root bend R1 and root bend R2." in said
    assert "Used once AWS D1.2/D1.2M, 2014 is told what else it asks of them: Visual examination V1." in said
    assert not any(each.startswith(("Missing", "Not used")) for each in said)


def test_a_slip_on_a_record_that_never_moved_is_still_a_slip(author: User) -> None:
    record = welder_test(author, welder(), state=State.DRAFT, results=[FRACTURE])
    outcome = outcome_of(record)
    assert (outcome.moved, outcome.set_aside) == (None, ())
    assert "Remove it, or enter it as one of" in outcome.misfits[0].message


def test_a_slip_entered_after_the_move_is_a_slip_as_well(author: User) -> None:
    record = moved(author)
    record.results = [*record.results, {**TENSION, "specimen": "T1"}]
    assert [misfit.field for misfit in outcome_of(record).misfits] == ["kind"]


def test_moved_back_it_is_as_it_was(author: User) -> None:
    record = moved(author)
    back = workflow.move_to_edition(record, author, EDITION, "Back again.")
    assert isinstance(back, WelderTest)
    outcome = outcome_of(back)
    assert (back.moved_from, outcome.overall.value, outcome.set_aside, outcome.misfits) == (
        [ALUMINIUM],
        "passed",
        (),
        (),
    )
    empty = welder_test(author, welder(), "WT-050", state=State.DRAFT, results=[])
    workflow.move_to_edition(empty, author, ALUMINIUM, "Before any result.")
    empty.refresh_from_db()
    assert (empty.edition, empty.moved_from) == (ALUMINIUM, [])


def test_tables_that_are_gone_leave_a_result_as_a_slip(author: User) -> None:
    record = moved(author)
    record.moved_from = ["no_such_2001"]
    assert outcome_of(record).misfits
    assert outcome_of(record).moved is None


def test_a_test_counts_under_another_edition_only_with_the_results_it_asks(author: User) -> None:
    """Before, a welder tested with bends was told to weld a job under ISO 9606-2."""
    record = welder_test(author, welder())
    assert range_of(record, Side.WELDER).lines
    assert not range_of(record, Side.WELDER, edition_of(ALUMINIUM)).lines
    weld = part(
        job(edition=ALUMINIUM),
        joint={"sides_welded": "one"},
        line={"shielding_gas": "100Ar", "backing_gas": "none", "layers": "3", "passes_per_side": "multiple"},
    )
    day = date(2031, 5, 1)

    def asked(edition: str, on: date = day) -> tuple[bool, str]:
        (found,) = who_may_weld(
            weld_of(weld.joint, weld.lines, "us"), Welder.objects.all(), on, edition_of(edition)
        )
        (said,) = in_words([found], "us")
        return found.may, " ".join(sentence for sentence, _ in said.lines[0].continuity)

    assert asked(EDITION) == (True, "")
    may, said = asked(ALUMINIUM)
    assert not may
    assert said.startswith(
        "WT-021 counts under ASME BPVC Section IX, 2023, not under ISO 9606-2, 2004: Asked: 1 radiograph and"
        " 1 fracture test"
    )
    assert "it has no rules for a welder test." in asked("iso_15614_2_2005")[1]
    as_if_approved_with(record, results=[*record.results, FRACTURE])
    assert asked(ALUMINIUM) == (True, "")
    may, said = asked(ALUMINIUM, date(2031, 9, 5))
    assert (may, "without a further confirmation" in said) == (False, True)


def test_a_procedure_test_is_compared_by_what_the_other_code_asks(author: User) -> None:
    test = procedure_test(author)
    made = workflow.move_to_edition(test, author, "iso_15614_2_2005", "For an ISO job.")
    assert isinstance(made, ProcedureTest)
    said = " ".join(content_of_test(made)["outcome"]["moved"])
    assert "penetrant examination" in said
    assert "macro section" in said
