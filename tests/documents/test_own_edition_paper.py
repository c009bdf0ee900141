"""A test and a procedure under an edition of the shop's own: approved, printed, and still held by its tables
when the edition is withdrawn; with a weld of a job, in a packet, and in another shop."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from qualification.codes import own_editions
from qualification.codes.own_cases import as_cases
from qualification.models import OwnEdition, ProcedureTest, State
from qualification.records.unchanged import changed_since_approval
from qualification.rules.editions.edition_facts import EditionKind
from tests.documents.packet_records import issue, packet_for
from tests.documents.papers import signed
from tests.shop_records import (
    COUPON_JOINT,
    COUPON_LINE,
    EDITION,
    SPEC_JOINT,
    SPEC_LINE,
    approve,
    job,
    part,
    procedure_test,
    spec,
)
from wps.documents.context import content_of
from wps.documents.issue import document_of
from wps.documents.rederive import rederive
from wps.models import Spec

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


HEAD = {"code": "Ellery Works Code", "edition": "3", "title": "Gates and gangways"}


def case(name: str, expect: str, side: str, weld: dict[str, Any]) -> dict[str, Any]:
    coupon = {"joint": COUPON_JOINT, "lines": [COUPON_LINE]}
    return {"name": name, "side": side, "units": "us", "expect": expect, "coupon": coupon, "weld": weld}


def an_edition_like(parent: str, person: User) -> OwnEdition:
    """The rows of another edition under the shop's own name, for procedures alone, published."""
    own = own_editions.begin(parent, HEAD, "Office copy 1", person)
    files = own_editions.files_of(own)
    for name in ("welder.toml", "continuity.toml", "free.toml"):
        files.pop(name, None)
    files["edition.toml"].pop("joins_welder", None)
    files["edition.toml"].pop("apart_welder", None)
    own_editions.save_files(own, own_editions.declared(files), person, "no welders")
    own.refresh_from_db()
    own_editions.save_cases(
        own,
        as_cases(
            [
                case("What was claimed", "covered", "procedure", {"joint": SPEC_JOINT, "lines": [SPEC_LINE]}),
                case(
                    "Too thick",
                    "not_covered",
                    "procedure",
                    {"joint": {**SPEC_JOINT, "thickness_a": "1/8-3/4"}, "lines": [SPEC_LINE]},
                ),
            ]
        ),
        person,
    )
    own.refresh_from_db()
    own_editions.publish(own, person)
    own.refresh_from_db()
    return own


@pytest.fixture
def approved(
    author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> tuple[OwnEdition, ProcedureTest, Spec]:
    """A shop's own edition that is published, and a test and a procedure approved under it."""
    monkeypatch.setattr(own_editions, "DOCUMENTS", 1)
    own = an_edition_like(EDITION, approver)
    test = procedure_test(author, state=State.DRAFT, edition=own.key)
    approve(test, author, approver)
    procedure = spec(author, test, edition=own.key)
    approve(procedure, author, approver)
    return own, test, procedure


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_a_test_and_a_procedure_are_approved_and_printed_under_it(
    approver: User, approved: tuple[OwnEdition, ProcedureTest, Spec]
) -> None:
    own, test, procedure = approved
    assert (test.state, procedure.state) == (State.APPROVED, State.APPROVED)
    for record, evidence in (
        (test, []),
        (procedure, [{"reference": test.reference, "content": test.snapshot}]),
    ):
        content = content_of(record)
        assert content["code"]["fingerprint"] == own.fingerprint
        printed = words_of(document_of(record).pdf)
        assert "Ellery Works Code, 3" in printed
        assert record.number in printed
        assert "not issued" not in printed
        assert rederive({"content": content, "evidence": evidence}).matches
    before = words_of(document_of(procedure).pdf)
    own_editions.withdraw(own, "The book was replaced.", approver)
    assert words_of(document_of(procedure).pdf) == before
    assert not changed_since_approval(procedure)


def in_another_shop(archive: bytes, folder: Path) -> dict[str, Any]:
    """What a shop with a database and an authority of its own holds once it took the file in."""
    file = folder / "edition.zip"
    file.write_bytes(archive)
    surroundings = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    done = subprocess.run(
        [sys.executable, "-m", "tests.second_shop", str(file)],
        cwd=Path(__file__).parents[2],
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return told


@pytest.mark.usefixtures("shop")
def test_from_the_book_to_a_packet_and_into_a_shop_with_a_database_of_its_own(
    author: User,
    approver: User,
    approver_client: Client,
    approved: tuple[OwnEdition, ProcedureTest, Spec],
    tmp_path: Path,
) -> None:
    own, test, procedure = approved

    weld = part(job(edition=own.key), spec_number=procedure.number)
    page = approver_client.get(weld.get_absolute_url())
    assert page.context["view"].chosen.verdict.key == "covered"
    assert EditionKind.MEMORY.words in page.content.decode()

    for record in (test, procedure):
        signed(record, author, approver)
    packet = packet_for(author, procedures=[procedure.pk])
    packet.job = weld.job
    packet.save()
    words = words_of(issue(packet, author, approver, "The welder is named on site."))
    assert "Ellery Works Code, 3" in words
    assert "have not been confirmed against a copy of the code" in words
    assert EditionKind.MEMORY.words in words
    assert own.fingerprint[:16] in words
    assert weld.mark in words

    exported = approver_client.get(reverse("own_edition_export", args=[own.pk])).content
    there = in_another_shop(exported, tmp_path)
    assert (there["shop"], there["held_before"]) == ("Harrow Lane Fabrication", 0)
    assert (there["name"], there["fingerprint"]) == (own.name, own.fingerprint)
    assert there["received"]["shop"] == "Tidewater Gangway Works"
    assert there["received"]["authority"] != there["authority"]
    assert (there["was_draft"], there["was_offered"], there["is_offered"]) == (True, False, True)
    assert there["proof"]["cases"] == 2
    assert OwnEdition.objects.get().pk == own.pk
