"""The log of a procedure test's passes: entered, refused in words, shown, printed, derived again."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertRedirects

from qualification.models import ProcedureTest, Shop, State
from qualification.records.audit import events_of
from qualification.records.pass_log import log_content
from tests.shop_records import procedure_test
from wps.documents.rederive import record_from, rederive

ROOT = {
    "pass": "1",
    "process": "GMAW",
    "amps": "150",
    "volts": "22",
    "travel_speed": "20 ipm",
    "interpass_max": "70 °F",
}


@pytest.fixture
def draft(author: User, shop: Shop) -> ProcedureTest:
    return procedure_test(author, state=State.DRAFT)


def post(record: ProcedureTest, *rows: dict[str, str], **more: str) -> dict[str, str]:
    """What the page sends: these rows, and blank ones after them."""
    sent = {"pass-TOTAL_FORMS": str(len(rows) + 2), "pass-INITIAL_FORMS": str(len(record.passes))}
    for number, row in enumerate(rows):
        sent |= {f"pass-{number}-{'number' if key == 'pass' else key}": text for key, text in row.items()}
    return {**sent, "version": record.updated_at.isoformat(), **more}


def test_passes_are_kept_as_typed_and_blank_rows_left_out(
    author_client: Client, draft: ProcedureTest
) -> None:
    address = reverse("procedure_test_passes", args=[draft.pk])
    assertContains(author_client.get(draft.get_absolute_url()), address)
    second = {"pass": "2 to 4", "amps": "155-165", "note": "Cap"}
    answer = author_client.post(address, post(draft, ROOT, second))
    assertRedirects(answer, draft.get_absolute_url())
    draft.refresh_from_db()
    assert draft.passes == [ROOT, second]
    assert events_of(draft)[0].data["detail"] == "passes"
    page = author_client.get(address)
    assertContains(page, 'value="155-165"')
    author_client.post(address, post(draft, {}, second))
    draft.refresh_from_db()
    assert draft.passes == [second], "a row that was emptied is gone"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({**ROOT, "amps": "plenty"}, "Current: “plenty” could not be read"),
        ({**ROOT, "volts": "22 in"}, "Voltage: "),
        ({key: text for key, text in ROOT.items() if key != "pass"}, "Pass: write which pass this row is of"),
        ({**ROOT, "process": "SAW"}, "Process is none of the record"),
    ],
)
def test_what_is_no_reading_is_said_and_nothing_is_lost(
    row: dict[str, str], said: str, author_client: Client, draft: ProcedureTest
) -> None:
    answer = author_client.post(reverse("procedure_test_passes", args=[draft.pk]), post(draft, row))
    assertContains(answer, said, status_code=422)
    assertContains(answer, "20 ipm", status_code=422)
    draft.refresh_from_db()
    assert draft.passes == []


def test_nobody_writes_over_what_another_saved_meanwhile(author_client: Client, draft: ProcedureTest) -> None:
    stale = post(draft, ROOT)
    draft.notes = "Another hand."
    draft.save()
    answer = author_client.post(reverse("procedure_test_passes", args=[draft.pk]), stale)
    assert answer.status_code == 409
    assertContains(answer, 'value="150"', status_code=409)
    draft.refresh_from_db()
    assert draft.passes == []


def test_an_approved_log_is_closed_shown_printed_and_derivable(
    author_client: Client, author: User, shop: Shop
) -> None:
    """150 A x 22 V x 60 / (20 in/min x 1000) = 9.9 kJ/in (QW-409.1(a), volts times amps by travel speed)."""
    test = procedure_test(author, passes=[ROOT])
    assertRedirects(
        author_client.get(reverse("procedure_test_passes", args=[test.pk])), test.get_absolute_url()
    )
    page = author_client.get(test.get_absolute_url())
    assertContains(page, "Pass by pass")
    assertContains(page, "9.9 kJ/in")
    assert test.snapshot is not None
    assert test.snapshot["pass_log"]["rows"][0][-1].startswith("9.9 kJ/in")
    assert rederive({"content": test.snapshot, "evidence": []}).matches
    older = {key: value for key, value in test.snapshot.items() if key not in ("passes", "pass_log")}
    assert record_from(older).passes == []  # type: ignore[attr-defined]


def test_a_column_nothing_is_stated_in_is_left_out_and_the_shops_units_stand_first() -> None:
    made = log_content([{"pass": "1", "travel_speed": "20 ipm"}, {"pass": "2"}], "us", "si")
    assert made["heads"] == ["Pass", "Travel speed"]
    assert made["rows"] == [["1", "508 mm/min (20 in/min)"], ["2", ""]]


@pytest.mark.parametrize(
    ("travel", "energy"),
    [("20", "9.9 kJ/in (0.39 kJ/mm)"), ("18-22", "9 to 11 kJ/in (0.35 to 0.43 kJ/mm)"), ("", "")],
)
def test_arc_energy_runs_from_least_to_most_and_is_never_guessed(travel: str, energy: str) -> None:
    made = log_content([{"pass": "1", "amps": "150", "volts": "22", "travel_speed": travel}], "us", "us")
    assert made["rows"][0][-1] == energy or (not energy and "Arc energy by the readings" not in made["heads"])
