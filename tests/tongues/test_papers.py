"""A paper in another language keeps to its sheet, and the record inside is the same."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from qualification.models import Shop, State
from qualification.records import workflow
from qualification.tongues.languages import speaking
from tests.documents.papers import bytes_of, issued
from tests.gallery import problems_of
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.documents.rederive import rederive
from wps.documents.render import RECORD_FILE
from wps.gallery.papers import of_record
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop")


@pytest.mark.parametrize("language", ["fr", "de"])
def test_papers_of_each_kind_keep_to_their_sheets(language: str, author: User, shop: Shop) -> None:
    """Words are longer than in English: nothing lies over the margin or over something else."""
    test = procedure_test(author)
    records = {
        "procedure-test": test,
        "welder-test": welder_test(author, welder(), "WT-030", edition="iso_9606_2_2004"),
        "procedure": spec(author, test),
    }
    with speaking(language):
        made = [each for kind, record in records.items() for each in of_record(kind, record, (), ["a4"])]
    assert len(made) >= 7
    assert {name: found for name, pdf, _ in made if (found := problems_of(pdf))} == {}


def test_what_is_issued_in_french_is_derived_again(author: User, approver: User) -> None:
    test = procedure_test(author, state=State.DRAFT, welded_on=timezone.localdate())
    workflow.apply("submit", test, author)
    workflow.apply("approve", test, approver, language="fr")
    document = issued(test)
    embedded = json.loads(attached_files(bytes_of(document))[RECORD_FILE])
    assert (document.language, embedded["language"]) == ("fr", "fr")
    assert embedded["content"] == test.snapshot
    assert rederive(embedded).matches
