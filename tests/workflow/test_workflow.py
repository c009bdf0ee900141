"""The life of a record: every step, every refusal, and content that stays as it was signed."""

from datetime import date, timedelta

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains

from qualification.models import AuditEntry, FrozenRecord, ProcedureTest, Record, Shop, State
from qualification.models.record import content_hash
from qualification.records import workflow
from qualification.records.audit import events_of
from qualification.records.workflow import (
    STEPS,
    StepRefused,
    apply,
    may_submit_and_approve,
    start_revision,
    steps_open_to,
    submit_and_approve,
)
from qualification.roles import grant_roles, listed
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.models import Spec

REASON = "Customer asked for it."


def reasons(action: str, record: Record, person: User, reason: str = "") -> tuple[str, ...]:
    with pytest.raises(StepRefused) as refused:
        apply(action, record, person, reason)
    return refused.value.reasons


def in_state(author: User, state: str) -> Spec:
    return spec(author, procedure_test(author), state=state)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.action)
def test_every_step_leads_where_the_table_says_and_is_written_down(
    step: workflow.Step, author: User, approver: User
) -> None:
    record = in_state(author, step.start)
    person = author if step.may(author) else approver
    apply(step.action, record, person, REASON)
    assert record.state == step.end
    event = events_of(record)[0]
    assert (event.verb, event.actor_name, event.record_name) == (
        step.action,
        person.get_full_name(),
        "W-101 rev 0",
    )
    assert (event.data["from"], event.data["to"], event.data["reason"]) == (step.start, step.end, REASON)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.action)
def test_no_step_is_taken_without_its_role(
    step: workflow.Step, author: User, approver: User, reader: User
) -> None:
    record = in_state(author, step.start)
    for person in (author, approver, reader):
        if not step.may(person):
            holder = author if step.who == "an author" else approver
            assert reasons(step.action, record, person, REASON) == (
                f"“{step.label}” takes {step.who}: {holder.get_full_name()}. You do not have the role."
                " A shop administrator grants it under Shop, People.",
            )
    record.refresh_from_db()
    assert record.state == step.start
    assert [event.verb for event in events_of(record) if event.verb != "approve"] == []


@pytest.mark.parametrize("state", State.values)
@pytest.mark.parametrize("action", [step.action for step in STEPS])
def test_no_step_is_taken_from_a_state_the_table_does_not_name(
    action: str, state: str, author: User, approver: User
) -> None:
    if any(step.action == action and step.start == state for step in STEPS):
        return
    record = in_state(author, state)
    grant_roles(approver, ["author", "approver"])
    (said,) = reasons(action, record, approver, REASON)
    assert (
        said == f"W-101 rev 0 is {State(state).label.lower()}; that step is not open from there. "
        "Load the page again."
    )


def test_an_unheard_of_step_is_refused(author: User) -> None:
    assert "that step is not open" in reasons("bless", in_state(author, State.DRAFT), author)[0]


@pytest.mark.parametrize("step", [step for step in STEPS if step.needs_reason], ids=lambda step: step.action)
@pytest.mark.parametrize("reason", ["", "  "])
def test_a_step_that_needs_a_reason_is_not_taken_without(
    step: workflow.Step, reason: str, author: User, approver: User
) -> None:
    record = in_state(author, step.start)
    person = author if step.may(author) else approver
    assert reasons(step.action, record, person, reason) == (
        f"“{step.label}” needs a reason. Write one sentence.",
    )


@pytest.mark.parametrize("length", [workflow.LONGEST_SAID, workflow.LONGEST_SAID + 1])
def test_a_reason_and_a_note_have_a_limit(length: int, author: User, approver: User) -> None:
    """Longer ones failed on PostgreSQL, and went whole into the trail on SQLite."""
    said, fits = "a" * length, length <= workflow.LONGEST_SAID
    withdrawn = in_state(author, State.APPROVED)
    refused = f" is {length} characters long. Shorten it to {workflow.LONGEST_SAID} or fewer."
    acts = (
        (lambda: workflow.move_to_edition(draft, author, draft.edition, said), "What it changes"),
        (lambda: start_revision(withdrawn, author, said), "What it changes"),
        (lambda: apply("withdraw", withdrawn, approver, f" {said} "), "Reason"),
    )
    draft = spec(author, number="W-102")
    for act, label in acts:
        if fits:
            act()
            continue
        with pytest.raises(StepRefused) as too_long:
            act()
        assert too_long.value.reasons == (label + refused,)
    told = [each.data for each in AuditEntry.objects.all() if said in each.data.values()]
    assert len(told) == (len(acts) if fits else 0)


def test_the_buttons_offered_are_the_steps_that_would_be_taken(
    author: User, approver: User, reader: User
) -> None:
    assert [s.action for s in steps_open_to(in_state(author, State.DRAFT), author)] == ["submit", "set_aside"]
    waiting = spec(author, number="W-102", state=State.IN_REVIEW)
    assert [s.action for s in steps_open_to(waiting, approver)] == ["approve", "return"]
    assert [s.action for s in steps_open_to(waiting, author)] == ["take_back"]
    assert steps_open_to(waiting, reader) == []


def test_the_own_revision_is_not_approved_unless_the_shop_allows_it(administrator: User, shop: Shop) -> None:
    record = in_state(administrator, State.IN_REVIEW)
    assert "approve" not in [s.action for s in steps_open_to(record, administrator)]
    assert reasons("approve", record, administrator) == (
        "Authors do not approve their own records in this shop. Ask another approver. Someone who works alone"
        " checks “Authors may approve their own records” on the Shop page.",
    )
    assert not may_submit_and_approve(spec(administrator, number="W-109"), administrator)
    shop.allow_self_approval = True
    shop.save()
    assert "approve" in [s.action for s in steps_open_to(record, administrator)]
    apply("approve", record, administrator)
    assert record.state == State.APPROVED


def test_who_works_alone_submits_and_approves_in_one_act(administrator: User, shop: Shop) -> None:
    shop.allow_self_approval = True
    shop.save()
    record = in_state(administrator, State.DRAFT)
    assert may_submit_and_approve(record, administrator)
    submit_and_approve(record, administrator)
    assert record.state == State.APPROVED
    assert [entry.verb for entry in AuditEntry.objects.order_by("id")][-2:] == ["submit", "approve"]


def test_what_stands_in_the_way_leaves_the_draft_a_draft(administrator: User, shop: Shop) -> None:
    shop.allow_self_approval = True
    shop.save()
    record = spec(administrator, number="W-103")
    before = AuditEntry.objects.count()
    with pytest.raises(StepRefused, match="supporting procedure test"):
        submit_and_approve(record, administrator)
    assert (record.state, AuditEntry.objects.count()) == (State.DRAFT, before)


@pytest.mark.parametrize("role", ["author", "approver", "reader"])
def test_one_role_alone_never_does_both(role: str, shop: Shop, request: pytest.FixtureRequest) -> None:
    shop.allow_self_approval = True
    shop.save()
    person = request.getfixturevalue(role)
    assert not may_submit_and_approve(spec(person, number="W-104"), person)


def test_a_role_is_read_when_the_step_is_taken(approver: User, author: User) -> None:
    record = in_state(author, State.IN_REVIEW)
    approver.is_active = False
    assert "takes an approver" in reasons("approve", record, approver)[0]


class TestApproval:
    def test_it_freezes_entries_findings_and_tables_with_their_hash(
        self, author: User, approver: User
    ) -> None:
        record = in_state(author, State.IN_REVIEW)
        apply("approve", record, approver)
        assert (record.approved_by_name, record.approved_at.date()) == ("Tobias Quell", timezone.now().date())
        assert record.snapshot["joint"] == record.joint
        assert record.snapshot["verdict"] == "covered"
        assert record.snapshot["state"] == "approved"
        assert len(record.snapshot["code"]["fingerprint"]) == 64
        assert record.snapshot_hash == content_hash(record.snapshot)
        assert events_of(record)[0].data["snapshot"] == record.snapshot_hash

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            (
                {"line": {"filler_classification": "ER4043"}},
                "Line 1, F-Number: not covered. Entered: F-23. Qualified: F-22.",
            ),
            ({"line": {"transfer_mode": ""}}, "Line 1, Transfer mode: unknown."),
            ({"joint": {"thickness_a": "1/8-5/8"}}, "Line 1, Thickness of the thicker side: not covered."),
            ({"line": {"amps": "plenty"}}, "“plenty” could not be read"),
            ({"lines": []}, "Add at least one process line."),
        ],
    )
    def test_a_procedure_with_anything_in_the_way_is_refused(
        self, changes: dict, said: str, author: User, approver: User
    ) -> None:
        record = spec(author, procedure_test(author), **changes)
        apply("submit", record, author)
        assert said in " ".join(reasons("approve", record, approver))
        record.refresh_from_db()
        assert (record.state, record.snapshot, record.approved_by_name) == (State.IN_REVIEW, None, "")
        assert [event.verb for event in events_of(record)] == ["submit"]

    def test_a_procedure_without_a_test_is_refused(self, author: User, approver: User) -> None:
        record = spec(author, state=State.IN_REVIEW)
        assert "Name at least one supporting procedure test." in reasons("approve", record, approver)

    @pytest.mark.parametrize("state", [State.DRAFT, State.IN_REVIEW, State.SUPERSEDED, State.WITHDRAWN])
    def test_only_an_approved_test_supports_a_procedure(
        self, state: str, author: User, approver: User
    ) -> None:
        record = spec(author, procedure_test(author, state=state), state=State.IN_REVIEW)
        now = State(state).label.lower()
        said = f"Supporting test PT-014 rev 0 is {now}; only an approved test supports a procedure."
        assert said in reasons("approve", record, approver)

    def test_a_failed_test_is_approved_as_true_and_then_covers_nothing(
        self, author: User, approver: User
    ) -> None:
        failed = procedure_test(author, state=State.DRAFT, welded_on=date(2026, 3, 4))
        failed.results[2] = {**failed.results[2], "openings": "1/2"}
        failed.save()
        apply("submit", failed, author)
        apply("approve", failed, approver)
        assert failed.snapshot["range"] == []
        record = spec(author, failed, state=State.IN_REVIEW)
        assert any("Process: not covered" in each for each in reasons("approve", record, approver))

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"welded_on": None}, "State the day on which the coupon was welded."),
            (
                {"welded_on": date.today() + timedelta(days=2)},
                "The welding date is in the future; correct it.",
            ),
            ({"lines": []}, "Add at least one process line."),
            ({"results": []}, "tension"),
        ],
    )
    def test_a_test_record_with_gaps_is_refused(
        self, changes: dict, said: str, author: User, approver: User
    ) -> None:
        record = procedure_test(author, state=State.IN_REVIEW, **changes)
        assert said in " ".join(reasons("approve", record, approver))

    def test_a_procedure_test_without_its_welder_is_refused(self, author: User, approver: User) -> None:
        record = procedure_test(author, state=State.DRAFT)
        ProcedureTest.objects.filter(pk=record.pk).update(welder=None, state=State.IN_REVIEW)
        assert "State who welded the coupon." in reasons(
            "approve", ProcedureTest.objects.get(pk=record.pk), approver
        )

    def test_a_welder_test_walks_the_same_way(self, author: User, approver: User) -> None:
        record = welder_test(author, welder(), state=State.DRAFT, welded_on=date(2026, 3, 4))
        apply("submit", record, author)
        apply("approve", record, approver)
        assert record.snapshot["range"]


class TestFrozenContent:
    @pytest.mark.parametrize("state", [State.IN_REVIEW, State.APPROVED, State.SUPERSEDED, State.WITHDRAWN])
    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("number", "W-999"),
            ("joint", {}),
            ("lines", []),
            ("title", "x"),
            ("units", "si"),
            ("edition", "x"),
            ("notes", "x"),
            ("customer", "x"),
            ("revision", 7),
        ],
    )
    def test_content_of_what_is_no_draft_does_not_change(
        self, state: str, name: str, value: object, author: User
    ) -> None:
        record = in_state(author, state)
        setattr(record, name, value)
        with pytest.raises(FrozenRecord, match=f"start a new revision to change {name}"):
            record.save()
        record.refresh_from_db()
        assert getattr(record, name) != value

    def test_a_draft_changes(self, author: User) -> None:
        record = in_state(author, State.DRAFT)
        record.title = "Another"
        record.save()
        record.refresh_from_db()
        assert record.title == "Another"


class TestRevisions:
    def test_a_revision_carries_everything_over_and_says_what_it_changes(
        self, author: User, approver: User
    ) -> None:
        first = in_state(author, State.APPROVED)
        second = start_revision(first, author, " Wider root. ")
        assert {**second.content(), "revision": 0, "change_note": ""} == first.content()
        assert (second.revision, second.change_note, second.state, second.snapshot) == (
            1,
            "Wider root.",
            State.DRAFT,
            None,
        )
        assert list(second.tests.all()) == list(first.tests.all())
        assert events_of(second)[0].data == {"from": "W-101 rev 0", "change": "Wider root."}

    def test_it_counts_on_from_the_newest_even_when_an_older_one_is_revised(self, author: User) -> None:
        first = in_state(author, State.SUPERSEDED)
        spec(author, revision=1, state=State.WITHDRAWN)
        assert start_revision(first, author, "Back to the first.").revision == 2

    @pytest.mark.parametrize("open_state", [State.DRAFT, State.IN_REVIEW])
    def test_one_revision_is_written_at_a_time(self, open_state: str, author: User) -> None:
        first = in_state(author, State.APPROVED)
        spec(author, revision=1, state=open_state)
        with pytest.raises(StepRefused, match="finish or set it aside first"):
            start_revision(first, author, "Twice.")

    def test_it_takes_an_author_and_a_note(self, author: User, approver: User) -> None:
        first = in_state(author, State.APPROVED)
        with pytest.raises(StepRefused, match="takes an author"):
            start_revision(first, approver, "Mine.")
        with pytest.raises(StepRefused, match="Say in one sentence"):
            start_revision(first, author, " ")
        assert Spec.objects.count() == 1

    def test_approving_it_supersedes_the_one_before_and_writes_both_down(
        self, author: User, approver: User
    ) -> None:
        first = in_state(author, State.APPROVED)
        second = start_revision(first, author, "Wider.")
        apply("submit", second, author)
        apply("approve", second, approver)
        first.refresh_from_db()
        assert (first.state, second.state) == (State.SUPERSEDED, State.APPROVED)
        assert [event.verb for event in events_of(second)] == [
            "approve",
            "supersede",
            "submit",
            "revise",
            "approve",
        ]

    def test_the_database_itself_refuses_two_approved_or_two_open_revisions(self, author: User) -> None:
        in_state(author, State.APPROVED)
        with pytest.raises(IntegrityError), transaction.atomic():
            Spec.objects.filter(pk=spec(author, revision=1).pk).update(state=State.APPROVED)
        spec(author, number="W-102")
        with pytest.raises(IntegrityError), transaction.atomic():
            spec(author, number="W-102", revision=1)


def test_a_refusal_names_who_can_lift_it_and_the_page(
    author: User, approver: User, administrator: User, author_client: Client
) -> None:
    """Nobody is asked to find out who may approve; five names are enough for anyone."""
    record = in_state(author, State.IN_REVIEW)
    with pytest.raises(StepRefused) as refused:
        workflow.apply("approve", record, author)
    assert refused.value.reasons == (
        "“Approve” takes an approver: Tobias Quell or Hedda Brandsma. You do not have the role."
        " Hedda Brandsma, shop administrator, grants it under Shop, People.",
    )
    grant_roles(author, ["author", "approver"])
    with pytest.raises(StepRefused) as own:
        workflow.apply("approve", record, User.objects.get(pk=author.pk))
    assert own.value.reasons[0].startswith(
        "Authors do not approve their own records in this shop. Ask Tobias Quell or Hedda Brandsma."
    )
    answer = author_client.post(reverse("procedure_step", args=[record.pk]), {"action": "approve"})
    assertContains(answer, f'<a href="{reverse("shop")}">The shop', status_code=409)
    assert listed(["a", "b", "c", "d", "e", "f"]) == "a, b, c, d or 2 more"
