"""How many pages each of eight kinds of record takes on its paper, and took before papers were compact."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from django.contrib.auth.models import User

from qualification.models import ProcedureTest, Record, Shop, State
from tests.shop_records import SPEC_LINE, procedure_test, spec, welder, welder_test
from wps.documents.context import content_of
from wps.documents.issue import rendered

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Kind:
    """A kind of record, the pages its paper took, and those it may take now."""

    make: Callable[[User], Record]
    paper: str
    before: int
    most: int


def two_processes(author: User) -> Record:
    made = spec(author, procedure_test(author))
    root, fill = (
        {**SPEC_LINE, "process": "GTAW", "part_of_joint": "root"},
        {**SPEC_LINE, "part_of_joint": "fill"},
    )
    made.lines = [root, fill]
    return made


def one_process(author: User) -> Record:
    return spec(author, procedure_test(author))


def without_test(author: User) -> Record:
    return spec(author, number="W-103", edition="aws_d1_1_2020", prequalified=True)


def iso_test(author: User) -> Record:
    return procedure_test(author, "PT-020", State.DRAFT, edition="iso_15614_2_2005")


def aws_test(author: User) -> Record:
    return procedure_test(author, "PT-021", State.DRAFT, edition="aws_d1_2_2014")


def asme_certificate(author: User) -> Record:
    return welder_test(author, welder())


def iso_certificate(author: User) -> Record:
    return welder_test(author, welder(), edition="iso_9606_2_2004")


KINDS = {
    "procedure, one process": Kind(one_process, "letter", 4, 2),
    "procedure, two processes": Kind(two_processes, "letter", 5, 3),
    "procedure, prequalified": Kind(without_test, "letter", 4, 2),
    "procedure test, ASME IX": Kind(procedure_test, "letter", 5, 3),
    "procedure test, ISO 15614-2": Kind(iso_test, "a4", 4, 3),
    "procedure test, D1.2": Kind(aws_test, "letter", 4, 3),
    "welder's certificate, ASME IX": Kind(asme_certificate, "letter", 4, 1),
    "welder's certificate, ISO 9606-2": Kind(iso_certificate, "letter", 3, 1),
}
"""`before` was counted with the same records and the papers as they stood before the compact forms."""


@pytest.mark.parametrize("name", KINDS)
def test_a_paper_takes_no_more_pages_than_its_kind_may(name: str, author: User, shop: Shop) -> None:
    kind = KINDS[name]
    record = kind.make(author)
    content = content_of(record)
    made = rendered(record, content, content, kind.paper)
    print(f"{name}, {kind.paper}: {kind.before} pages before, {made.pages} now")
    assert made.pages <= kind.most < kind.before
    signed = {place.page for each, place in made.places.items() if each.startswith("signature-")}
    assert signed == {0} or isinstance(record, ProcedureTest)
