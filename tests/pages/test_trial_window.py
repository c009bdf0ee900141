"""The settings window: accepted trials of one set-up, held within what a test qualifies, with how weak it
is."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from qualification.models import ProcedureTest, Shop, Trial
from qualification.trials.window_chart import chart_of
from tests.pages.trial_log_pages import bring, confirm
from tests.shop_records import RESULTS, procedure_test
from tests.trial_records import trial, weld_pass
from tests.waveforms import pulsed_csv


@pytest.fixture
def accepted(author: User, shop: Shop) -> list[Trial]:
    """Three accepted trials of one set-up, one of them read in production."""
    made = [
        trial(author, verdict="accepted"),
        trial(author, "T-002", verdict="accepted", line={"wire_feed": "445"}),
        trial(author, "T-003", verdict="accepted", purpose="production", line={"wire_feed": "436"}),
    ]
    for each, amps in zip(made, ("150", "158", "171"), strict=True):
        weld_pass(each, 1, amps=amps)
    return made


def page(client: Client, of: Trial, test: object = None) -> HttpResponse:
    return client.get(reverse("trial_window", args=[of.pk]) + (f"?test={test.pk}" if test else ""))  # type: ignore[attr-defined]


def words(answer: HttpResponse) -> str:
    html = answer.content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html[html.index("<main") :]))


def proposed(client: Client, of: Trial, test: object = None) -> dict[str, str]:
    return {row.label: row.proposed for row in page(client, of, test).context["window"].rows}


def test_the_window_reaches_from_lowest_to_highest_reading(
    accepted: list[Trial], reader_client: Client
) -> None:
    found = proposed(reader_client, accepted[0])
    assert found["Wire feed speed"].startswith("430 to 445 in/min")
    assert found["Current"] == "150 to 171 A"
    said = words(page(reader_client, accepted[0]))
    assert "Rests on 3 accepted trials, 1 of them read in production: T-001 , T-002 , T-003 ." in said
    assert "No test is chosen: these ranges say what was done, not what is qualified." in said


def test_it_says_how_weak_it_is(accepted: list[Trial], reader_client: Client) -> None:
    """2 in n + 1 of further welds fall outside the span of n (order statistics): 2 in 4 for three."""
    said = words(page(reader_client, accepted[0]))
    assert (
        "Rests on 3 readings of 3 welds: of further welds made alike, "
        "about 50 in 100 would be read outside it." in said
    )


def test_trials_of_another_set_up_are_left_out_and_named(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    other = trial(author, "T-004", verdict="accepted", line={"gun": "ordinary", "wire_feed": "700"})
    said = words(page(reader_client, accepted[0]))
    assert "T-004 : differs in gun" in said
    assert proposed(reader_client, accepted[0])["Wire feed speed"].startswith("430 to 445")
    assert proposed(reader_client, other)["Wire feed speed"].startswith("700 in/min")


@pytest.mark.parametrize("verdict", ["open", "rejected"])
def test_only_accepted_trials_count(
    verdict: str, accepted: list[Trial], author: User, reader_client: Client
) -> None:
    trial(author, "T-004", verdict=verdict, line={"wire_feed": "700"})
    assert proposed(reader_client, accepted[0])["Wire feed speed"].startswith("430 to 445")


def test_without_an_accepted_trial_there_is_no_window(
    author: User, reader_client: Client, shop: Shop
) -> None:
    said = words(page(reader_client, trial(author)))
    assert "No accepted trial has this set-up." in said
    assert "Take the window" not in said


def aluminium_code_test(author: User) -> ProcedureTest:
    """A test under a code that lets the current move by a share of the mean of its passes."""
    visual = {"craters_filled": "yes", "undercut": "0", "reinforcement": "1/16"}
    results = [{**each, **visual} if each["kind"] == "visual" else each for each in RESULTS]
    return procedure_test(
        author, edition="aws_d1_2_2014", results=results, line={"amps": "150-160", "amps_mean": "155"}
    )


def test_it_is_held_within_what_a_test_qualifies(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    """10 % around the mean of the passes, 155 A, is 139.5 to 170.5 A; 171 A was read and is not taken up."""
    answer = page(reader_client, accepted[0], aluminium_code_test(author))
    (current,) = [row for row in answer.context["window"].rows if row.label == "Current"]
    proposal = current.window.proposed
    assert (proposal.low, proposal.high) == (Decimal(150), Decimal("170.5"))
    assert current.clauses == "3 Part C, Table 3.1"
    assert "Current as read, 150 to 171 A, was cut to what the test qualifies: " in words(answer)


def test_readings_wholly_outside_propose_nothing(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author, verdict="accepted")
    weld_pass(made, 1, amps="210")
    answer = page(reader_client, made, aluminium_code_test(author))
    assert proposed(reader_client, made, answer.context["chosen"])["Current"] == "Nothing"
    assert "Current as read, 210 A, lies outside what the test qualifies: " in words(answer)


def test_a_measured_energy_is_a_reading(accepted: list[Trial], author_client: Client) -> None:
    confirm(author_client, bring(author_client, accepted[0], pulsed_csv()))
    assert proposed(author_client, accepted[0])["Heat input"].startswith("11.1 kJ/in")


def test_a_test_that_qualifies_nothing_says_why(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    test = procedure_test(author, results=[])
    said = words(page(reader_client, accepted[0], test))
    assert f"{test} gives no limits" in said


def test_parts_of_the_set_up_that_are_not_stated_are_counted(
    author: User, reader_client: Client, shop: Shop
) -> None:
    made = trial(author, verdict="accepted", line={"gun": "", "filler_diameter": ""})
    assert "2 of these are not stated on T-001." in words(page(reader_client, made))


def test_the_corners_of_the_window_together(accepted: list[Trial], reader_client: Client) -> None:
    # worked by us: 171 A and 21.5 V at 20 in/min are 11.0 kJ/in, 150 A are 9.7
    assert "together allow an arc energy of 9.7 to 11 kJ/in" in words(page(reader_client, accepted[0]))


def test_rejected_trials_bound_it(accepted: list[Trial], author: User, reader_client: Client) -> None:
    bad = trial(author, "T-004", verdict="rejected", line={"wire_feed": "440"})
    weld_pass(bad, 1, amps="165")
    answer = page(reader_client, accepted[0])
    assert proposed(reader_client, accepted[0])["Current"] == "150 to 158 A"
    assert "Bounded by 1 rejected trial of the same set-up: T-004 ." in words(answer)
    assert "Ends before rejected welds (T-004). 171 A was accepted too, beyond them" in words(answer)


def test_a_test_that_qualifies_nothing_leaves_nothing_to_propose(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    test = procedure_test(author, results=[])
    assert set(proposed(reader_client, accepted[0], test).values()) == {"Nothing"}


def test_a_setting_is_drawn_against_the_verdict_and_two_as_a_map(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    bad = trial(author, "T-004", verdict="rejected", line={"wire_feed": "440"})
    weld_pass(bad, 1, amps="165", volts="25")
    answer = reader_client.get(reverse("trial_window", args=[accepted[0].pk]) + "?x=amps")
    assert "Current, A: 3 accepted and 1 rejected. Filled circle: accepted. Cross: rejected." in words(answer)
    assert answer.context["points"][-1] == ("T-004", "Rejected", "165", "")
    for query, name in (
        ("?x=amps", "Current, A by verdict"),
        ("?x=amps&y=volts", "Voltage, V against Current, A"),
    ):
        drawn = reader_client.get(reverse("trial_window_chart", args=[accepted[0].pk]) + query)
        assert drawn.headers["Content-Type"] == "image/svg+xml"
        assert f"<title>{name}</title>" in drawn.content.decode()
    narrow = reader_client.get(
        reverse("trial_window_chart", args=[accepted[0].pk]) + "?x=amps&y=volts&narrow=1"
    ).content.decode()
    # 3.6 in at 72 points each, half of the drawing for a desk, with letters of the same size
    assert 'viewBox="0 0 259.2 259.2"' in narrow
    on_map = reader_client.get(reverse("trial_window", args=[accepted[0].pk]) + "?x=amps&y=volts")
    assert on_map.context["points"][-1] == ("T-004", "Rejected", "165", "25")


def test_what_a_test_qualifies_lies_behind_the_chart(
    accepted: list[Trial], author: User, reader_client: Client
) -> None:
    answer = page(reader_client, accepted[0], aluminium_code_test(author))
    chart = chart_of(answer.context["window"], "amps")
    assert chart is not None
    assert chart.qualified[0] == (139.5, 170.5)
    assert chart.proposed[0] == (150.0, 170.5)


def test_what_was_set_alike_is_offered_last_and_said_to_be(
    accepted: list[Trial], reader_client: Client
) -> None:
    answer = page(reader_client, accepted[0])
    labels = [label for _, label in answer.context["axes"]]
    alike = [label.endswith(" (set alike on all)") for label in labels]
    assert alike == sorted(alike)
    assert {"Voltage (set alike on all)", "Current"} <= set(labels)
    (volts,) = [row for row in answer.context["window"].rows if row.label == "Voltage"]
    assert volts.window.constant
    assert volts.proposed == "21.5 V"


def test_a_failed_test_widens_nothing(accepted: list[Trial], author: User, reader_client: Client) -> None:
    """A test that failed is on file and can be chosen; it qualifies nothing, so nothing is proposed."""
    results = [{**each, "broken": "yes"} if "bend" in str(each["kind"]) else each for each in RESULTS]
    assert results != RESULTS
    test = procedure_test(author, results=results)
    assert set(proposed(reader_client, accepted[0], test).values()) == {"Nothing"}
    assert f"{test} gives no limits" in words(page(reader_client, accepted[0], test))


def test_without_trials_there_is_no_chart(author: User, reader_client: Client, shop: Shop) -> None:
    made = trial(author)
    assert page(reader_client, made).context["chart"] is None
    assert reader_client.get(reverse("trial_window_chart", args=[made.pk])).status_code == 404
