"""The partials that pages of controlled records share: steps, history, range and citation."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.template.loader import render_to_string

from qualification.models import State
from qualification.records import history, workflow
from qualification.views.steps import Refusal
from tests.folded_pages import folded
from tests.shop_records import approve, procedure_test

ROW = {
    "label": "Thickness",
    "found": "1/4 in",
    "qualified": "1/16 to 1/2 in",
    "when": "",
    "because": "The coupon sets it.",
    "note": "",
    "standing": "essential",
    "clause": "QW-451.1",
    "provenance": "published",
    "provenance_words": "public source",
    "sources": [{"title": "A page", "url": "https://page.example/"}],
    "remark": "",
}


def steps(action: str, refusal: Refusal | None = None, **more: Any) -> str:
    found = [step for step in workflow.STEPS if step.action == action]
    return render_to_string(
        "_band.html",
        {"steps": found, "refusal": refusal, "step_url": "/step/", "revise_url": "/revise/", **more},
    )


def test_a_step_that_needs_a_reason_asks_for_it_behind_a_summary() -> None:
    plain, with_reason = steps("submit"), steps("withdraw")
    assert "<details" not in plain
    assert '<details class="step">' in with_reason
    assert 'name="reason"' in with_reason
    assert "button--danger" in with_reason


def test_a_refused_step_stays_open_with_its_reasons_and_what_was_typed() -> None:
    html = steps(
        "withdraw", Refusal("withdraw", "Withdraw", ("It is superseded <already>.",), "Drawing & note")
    )
    assert '<details class="step" open>' in html
    assert "It is superseded &lt;already&gt;." in html
    assert 'value="Drawing &amp; note"' in html
    assert 'role="alert"' in html


def test_without_a_step_there_is_no_section() -> None:
    assert render_to_string("_steps.html", {"steps": [], "may_revise": False}).strip() == ""
    assert "What it changes" in render_to_string(
        "_steps.html", {"steps": [], "may_revise": True, "revise_url": "/revise/"}
    )


def test_every_step_of_the_workflow_has_words_for_the_history() -> None:
    verbs = {step.action for step in workflow.STEPS} | {workflow.SUPERSEDE, "create", "change", "revise"}
    assert verbs <= set(history.VERBS)


def test_a_history_tells_who_did_what_to_which_revision_and_why(author: User, approver: User) -> None:
    record = procedure_test(author, state=State.DRAFT, welded_on=date(2026, 3, 4))
    approve(record, author, approver)
    workflow.apply("withdraw", record, approver, "The laboratory recalled its report")
    events = history.history_of(record)
    assert [(e.who, e.did, e.detail) for e in events] == [
        ("Tobias Quell", "withdrew it", "The laboratory recalled its report"),
        ("Tobias Quell", "approved it", ""),
        ("Maren Oosting", "submitted it for review", ""),
    ]
    html = render_to_string("_history.html", {"events": events, "revisions": [record], "record": record})
    assert "Tobias Quell withdrew it: “The laboratory recalled its report”" in html
    assert "Nothing is recorded yet." in render_to_string("_history.html", {"events": []})


def test_a_verb_without_words_is_shown_as_it_is() -> None:
    from qualification.models import AuditEntry

    entry = AuditEntry(
        at=datetime(2031, 1, 2, tzinfo=UTC),
        actor_name="Maren Oosting",
        verb="sign_off",
        record_name="PT-014 rev 0",
        data={},
    )
    assert history.event_of(entry).did == "sign off"


@pytest.mark.parametrize(
    ("change", "shown"),
    [
        ({}, "Always"),
        ({"when": "weld type: groove"}, "Weld type: groove"),
        ({"standing": "supplementary"}, "Where toughness is required"),
        ({"qualified": "up to 250 °F"}, "<strong>Up to 250 °F</strong>"),
        ({"remark": "From memory in part."}, "<summary>Remark</summary>"),
        ({"sources": []}, "public source</span>"),
        ({"note": "Half of it."}, "The coupon sets it. Half of it."),
    ],
)
def test_a_row_of_a_range_says_when_and_by_which_clause(change: dict[str, Any], shown: str) -> None:
    html = render_to_string("_range.html", {"rows": [{**ROW, **change}], "label": "GMAW"})
    assert shown in html
    assert '<span class="clause">QW-451.1</span>' in html


def test_sources_are_links_with_their_title() -> None:
    two = [*ROW["sources"], {"title": "Another <page>", "url": "https://other.example/?a=1&b=2"}]
    html = folded(render_to_string("_citation.html", {"row": {**ROW, "sources": two}}))
    assert 'href="https://other.example/?a=1&amp;b=2"' in html
    assert 'source 2<span class="visually-hidden">: Another &lt;page&gt;</span>' in html
    assert "source<span" in render_to_string("_citation.html", {"row": ROW})
