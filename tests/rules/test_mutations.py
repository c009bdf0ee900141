"""Each number and each choice of a code table, changed on its own, is noticed by a case.

A number in a table that no case notices could be wrong without anybody seeing it. Numbers are moved by one
percent up and down, choices are dropped from their lists; a table that then refuses to load counts as
noticed, since the loader's own checks caught it.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.schema import TableError
from qualification.rules.tables import ROOT, Edition, build, editions, read_files
from tests.rules.case_files import Case, base_case, bases, cases, complaint
from tests.rules.mutation_watchers import WATCHERS

Path = tuple[str | int, ...]
NOT_NUMBERS = {"edition.toml", "sources.toml", "clause", "provenance", "source", "because", "remark", "standing", "variable", "rule", "of",
               "test_when", "sentence", "title", "note"}


def leaves(node: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every number, quantity and list of choices in the parsed tables."""
    if path and path[-1] in NOT_NUMBERS:
        return
    if isinstance(node, dict):
        for key, value in node.items():
            yield from leaves(value, (*path, key))
    elif isinstance(node, list):
        if node and all(isinstance(item, str) for item in node):
            yield path, node
        for index, item in enumerate(node):
            if isinstance(item, (dict, list)):
                yield from leaves(item, (*path, index))
    elif isinstance(node, (int, Decimal)) and not isinstance(node, bool):
        yield path, node
    elif isinstance(node, str) and re.match(r"-?\d", node) and re.search(r"\s", node):
        yield path, node


def changes(value: Any) -> list[Any]:
    """The ways one leaf is changed."""
    if isinstance(value, list):
        return [[item for item in value if item != gone] for gone in value]
    if isinstance(value, str):
        number, unit = value.split(" ", 1)
        return [f"{_decimal(number) * factor:f} {unit}" for factor in (Decimal("1.01"), Decimal("0.99"))]
    if isinstance(value, int):
        return [value + 1, value - 1]
    return [value * Decimal("1.01"), value * Decimal("0.99")]


def _decimal(text: str) -> Decimal:
    whole, _, fraction = text.rpartition("-")
    top, _, bottom = fraction.partition("/")
    return (Decimal(whole) if whole else Decimal(0)) + Decimal(top) / Decimal(bottom or 1)


def with_change(files: dict[str, Any], path: Path, value: Any) -> dict[str, Any]:
    changed = {name: (copy.deepcopy(body) if name == path[0] else body) for name, body in files.items()}
    node: Any = changed
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    return changed


def clause_at(files: dict[str, Any], path: Path) -> str:
    """The clause of the row a leaf belongs to; empty when it belongs to none."""
    node, clause = files[str(path[0])], ""
    for step in path[1:]:
        node = node[step]
        if isinstance(node, dict) and isinstance(node.get("clause"), str):
            clause = node["clause"]
    return clause


def noticed(name: str, file: str, files: dict[str, Any], clause: str) -> bool:
    """Whether any case fails under the changed tables. Cases that name the clause are asked first, then whoever
    noticed a change in the same clause or file last: most changes are noticed at once."""
    try:
        made = build(name, files)
    except TableError:
        return True
    watchers = _watchers.setdefault((name, clause), _order(name, file, clause))
    for watcher in watchers:
        if watcher(made):
            watchers.remove(watcher)
            watchers.insert(0, watcher)
            if watcher in WATCHERS:
                _favourite[name, file] = watcher
            return True
    return False


_watchers: dict[tuple[str, str], list[Callable[[Edition], Any]]] = {}
_favourite: dict[tuple[str, str], Callable[[Edition], Any]] = {}


def _order(name: str, file: str, clause: str) -> list[Callable[[Edition], Any]]:
    every = [*cases(name), *(base_case(b) for b in bases() if bases()[b].get("edition", "asme_ix_2023") == name)]
    named = [case for case in every if _names(case.clause, clause)]
    favourite = [_favourite[name, file]] if (name, file) in _favourite else []
    others = [watcher for watcher in WATCHERS if watcher not in favourite]
    rest = [case for case in every if case not in named]
    rest.sort(key=lambda case: not case.name.startswith(file.removesuffix(".toml")))
    return [_watching(named), *favourite, *others, _watching(rest)]


def _watching(order: list[Case]) -> Callable[[Edition], bool]:
    """Cases as one watcher, the one that noticed last at the front and the others of its file behind it."""

    def complains(made: Edition) -> bool:
        for case in order:
            if complaint(case, made):
                topic = case.name.partition(":")[0]
                order.sort(key=lambda each: (each is not case, each.name.partition(":")[0] != topic))
                return True
        return False

    return complains


def _names(clause: str, other: str) -> bool:
    """True when two clause texts share a number: `QW-451.1, 202.2` and `QW-451.1`."""
    return bool(set(re.findall(r"\d+(?:\.\d+)*", clause)) & set(re.findall(r"\d+(?:\.\d+)*", other)))


@pytest.mark.parametrize("name", editions())
def test_watchers_are_silent_while_nothing_is_changed(name: str) -> None:
    """A watcher that complains of the tables as they are would notice every change."""
    made = build(name, read_files(ROOT / name))
    assert [complaints for watcher in WATCHERS if (complaints := watcher(made))] == []


PARTS = [(name, file) for name in editions() for file in read_files(ROOT / name) if file not in NOT_NUMBERS]


@pytest.mark.parametrize(("name", "file"), PARTS, ids=[f"{n}/{f}" for n, f in PARTS])
def test_every_changed_number_is_noticed(name: str, file: str) -> None:
    files = read_files(ROOT / name)
    unnoticed = [
        f"{'/'.join(map(str, path))}: {value!r} -> {changed!r}"
        for path, value in leaves({file: files[file]}) for changed in changes(value)
        if not noticed(name, file, with_change(files, path, changed), clause_at(files, path))
    ]
    assert not unnoticed, f"{len(unnoticed)} changes no case notices:\n" + "\n".join(unnoticed)
