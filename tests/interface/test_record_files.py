"""A record saved as data opens in the commands, and follows its schema."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from jsonschema import Draft202012Validator

from qualification.machine_input import read_document
from qualification.rules.interface.questions import InputRefused, coverage_document, ranges_document
from qualification.rules.interface.record_files import RECORD_FORMAT, record_schema
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.documents.context import content_of
from wps.documents.issuing import embedded_content
from wps.models import IssuedDocument
from wps.views.record_data import record_data

pytestmark = pytest.mark.usefixtures("shop")


def saved(client: Client, kind: str, pk: int) -> bytes:
    answer = client.get(reverse("record_data", args=[kind, pk]))
    assert answer["Content-Type"] == "application/json"
    return answer.content


def test_a_test_saved_as_data_says_what_it_qualifies(author: User, author_client: Client) -> None:
    for kind, record in (
        ("procedure-test", procedure_test(author)),
        ("welder-test", welder_test(author, welder())),
    ):
        answer = ranges_document(read_document(saved(author_client, kind, record.pk), "ranges"))
        rows = [row for line in answer["lines"] for row in line["rows"]]
        assert answer["issues_range"]
        assert answer["results"]["basis"] == "judged"
        assert len(rows) >= len(content_of(record)["range"])


def test_a_procedure_saved_as_data_is_asked_again_with_its_tests(author: User, author_client: Client) -> None:
    made = spec(author, procedure_test(author))
    answer = coverage_document(read_document(saved(author_client, "procedure", made.pk), "coverage"))
    content = content_of(made)
    assert answer["verdict"] == content["verdict"]
    assert answer["relied_on"] == ["PT-014 rev 0"]


def refusal(body: Any, name: str) -> str:
    with pytest.raises(InputRefused) as refused:
        read_document(json.dumps(body).encode(), name)
    return refused.value.problems[0].message


def test_what_cannot_be_asked_of_a_record_is_refused_with_what_to_do(author: User) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    assert "ask `ranges`" in refusal(record_data(test), "coverage")
    assert "ask `coverage`" in refusal(record_data(made), "ranges")
    made.snapshot = content_of(made)
    digests = embedded_content(made, IssuedDocument(code="X", snapshot_hash=""))
    assert "save the procedure as data" in refusal(digests, "coverage")
    assert "not a whole record" in refusal({"format": RECORD_FORMAT, "content": {}}, "ranges")


def test_the_schema_is_published_and_every_kind_of_record_follows_it(
    author: User, author_client: Client
) -> None:
    schema = json.loads(author_client.get(reverse("record_schema")).content)
    assert schema == record_schema()
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    test = procedure_test(author)
    for record in (test, spec(author, test), welder_test(author, welder())):
        body = json.loads(json.dumps(record_data(record)))
        assert [error.message for error in validator.iter_errors(body)] == []
        assert list(validator.iter_errors({**body, "content": {**body["content"], "lines": None}}))
