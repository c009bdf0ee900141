"""The log of trials: what changed between neighbours, starting, copying once, finding."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import AuditEntry, Shop, Trial
from qualification.trials import store
from tests.trial_records import LINE, trial

LIST = "/trials/"


def test_a_new_log_says_how_to_begin(author_client: Client, shop: Shop) -> None:
    html = author_client.get(LIST).content.decode()
    assert "There is no trial yet. Start one with the process you are about to weld." in html
    assert "New GMAW" in html


def test_a_trial_starts_with_its_process_and_the_shops_units(author_client: Client, shop: Shop) -> None:
    answer = author_client.post(reverse("trial_start"), {"process": "GTAW", "token": str(uuid4())})
    made = Trial.objects.get()
    assert answer.url == reverse("trial_edit", args=[made.pk])
    assert (made.number, made.line, made.units, made.author_name) == (
        "T-001",
        {"process": "GTAW"},
        "us",
        "Maren Oosting",
    )
    assert not AuditEntry.objects.filter(record_kind="trial").exists()


def test_asking_twice_with_one_token_makes_one_trial(author: User, author_client: Client, shop: Shop) -> None:
    source, token = trial(author), str(uuid4())
    for address, data in (
        (reverse("trial_start"), {"process": "GMAW", "token": token}),
        (reverse("trial_copy", args=[source.pk]), {"token": str(uuid4())}),
    ):
        first, second = (author_client.post(address, data) for _ in range(2))
        assert first.url == second.url
    assert Trial.objects.count() == 3


def test_an_unknown_process_starts_nothing(author_client: Client, shop: Shop) -> None:
    assert author_client.post(reverse("trial_start"), {"process": "HAMMER"}).status_code == 400
    assert not Trial.objects.exists()


def test_a_copy_takes_the_settings_and_leaves_results_and_readings(
    author: User, author_client: Client, shop: Shop
) -> None:
    source = trial(
        author,
        passes=2,
        line={"seen_wetting": "cold", "tips_used": "2"},
        verdict="rejected",
        note="Toes cold.",
    )
    author_client.post(reverse("trial_copy", args=[source.pk]), {"token": str(uuid4())})
    made = Trial.objects.get(copied_from=source)
    assert (made.number, made.joint, made.line) == ("T-002", source.joint, LINE)
    assert (made.verdict, made.note, made.passes.count()) == ("open", "", 0)


def test_the_list_says_what_changed_against_the_one_before(
    author: User, reader_client: Client, shop: Shop
) -> None:
    first = trial(author, line={"seen_wetting": "cold"})
    trial(author, "T-002", copied_from=first, line={"low_level": "55"})
    trial(author, "T-003", copied_from=first, joint={"thickness_a": "6.35 mm"})
    html = reader_client.get(LIST).content.decode()
    assert "One thing changed. Low-level percentage raised from 50% to 55%." in html
    assert "<strong>Against T-001:</strong> Nothing changed." in html  # 1/4 in and 6.35 mm are the same
    assert "Wetting at the toes: cold, rolled over" in html
    assert "change one thing" not in html  # a reader starts nothing


def test_a_trial_without_a_source_is_held_against_the_last_of_its_process(
    author: User, reader_client: Client, shop: Shop
) -> None:
    trial(author)
    trial(author, "T-002", line={"process": "GTAW"})
    trial(author, "T-003", line={"wire_feed": "450"})
    html = reader_client.get(LIST).content.decode()
    assert (
        "<strong>Against T-001:</strong> One thing changed. "
        "Wire feed speed raised from 430 in/min to 450 in/min." in html
    )
    assert "Against T-002" not in html


@pytest.mark.parametrize(
    ("query", "found"),
    [("?q=toes", ["T-002"]), ("?verdict=accepted", ["T-001"]), ("?q=t-001", ["T-001"]), ("?q=nothing", [])],
)
def test_trials_are_found(
    query: str, found: list[str], author: User, reader_client: Client, shop: Shop
) -> None:
    trial(author, verdict="accepted")
    trial(author, "T-002", note="Toes cold.")
    answer = reader_client.get(LIST + query)
    assert [row.trial.number for row in answer.context["rows"]] == found
    assert ("No trial fits." in answer.content.decode()) is (not found)


def test_a_reader_starts_no_trial(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author)
    for address in (
        reverse("trial_start"),
        reverse("trial_copy", args=[made.pk]),
        reverse("trial_edit", args=[made.pk]),
    ):
        assert reader_client.post(address, {"process": "GMAW"}).status_code == 403
    assert Trial.objects.count() == 1


def test_a_number_somebody_took_meanwhile_is_passed_over(
    author: User, author_client: Client, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    trial(author)
    found = iter(["T-001", "T-002"])
    monkeypatch.setattr(store, "next_number", lambda taken, first: next(found))
    author_client.post(reverse("trial_start"), {"process": "GMAW", "token": str(uuid4())})
    assert Trial.objects.latest("pk").number == "T-002"
