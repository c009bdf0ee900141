"""`manage.py completeness EDITION`: what an edition says of every variable, as JSON."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import call_command

from qualification.rules.editions.loader import edition, editions
from qualification.rules.interface.editions import completeness_document
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.registry import registry
from tests.interface.documents import run


def test_the_command_prints_the_document_without_a_database() -> None:
    done = run("completeness", "iso_9606_2_2004")
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout) == completeness_document("iso_9606_2_2004")


def test_an_edition_that_is_not_there_is_refused_by_name() -> None:
    said = StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("completeness", "no_such_code", stderr=said)
    assert ended.value.code == 2
    assert "no_such_code" in said.getvalue()
    with pytest.raises(TableError, match=", ".join(editions())):
        completeness_document("no_such_code")


def test_the_document_names_tables_rows_and_every_count() -> None:
    document = completeness_document("aws_d1_2_2014")
    assert document["edition"]["fingerprint"] == edition("aws_d1_2_2014").fingerprint
    counts = dict.fromkeys(document["counts"]["welder"], 0)
    for variable in document["variables"]:
        assert variable["label"] == registry()[variable["variable"]].label
        for group in variable["welder"]:
            counts[group["says"]] += len(group["processes"])
    assert counts == document["counts"]["welder"]
    assert counts["silent"] == 0
    thickness = next(v for v in document["variables"] if v["variable"] == "thickness_a")
    assert thickness["procedure"][0]["through"][0] == "thickness_thinner"
    assert thickness["procedure"][0]["rows"][0]["row"].startswith("procedure.toml, row ")
