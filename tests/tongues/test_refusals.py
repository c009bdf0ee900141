"""What views, forms and readers refuse or report is told in both languages, sentence by sentence, as `told`
takes a text apart; what is not yet is counted, and the count may only fall."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from tests.tongues.catalogues import LANGUAGES, ROOT, catalogue

ERRORS = re.compile(r"(Error|Refused|Not[A-Z]\w+|Cannot\w+|Changed|Stale|BadBackup|WrongPassphrase)$")
"""Names of what is raised with words for a page."""
OF_DEVELOPERS = frozenset(
    (
        "TableError",
        "KeyError",
        "TypeError",
        "ValueError",
        "NotImplementedError",
        "AssertionError",
        "AssetError",
    )
    + ("LookupError", "CommandError", "FileNotFoundError", "TarError", "TemplateSyntaxError", "NotBounded")
    + ("CannotServe", "CannotRestore", "CannotImport", "CannotExport", "CannotBackUp")
)
"""Those that say something to who writes tables or types commands, which is English."""
SAYING = {"add_error": 1, "success": 1, "warning": 1, "error": 1, "info": 1}
"""Calls that hand words to a page, with the place of the words."""
NO_PAGES = ("migrations", "demo", "gallery", "management", "tabular", "tables", "interface")
WAYS = (re.compile(r"(?<=[.!?]) (?=[A-Z“\x00])"), re.compile(r"(?<=[.!?\x00]) (?=[A-Z“\x00])"))
"""How a text is taken apart, where it is no message as a whole; a place may hold sentences too."""
UNTOLD = 12
"""Such texts at most; those put together from words that are told one by one are among them."""


def words_of(node: ast.expr) -> list[str]:
    """A text with NUL at each place, in each form it takes; nothing for what is not written out."""
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    if isinstance(node, ast.IfExp):
        return words_of(node.body) + words_of(node.orelse)
    if not isinstance(node, ast.JoinedStr):
        return []
    parts = [
        [str(part.value)] if isinstance(part, ast.Constant) else words_of(part.value) or ["\x00"]
        for part in node.values
        if isinstance(part, ast.Constant | ast.FormattedValue)
    ]
    return [re.sub("\x00+", "\x00", "".join(form)) for form in product(*parts)]


def said_by(node: ast.AST) -> list[ast.expr]:
    """What a raise or a call says to a page."""
    call = node.exc if isinstance(node, ast.Raise) else node
    if not isinstance(call, ast.Call):
        return []
    name = getattr(call.func, "attr", getattr(call.func, "id", ""))
    if isinstance(node, ast.Raise):
        return call.args[:1] if ERRORS.search(name) and name not in OF_DEVELOPERS else []
    return call.args[SAYING[name] : SAYING[name] + 1] if name in SAYING else []


def texts_in(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        for said in said_by(node):
            yield from (each.strip() for each in words_of(said) if re.search(r"[a-z]{2}", each))


def everything_refused() -> dict[str, str]:
    """Each text with a module that says it."""
    found = {}
    for app in ("qualification", "wps"):
        for path in sorted((ROOT / app).rglob("*.py")):
            if not set(path.relative_to(ROOT).parts) & set(NO_PAGES):
                found |= {said: str(path.relative_to(ROOT)) for said in texts_in(path)}
    return found


def known_in(language: str) -> set[str]:
    messages = {re.sub(r"\{\w+\}", "\x00", str(each.id)) for each in catalogue(language, "told") if each.id}
    return messages | {each[:1].swapcase() + each[1:] for each in messages} | {"\x00", "\x00."}


def is_told(text: str, known: set[str]) -> bool:
    return text in known or any(known.issuperset(way.split(text)) for way in WAYS)


@pytest.mark.parametrize("language", LANGUAGES)
def test_refusals_are_told(language: str) -> None:
    known = known_in(language)
    untold = {said: path for said, path in everything_refused().items() if not is_told(said, known)}
    assert len(untold) <= UNTOLD, untold


def test_the_refusals_are_found_where_they_stand(tmp_path: Path) -> None:
    """The count would be of nothing if the reading found nothing."""
    module = tmp_path / "view.py"
    module.write_text(
        'raise SigningRefused(f"{name} signs next. Load it again.")\n'
        'messages.success(request, "Saved.")\n'
        'raise ValueError("not this")\n'
        'form.add_error(None, f"{why} Enter a reason.")\n'
    )
    assert sorted(texts_in(module)) == ["\x00 Enter a reason.", "\x00 signs next. Load it again.", "Saved."]
    assert is_told("\x00 signs next. Saved.", {"\x00 signs next.", "Saved."})
    assert not is_told("\x00 signs next. Saved.", {"Saved."})
    assert len(everything_refused()) > 400
