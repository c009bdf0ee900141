"""One version, from pyproject.toml, on pages, papers, snapshots, backups and JSON answers."""

import re
import tarfile
import tomllib
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client

from qualification.models import Shop
from qualification.records.approving import frozen_content
from qualification.rules.core.program import NAME, program
from qualification.rules.interface.questions import ranges_document, variables_document
from tests.interface.documents import TEST
from tests.shop_records import procedure_test, spec
from wps.backups.archive import CannotBackUp, back_up
from wps.documents.context import document_context
from wps.documents.render import render_html

ROOT = Path(__file__).resolve().parent.parent
VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


def test_the_program_names_the_version_of_the_project() -> None:
    assert program() == f"{NAME} {VERSION}"


def test_the_changelog_begins_with_this_version() -> None:
    log = (ROOT / "wps" / "CHANGELOG.md").read_text(encoding="utf-8")
    first = log.split("\n## ")[1]
    assert first.splitlines()[0] == VERSION
    assert re.findall(r"^### (.*)$", first, re.MULTILINE) == ["Program", "Code numbers"]


def test_json_answers_name_it() -> None:
    document = {"format": "coupon-to-paper/1", "edition": "asme_ix_2023", "side": "procedure", **TEST}
    assert ranges_document(document)["program"] == program()
    assert variables_document()["program"] == program()


@pytest.mark.django_db
def test_pages_name_it_to_those_who_read_here(shop: Shop, client: Client, reader_client: Client) -> None:
    assert program() in reader_client.get("/procedures/").content.decode()
    assert VERSION not in client.get("/sign-in/", follow=True).content.decode()


@pytest.mark.django_db
def test_snapshots_and_papers_name_it(author: User) -> None:
    test = procedure_test(author)
    for record, template in ((test, "test"), (spec(author, test), "procedure")):
        content = frozen_content(record)
        assert content["program"] == program()
        paper = render_html(f"documents/{template}.html", document_context(content), "letter")
        assert f", by {program()}." in paper
        del content["program"]  # as in a snapshot of a release that did not name itself
        assert f", by {NAME}" not in render_html(
            f"documents/{template}.html", document_context(content), "letter"
        )


def test_a_backup_names_it(tmp_path: Path, db: None) -> None:
    if connection.vendor != "sqlite":  # whose own tools back it up, and the command says so
        with pytest.raises(CannotBackUp, match="pg_dump"):
            back_up(tmp_path / "kept.tar.gz")
        return
    back_up(tmp_path / "kept.tar.gz")
    with tarfile.open(tmp_path / "kept.tar.gz") as archive:
        assert archive.extractfile("shop/program.txt").read().decode() == f"{program()}\n"
