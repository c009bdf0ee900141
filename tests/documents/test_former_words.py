"""A choice that gets other words leaves the papers signed with the former ones as good as they were."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.contrib.auth.models import User

from qualification.rules.variables.registry import registry
from tests.documents.papers import approved_spec, approved_test
from wps.documents import rederive as rederiving
from wps.documents.rederive import FORMER_WORDS, rederive

PRINTED = json.loads((Path(__file__).parent / "printed_words.json").read_text(encoding="utf-8"))
"""By variable and choice, the words that papers carry since the release before this one."""


def test_no_choice_changed_its_words_unnoticed() -> None:
    """Add the former words to FORMER_WORDS when this fails; a choice that is new needs nothing."""
    now = {
        (key, choice.key): choice.label for key, variable in registry().items() for choice in variable.choices
    }
    other = {
        f"{key}={choice}: {words!r} is now {now.get((key, choice))!r}"
        for key, choices in PRINTED.items()
        for choice, words in choices.items()
        if FORMER_WORDS.get(words, words) != now.get((key, choice))
    }
    assert sum(map(len, PRINTED.values())) > 500
    assert other == set()


def _with_words(node: object, now: str, former: str) -> object:
    if isinstance(node, dict):
        return {key: _with_words(value, now, former) for key, value in node.items()}
    if isinstance(node, list):
        return [_with_words(each, now, former) for each in node]
    return node.replace(now, former) if isinstance(node, str) else node


@pytest.mark.usefixtures("shop", "small_documents")
def test_a_paper_with_former_words_still_agrees(
    author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    assert "Pulsed spray" in json.dumps(spec.snapshot)
    before = {
        "content": _with_words(spec.snapshot, "Pulsed spray", "Pulsed arc"),
        "evidence": [{"content_hash": test.snapshot_hash}],
    }
    assert rederive(before).matches is False
    monkeypatch.setattr(rederiving, "FORMER_WORDS", {"Pulsed arc": "Pulsed spray"})
    assert rederive(before).matches is True
