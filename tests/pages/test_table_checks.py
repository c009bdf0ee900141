"""Holding a row of the code tables against the shop's own copy: confirm, correct, take back, and what that
changes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.codes.editions_in_force import edition_in_force, in_force, stale_checks
from qualification.codes.table_values import as_typed, value_like
from qualification.evidence.coverage import range_of
from qualification.models import AuditEntry, Shop, State, TableCheck
from qualification.records.audit_check import first_break
from qualification.rules.editions.loader import edition, editions, shipped_files
from qualification.rules.tabular.overlay import leaves_of, rows_of
from qualification.snapshots.snapshot import test_content as content_of_test
from qualification.views import code_tables
from tests.shop_records import EDITION, procedure_test, spec
from wps.corrections.rejudging import changes_under
from wps.documents.context import content_of, document_context

pytestmark = pytest.mark.django_db


def place_of(file: str, **wanted: Any) -> str:
    """Where the first row with these entries stands."""
    rows = rows_of(shipped_files(EDITION))
    return next(
        "/".join(map(str, p))
        for f, p, r in rows
        if f == f"{file}.toml" and all(r.get(k) == v for k, v in wanted.items())
    )


PREHEAT = place_of("procedure", variable="preheat_min")


def url(place: str = PREHEAT, file: str = "procedure") -> str:
    return reverse("table_row", args=[EDITION, file, place])


def post(client: Client, place: str = PREHEAT, file: str = "procedure", **changes: str) -> Any:
    """The row's form as it stands, with values changed by their path (`with.allowance.us`)."""
    page = client.get(url(place, file))
    form = page.context["form"]
    names = {".".join(map(str, path)): name for name, path in form.leaves.items()}
    data = {name: form.fields[name].initial for name in form.leaves}
    data |= {"checked_on": "2026-01-15", "copy": "2023 edition, office copy 2"}
    data |= {names.get(key, key): text for key, text in changes.items()}
    return client.post(url(place, file), data)


def save(client: Client, place: str = PREHEAT, file: str = "procedure", **changes: str) -> Any:
    """Both steps of a correction."""
    shown = post(client, place, file, **changes)
    return post(client, place, file, **changes, seen=shown.context["token"])


ALLOWANCE = "with.allowance.us"


def test_a_row_left_as_it_is_is_confirmed_in_one_step_and_audited(approver_client: Client) -> None:
    answer = post(approver_client)
    assertRedirects(answer, url())
    made = TableCheck.objects.get()
    assert (made.person_name, made.copy, made.changes) == ("Tobias Quell", "2023 edition, office copy 2", [])
    row = next(r for r in edition_in_force(EDITION).procedure if r.variable == "preheat_min")
    assert row.citation.provenance.value == "shop"
    assert AuditEntry.objects.get(record_kind="table check").verb == "confirm_row"
    assert first_break() is None
    assertContains(
        approver_client.get(url()),
        "Confirmed by Tobias Quell on 2026-01-15 against 2023 edition, office copy 2.",
    )


def test_the_code_tables_show_the_edition_in_force(approver_client: Client, reader_client: Client) -> None:
    post(approver_client)
    answer = reader_client.get(reverse("code_tables"), {"provenance": "shop"})
    assertContains(answer, "1 of")
    assertContains(answer, "confirmed by the shop against its own copy")
    assertNotContains(answer, "Check against our copy")
    assertContains(approver_client.get(reverse("code_tables"), {"clause": "QW-406.1"}), f'href="{url()}"')


def test_only_an_approver_may_check(reader_client: Client, author_client: Client) -> None:
    for client in (reader_client, author_client):
        assert client.get(url()).status_code == 403
        assert client.post(url(), {}).status_code == 403


def test_a_correction_is_shown_with_what_it_changes_before_it_is_saved(
    approver_client: Client, author: User
) -> None:
    test = procedure_test(author)
    spec(author, test, joint={"preheat_min": "0 °F"})
    shown = post(approver_client, **{ALLOWANCE: "10 °F"})
    assert shown.status_code == 200
    assert not TableCheck.objects.exists()
    assertContains(shown, "What the correction changes")
    assertContains(shown, "PT-014 rev 0")
    assertContains(shown, "W-101 rev 0")
    assertContains(shown, "Not covered: lowest preheat.")
    assert "preheat" in {
        limit.variable.split("_")[0] for line in range_of(test).lines for limit in line.limits
    }
    answer = post(approver_client, **{ALLOWANCE: "10 °F"}, seen=shown.context["token"])
    assertRedirects(answer, url())
    assert TableCheck.objects.get().changes == [[["with", "allowance", "us"], "10 °F"]]
    entry = AuditEntry.objects.get(record_kind="table check")
    assert entry.verb == "correct_row"
    assert {each["record"] for each in entry.data["records"]} == {"PT-014 rev 0", "W-101 rev 0"}


def test_what_was_shown_is_what_is_saved(approver_client: Client) -> None:
    shown = post(approver_client, **{ALLOWANCE: "10 °F"})
    other = post(approver_client, **{ALLOWANCE: "20 °F"}, seen=shown.context["token"])
    assert other.status_code == 200
    assert not TableCheck.objects.exists()


def test_a_corrected_row_judges_and_prints_as_the_shops(approver_client: Client, author: User) -> None:
    test = procedure_test(author, state=State.DRAFT)
    save(approver_client, **{ALLOWANCE: "10 °F"})
    row = next(r for r in content_of_test(test)["range"] if r["variable"] == "preheat_min")
    assert row["qualified"] == "50 °F or more (10 °C or more)"
    assert row["provenance"] == "shop"
    assert row["remark"].startswith("Corrected by Tobias Quell")
    unconfirmed = document_context(content_of(test))["unconfirmed"]
    assert not any("preheat" in each for each in unconfirmed)
    assert unconfirmed, "other rows of this coupon still rest on memory"


def test_the_sentence_that_names_a_number_is_corrected_with_it(approver_client: Client, author: User) -> None:
    test = procedure_test(author, state=State.DRAFT)
    save(
        approver_client,
        **{ALLOWANCE: "10 °F", "because": "The lowest preheat may lie up to 10 °F below the tested preheat."},
    )
    row = next(r for r in content_of_test(test)["range"] if r["variable"] == "preheat_min")
    assert row["because"] == "The lowest preheat may lie up to 10 °F below the tested preheat."


def test_confirming_after_a_correction_keeps_it_and_shipping_values_undo_it(approver_client: Client) -> None:
    save(approver_client, **{ALLOWANCE: "10 °F"})
    post(approver_client)
    assert TableCheck.objects.last().changes == [[["with", "allowance", "us"], "10 °F"]]
    shown = post(approver_client, **{ALLOWANCE: "100 °F"})
    assert "token" in shown.context, "going back to what ships alters what is in force"
    save(approver_client, **{ALLOWANCE: "100 °F"})
    assert TableCheck.objects.last().changes == []


@pytest.mark.parametrize(
    ("field", "text", "message"),
    [
        (ALLOWANCE, "", "write a value, or take over: 100 °F"),
        (ALLOWANCE, "a lot", "procedure.toml"),
        (ALLOWANCE, "100 mm", "procedure.toml"),
        ("checked_on", "", "Enter the day on which the row was checked against the copy."),
        ("copy", "", "Enter which copy of the code it was checked against."),
    ],
)
def test_what_spoils_a_table_is_refused_at_the_field_and_keeps_what_was_typed(
    field: str, text: str, message: str, approver_client: Client
) -> None:
    answer = post(approver_client, **{ALLOWANCE: "90 °F", field: text})
    assert answer.status_code == 422
    form = answer.context["form"]
    names = {".".join(map(str, path)): name for name, path in form.leaves.items()}
    assert message in str(form.errors[names.get(field, field)])
    assert len(form.errors) == 1
    assert not TableCheck.objects.exists()
    if field != ALLOWANCE:
        assertContains(answer, 'value="90 °F"', status_code=422)


def test_a_check_made_tomorrow_is_refused(approver_client: Client) -> None:
    answer = post(approver_client, checked_on=f"{timezone.localdate() + timedelta(days=1)}")
    assertContains(answer, "lies in the future", status_code=422)


def test_a_number_that_is_none_is_refused_at_its_field(approver_client: Client) -> None:
    place = place_of("bands", low_factor=1)
    answer = post(approver_client, place, "bands", low_factor="half")
    assertContains(answer, "“half” is not a number. Write it like 1.", status_code=422)
    answer = post(approver_client, place, "bands", unlimited="maybe")
    assertContains(answer, "“maybe” is neither yes nor no.", status_code=422)


def test_a_check_is_taken_back_with_a_reason(approver_client: Client, author: User) -> None:
    procedure_test(author)
    save(approver_client, **{ALLOWANCE: "10 °F"})
    made = TableCheck.objects.get()
    address = reverse("table_check_take_back", args=[made.pk])
    page = approver_client.get(address)
    assertContains(page, "PT-014 rev 0")
    assertContains(
        approver_client.post(address, {"reason": " "}), "Write the reason in one sentence.", status_code=422
    )
    assertRedirects(approver_client.post(address, {"reason": "Read in the wrong column."}), url())
    made.refresh_from_db()
    assert made.taken_back_because == "Read in the wrong column."
    assert edition_in_force(EDITION) == edition(EDITION)
    assert AuditEntry.objects.last().verb == "take_back_check"
    assert approver_client.get(address).status_code == 404
    assertContains(approver_client.get(url()), "Taken back: Read in the wrong column.")


def test_a_check_of_a_row_that_has_changed_since_is_listed(
    approver_client: Client, reader_client: Client
) -> None:
    post(approver_client)
    TableCheck.objects.update(row_hash="0" * 64, recorded_at=timezone.now())
    (made,) = stale_checks(EDITION)
    for client in (reader_client, approver_client):
        assertContains(client.get(reverse("code_tables")), "1 check of this shop has no effect")
    assertContains(approver_client.get(url()), "Without effect: the row has changed since.")
    TableCheck.objects.update(path=["row", 9999], recorded_at=timezone.now())
    page = approver_client.get(reverse("code_tables"))
    assertContains(page, reverse("table_check_take_back", args=[made.pk]))
    answer = approver_client.post(
        reverse("table_check_take_back", args=[made.pk]), {"reason": "The row is gone."}
    )
    assertRedirects(answer, f"{reverse('code_tables')}?edition={EDITION}")
    assert stale_checks(EDITION) == []


def test_there_is_no_page_for_a_row_that_is_none(approver_client: Client) -> None:
    for address in (
        url("row/9999"),
        url(PREHEAT, "sources"),
        reverse("table_row", args=["no_such", "bands", "x"]),
    ):
        assert approver_client.get(address).status_code == 404


def test_every_row_has_a_page_whose_values_read_back_as_they_are(approver_client: Client, shop: Shop) -> None:
    """Each correctable value goes out as text and comes back the same: a plain confirmation never alters a
    row."""
    for key in editions():
        for _, _, row in rows_of(shipped_files(key)):
            for _, value in leaves_of(row):
                assert value_like(value, as_typed(value)) == value
    for place, file in (
        (place_of("specimens", group="bends"), "specimens"),
        (place_of("bands", low_factor=1), "bands"),
    ):
        assertRedirects(post(approver_client, place, file), url(place, file))
    assert (
        len(
            [
                r
                for t in code_tables.tables_in_words(in_force(EDITION).edition, in_force(EDITION).files)
                for r in t.rows
                if r.provenance == "shop"
            ]
        )
        == 2
    )


def test_what_is_supposed_ends_with_the_question(author: User) -> None:
    procedure_test(author)
    before = edition_in_force(EDITION)
    assert changes_under(before) == []
    assert edition_in_force(EDITION) is before
