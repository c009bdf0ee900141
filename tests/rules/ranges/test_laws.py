"""The laws of the rules over documents drawn at random; `python -m tests.laws` asks them of many more."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from qualification.rules.laws.documents import Document, answer, documents, drawn
from qualification.rules.laws.laws import LAWS, less_told
from tests.laws.bases import case_bases
from tests.laws.soon import soon

SEED, DOCUMENTS, LOTS, LAWS_EACH = 20, 150, 10, 3


@pytest.mark.parametrize("lot", range(LOTS))
def test_the_laws_hold(lot: int) -> None:
    """Each document is held against some of the laws, another choice each time."""
    broken = []
    for number, document in enumerate(documents(f"{SEED}/{lot}", DOCUMENTS // LOTS, case_bases())):
        rng = Random(f"{SEED}/{lot}/{number}")
        for name in rng.sample(sorted(LAWS), LAWS_EACH):
            broken += [f"{name} #{lot}/{number}: {message}" for message in LAWS[name](rng, document)]
    assert broken == []


@pytest.mark.parametrize("number", range(3))
def test_no_question_takes_long(number: int) -> None:
    rng = Random(f"{SEED}/{number}")
    assert list(soon(rng, drawn(rng, case_bases()))) == []


def test_the_documents_are_of_every_sort() -> None:
    """Were all of them refused or uncovered, the laws would say nothing."""
    seen = Counter(str((answer(d) or {}).get("verdict")) for d in documents(str(SEED), 60, case_bases()))
    assert seen["covered"] > 8
    assert seen["not_covered"] > 8
    assert seen["None"] < 12


def test_the_laws_notice_an_engine_that_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """An engine that takes a blank for a yes breaks the law about what is left out."""

    def careless(document: Document) -> Document | None:
        found = answer(document)
        blank = found is not None and all(f["found"] == "Not stated" for f in found["obstacles"])
        return found | {"covered": True} if found and blank else found

    monkeypatch.setattr("qualification.rules.laws.laws.answer", careless)
    told = [
        message
        for number, document in enumerate(documents(str(SEED), 40, case_bases()))
        for message in less_told(Random(f"{number}"), document)
    ]
    assert told
