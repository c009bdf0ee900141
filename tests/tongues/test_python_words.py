"""What forms ask, hint and refuse, and what Today and the history say, is told in both languages; what is not
yet is counted, and the count may only fall."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from qualification.tongues.told import catalogue as told_by
from tests.tongues.catalogues import LANGUAGES, ROOT

FOLDERS = ("qualification/forms", "wps/forms", "wps/today", "qualification/records")
SAID_BY = frozenset(("label", "help_text", "required", "invalid", "empty_label", "hint", "needed", "unknown"))
"""Arguments and keys that hold words for a page."""
FIELDS = frozenset(("text_field", "choice_field", "ticks_field", "edition_field"))
"""The factory of fields, which takes words by their place too."""
UNTOLD = 0
"""Such words that may stand in English while a change is on its way into the catalogues."""


def said_in(path: Path) -> Iterator[str]:
    """Words of a module that a page says: by the argument or key that holds them."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.keyword) and node.arg in SAID_BY:
            values = [node.value]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in FIELDS:
            values = node.args
        elif isinstance(node, ast.Dict):
            keys = [key.value if isinstance(key, ast.Constant) else None for key in node.keys]
            values = [value for key, value in zip(keys, node.values, strict=True) if key in SAID_BY]
        else:
            continue
        for value in values:
            if isinstance(value, ast.Constant) and isinstance(value.value, str) and value.value.strip():
                yield value.value


def everything_said() -> set[str]:
    return {said for folder in FOLDERS for path in (ROOT / folder).glob("*.py") for said in said_in(path)}


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_of_python_are_told(language: str) -> None:
    words = told_by(language)
    untold = sorted(
        each
        for each in everything_said()
        if not words.tell(each, False)[1] and not words.tell(each, False, "label")[1]
    )
    assert len(untold) <= UNTOLD, untold


def test_the_words_are_found_where_they_stand(tmp_path: Path) -> None:
    """The count would be of nothing if the reading found nothing."""
    module = tmp_path / "form.py"
    module.write_text(
        'name = Field(label="Name", error_messages={"required": "Enter it.", "x": "not this"})\n'
        'mark = text_field("Mark", 9, "Enter the mark.", widget=Wide("not this"))\n'
    )
    assert set(said_in(module)) == {"Name", "Enter it.", "Mark", "Enter the mark."}
    assert len(everything_said()) > 200
