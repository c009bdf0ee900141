"""A shop's own edition: entered from a page of an invented book, published, used, withdrawn. What each answer
should be is reckoned by hand from the page in `tests/ellery_works.py`."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes import own_compare, own_editions
from qualification.codes.editions import available_editions, edition_name, editions_for_procedures
from qualification.codes.editions_in_force import edition_in_force, in_force
from qualification.codes.own_tables import files_of, parsed
from qualification.models import OwnEdition
from qualification.rules.editions.edition_facts import EditionKind
from tests.ellery_works import (
    COUPON,
    HEAD,
    OWN_TEST,
    THICKNESS,
    add_case,
    begun,
    published,
    said,
    start,
    with_page,
)
from tests.shop_records import procedure_test, spec
from wps.today.limits import parents_changed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _few_documents(monkeypatch: pytest.MonkeyPatch) -> None:
    """The laws have tests of their own; here they run, on few documents."""
    monkeypatch.setattr(own_editions, "DOCUMENTS", 2)


def test_a_draft_is_used_by_nothing_until_it_is_published(approver_client: Client) -> None:
    own = with_page(approver_client, begun(approver_client))
    assert own.key not in dict(available_editions())
    refused = approver_client.post(reverse("own_edition_publish", args=[own.pk]))
    assertContains(refused, "It was not published", status_code=422)
    add_case(approver_client, own, "1/2 in", "covered")
    wrong = add_case(approver_client, own, "0.49 in", "not_covered")
    assert wrong.status_code == 302
    refused = approver_client.post(reverse("own_edition_publish", args=[own.pk]))
    assertContains(refused, "Case “Weld of 0.49 in”", status_code=422)
    own.refresh_from_db()
    assert own.is_draft


def test_published_it_is_offered_judges_and_is_withdrawn(
    approver_client: Client, author: User, approver: User
) -> None:
    own = published(approver_client)
    assert (own.key, "Ellery Works Code, 3") in editions_for_procedures()
    assert own.proof == {"cases": 2, "documents": 2, "seed": 1}
    assert edition_in_force(own.key).fingerprint == own.fingerprint
    assert "own_" in own.key
    made = spec(author, procedure_test(author, edition=own.key, state="draft"), edition=own.key)
    page = approver_client.get(made.get_absolute_url())
    assertContains(page, "Ellery Works Code, 3")

    address = reverse("own_edition_withdraw", args=[own.pk])
    assertContains(approver_client.get(address), str(made.number))
    assert approver_client.post(address, {"reason": ""}).status_code == 422
    assert approver_client.post(address, {"reason": "The book was replaced."}).status_code == 302
    assert own.key not in dict(available_editions())
    assert edition_name(own.key) == "Ellery Works Code, 3 (withdrawn)"
    assertContains(approver_client.get(made.get_absolute_url()), "Ellery Works Code, 3")
    assertContains(approver_client.get(own.get_absolute_url()), "The book was replaced.")


def test_its_pages_say_that_its_rules_are_the_shops_own(approver_client: Client) -> None:
    own = published(approver_client)
    for address in (own.get_absolute_url(), f"{reverse('code_tables')}?edition={own.key}"):
        page = approver_client.get(address)
        assertContains(page, EditionKind.SHOP.words)
        assertNotContains(page, EditionKind.OPEN_PAGES.words)
        assert [link.label for link in page.context["navigation"] if link.is_within] == ["Code tables"]


def test_a_row_says_what_it_does_to_a_coupon_before_it_is_saved(approver_client: Client) -> None:
    own = with_page(approver_client, begun(approver_client))
    tried = approver_client.post(
        start(own, "procedure", variable="thickness_thicker", rule="band"),
        {**THICKNESS, "try": "1", "example-coupon": COUPON, "example-units": "us", "example-test": ""},
    )
    words = said(tried)
    assert "1/8 to 1/2 in" in words  # half of 1/4, twice 1/4
    assert "Half to twice the thickness of the coupon." in words
    assert len(files_of(OwnEdition.objects.get())["procedure.toml"]["row"]) == 2


def test_what_the_loader_refuses_is_said_with_row_and_entry_and_keeps_what_was_typed(
    approver_client: Client,
) -> None:
    own = with_page(approver_client, begun(approver_client))
    again = start(own, "procedure", variable="thickness_thinner", rule="band")
    refused = approver_client.post(again, {**THICKNESS, "note": "Typed by hand"})
    assertContains(refused, "row 3 (P.5): says the same as row 2 (P.5)", status_code=422)
    assertContains(refused, 'value="Typed by hand"', status_code=422)
    refused = approver_client.post(again, {**THICKNESS, "clause": "P.6", "weld_when": "Weld kind: groove"})
    assertContains(refused, "is no property of a weld", status_code=422)
    refused = approver_client.post(again, {**THICKNESS, "clause": "", "weld_when": ""})
    assertContains(refused, "Clause: enter a value.", status_code=422)
    fixed = start(own, "procedure", variable="weld_type", rule="fixed")
    refused = approver_client.post(fixed, {**OWN_TEST, "clause": "P.7", "with-allowed": "groove, brick"})
    assertContains(refused, "&#x27;brick&#x27; is not a choice of weld_type", status_code=422)


def test_a_changed_row_is_the_shops_and_every_case_runs_again(approver_client: Client) -> None:
    own = with_page(approver_client, begun(approver_client))
    add_case(approver_client, own, "1/2 in", "covered")
    row = reverse("own_row", args=[own.pk, "bands", "plate/row/0"])
    answer = approver_client.post(
        row, {"clause": "P.5", "low_factor": "0.5", "high_factor": "1.5"}, follow=True
    )
    assertContains(answer, "1 of 1 cases come out otherwise: Weld of 1/2 in.")
    own.refresh_from_db()
    stored = parsed("bands.toml", own.files["bands.toml"])["plate"]["row"][0]
    assert stored["provenance"] == "shop"
    assert re.fullmatch(r"Entered by Tobias Quell on \d{4}-\d\d-\d\d from Office copy 1\.", stored["remark"])
    gone = reverse("own_row_remove", args=[own.pk, "bands", "plate/row/0"])
    refused = approver_client.post(gone, follow=True)
    assertContains(refused, "there is no table &#x27;plate&#x27;")


def version_on(answer: Any) -> str:
    found = re.search(r'name="version" value="([^"]*)"', answer.content.decode())
    assert found is not None
    return found[1]


@pytest.mark.parametrize("what", ["row", "table", "case"])
def test_the_second_tab_to_save_is_told_and_loses_nothing(approver_client: Client, what: str) -> None:
    own = with_page(approver_client, begun(approver_client))
    add_case(approver_client, own, "1/2 in", "covered")
    coupon = {"coupon": COUPON, "units": "us", "expect": "covered", "weld": COUPON}
    address, entries = {
        "row": (
            reverse("own_row", args=[own.pk, "procedure", "row/1"]),
            {**THICKNESS, "note": "Typed second"},
        ),
        "table": (
            reverse("own_table_text", args=[own.pk, "procedure"]),
            {"text": own.files["procedure.toml"] + "# Typed second"},
        ),
        "case": (reverse("own_case", args=[own.pk, 0]), {"name": "Typed second", **coupon}),
    }[what]
    version = version_on(approver_client.get(address))
    add_case(approver_client, own, "0.51 in", "not_covered")
    refused = approver_client.post(address, {**entries, "version": version})
    assertContains(refused, "Tobias Quell saved this edition", status_code=409)
    assertContains(refused, "Typed second", status_code=409)
    again = approver_client.post(address, {**entries, "version": version_on(refused)})
    assert again.status_code == 302, said(again)


def test_an_upgrade_leaves_the_edition_alone_and_says_which_rows_of_its_parent_changed(
    approver_client: Client, approver: User, author: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    parent = published(approver_client)
    own = begun(approver_client, parent=parent.key, edition="4")
    before = own.files
    held = in_force(parent.key)
    files = {**held.files, "bands.toml": {"plate": {"of": "length", "row": [
        {"clause": "P.5", "low_factor": 1, "high_factor": 3, "provenance": "shop"}]}}}  # fmt: skip
    moved = replace(held, files=files, edition=replace(held.edition, fingerprint="another"))
    monkeypatch.setattr(own_compare, "in_force", lambda key: moved)
    page = approver_client.get(own.get_absolute_url())
    assertContains(page, "Ellery Works Code, 3 has changed since it was copied: 1 row.")
    compared = said(approver_client.get(reverse("own_edition_compare", args=[own.pk])))
    assert "Largest, times the tested: 2" in compared
    assert "Largest, times the tested: 3" in compared
    (matter,) = parents_changed(approver).matters
    assert matter.url == f"{reverse('own_edition_compare', args=[own.pk])}#moved"
    assert "Ellery Works Code, 3: changed P.5 Plate" in matter.detail
    assertContains(approver_client.get("/"), matter.url)
    assert parents_changed(author) is None
    own.refresh_from_db()
    assert own.files == before
    monkeypatch.setattr(own_editions, "in_force", lambda key: moved)
    seen = reverse("own_edition_parent_seen", args=[own.pk])
    assertContains(approver_client.post(seen, follow=True), "keeps its rows")
    assert parents_changed(approver) is None
    own.refresh_from_db()
    assert (own.files, own.parent_fingerprint) == (before, "another")


def test_only_an_approver_changes_it(
    approver_client: Client, author_client: Client, reader_client: Client
) -> None:
    own = with_page(approver_client, begun(approver_client))
    for name, args in (
        ("own_edition_new", []),
        ("own_row_start", [own.pk]),
        ("own_row", [own.pk, "procedure", "row/0"]),
        ("own_table_text", [own.pk, "procedure"]),
        ("own_table_take", [own.pk]),
        ("own_case_add", [own.pk, "procedure"]),
        ("own_edition_publish", [own.pk]),
        ("own_edition_import", []),
    ):
        assert author_client.get(reverse(name, args=args)).status_code == 403, name
    assertNotContains(reader_client.get(own.get_absolute_url()), "Publish</button>")
    assert author_client.post(reverse("own_edition_new"), HEAD).status_code == 403


def test_a_whole_table_is_taken_over_with_the_pages_its_rows_name(approver_client: Client) -> None:
    own = begun(approver_client)
    address = reverse("own_table_take", args=[own.pk])
    answer = approver_client.post(address, {"edition": "asme_ix_2023", "file": "specimens.toml"})
    assert answer.status_code == 302, said(answer)
    own.refresh_from_db()
    assert "specimens.toml" in own.files
    named = {s["key"] for s in parsed("sources.toml", own.files["sources.toml"])["source"]}
    assert named
    refused = approver_client.post(address, {"edition": "iso_9606_2_2004", "file": "a_numbers.toml"})
    assertContains(refused, "has no such table", status_code=422)


def test_a_draft_is_discarded_and_a_published_one_is_not(approver_client: Client) -> None:
    own = begun(approver_client)
    assert approver_client.post(reverse("own_edition_discard", args=[own.pk])).status_code == 302
    assert not OwnEdition.objects.exists()
    kept = published(approver_client)
    assert approver_client.post(reverse("own_edition_discard", args=[kept.pk])).status_code == 404
    row = reverse("own_row", args=[kept.pk, "procedure", "row/0"])
    assert approver_client.post(row, OWN_TEST).status_code == 404


def test_metals_tests_and_acceptance_are_entered_in_forms(approver_client: Client) -> None:
    own = with_page(approver_client, begun(approver_client))
    start_page = approver_client.get(reverse("own_row_start", args=[own.pk]))
    assertContains(start_page, "Base metals: Metals by P-Number")
    picked = approver_client.get(reverse("own_row_start", args=[own.pk]), {"table": "acceptance.toml/check"})
    assert picked.headers["Location"] == f"{reverse('own_row_add', args=[own.pk, 'acceptance'])}?name=check"
    for file, part, entries in (
        ("base_metals", "p_number", {"metals": "6061, 6063", "number": "23", "clause": "P.2"}),
        (
            "specimens",
            "tests",
            {
                "side": "procedure",
                "weld": "groove",
                "group": "strength",
                "any_of": "2 tension test\n1 tension, 1 hardness survey",
                "clause": "P.8",
                "because": "Two are pulled, or one is pulled and the other measured.",
            },
        ),
        (
            "acceptance",
            "check",
            {
                "check": "opening",
                "kinds": "Face bend, root bend",
                "most": "1/8 in (3 mm)",
                "clause": "P.9",
                "because": "No opening longer than that.",
            },
        ),
    ):
        answer = approver_client.post(start(own, file, name=part), entries)
        assert answer.status_code == 302, said(answer)
    own.refresh_from_db()
    files = files_of(own)
    assert files["base_metals.toml"]["p_number"][0]["metals"] == ["6061", "6063"]
    assert files["specimens.toml"]["tests"][0]["any_of"] == [{"tension": 2}, {"tension": 1, "hardness": 1}]
    (check,) = files["acceptance.toml"]["check"]
    assert (check["kinds"], check["most"], check["provenance"]) == (
        ["face_bend", "root_bend"],
        {"us": "1/8 in", "si": "3 mm"},
        "shop",
    )
    table = reverse("own_table", args=[own.pk, "acceptance"])
    assertContains(approver_client.get(table), reverse("own_row", args=[own.pk, "acceptance", "check/0"]))
    refused = approver_client.post(
        start(own, "acceptance", name="check"), {"check": "bricks", "clause": "P.9"}
    )
    assert refused.status_code == 422
    assert approver_client.get(start(own, "specimens", name="bend_former")).status_code == 404
    gone = reverse("own_row_remove", args=[own.pk, "base_metals", "p_number/0"])
    assertContains(approver_client.post(gone, follow=True), "The row is removed.")
