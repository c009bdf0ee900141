"""Each act that the audit trail keeps has words, and they are told in both languages."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from qualification.records.history import VERBS
from qualification.tongues.told import catalogue as told_by
from tests.tongues.catalogues import LANGUAGES, ROOT

WRITES = frozenset(("append", "Event", "record_event"))
"""Calls that put an act into the trail, named first among several arguments."""


def verbs_in(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and len(node.args) > 2:
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            first = node.args[0]
            if name in WRITES and isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield first.value


def every_verb() -> set[str]:
    files = (path for app in ("qualification", "wps") for path in (ROOT / app).rglob("*.py"))
    return {verb for path in files if "rules" not in path.parts for verb in verbs_in(path)}


def test_every_act_has_words() -> None:
    """`attach` and `leave aside` stood in the trail as they are stored."""
    assert len(every_verb()) > 30
    assert sorted(every_verb() - set(VERBS)) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_words_of_acts_are_told(language: str) -> None:
    words = told_by(language)
    assert [each for each in VERBS.values() if not words.tell(each, False)[1]] == []
