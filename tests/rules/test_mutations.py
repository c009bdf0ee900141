"""Each number and each choice of a code table, changed on its own, is noticed by a case.

A number in a table that no case notices could be wrong without anybody seeing it. Numbers are moved by one
percent up and down, choices are dropped from their lists; a table that then refuses to load counts as
noticed, since the loader's own checks caught it.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.editions.loader import build, edition, editions, shipped_files
from qualification.rules.tabular.edition import RawEdition
from qualification.rules.tabular.schema import TableError
from tests.rules.readers.first_asked import first_asked, mark
from tests.rules.readers.mutation_watchers import Noticed, questions, row_at, unchanged, who_notices
from tests.rules.rows_without_cases import report, uncited

Path = tuple[str | int, ...]
NOT_NUMBERS = {
    "edition.toml",
    "sources.toml",
    "clause",
    "provenance",
    "source",
    "because",
    "remark",
    "standing",
    "variable",
    "rule",
    "of",
    "test_when",
    "sentence",
    "title",
    "note",
}


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
    elif (
        isinstance(node, (int, Decimal))
        and not isinstance(node, bool)
        or isinstance(node, str)
        and re.match(r"-?\d", node)
        and re.search(r"\s", node)
    ):
        yield path, node


def changes(value: Any) -> list[tuple[Any, str]]:
    """The ways one leaf is changed, each with the choice it drops, if it does."""
    if isinstance(value, list):
        return [([item for item in value if item != gone], gone) for gone in value]
    if isinstance(value, str):
        number, unit = value.split(" ", 1)
        return [
            (f"{_decimal(number) * factor:f} {unit}", "") for factor in (Decimal("1.01"), Decimal("0.99"))
        ]
    if isinstance(value, int):
        return [(value + 1, ""), (value - 1, "")]
    return [(value * Decimal("1.01"), ""), (value * Decimal("0.99"), "")]


def _decimal(text: str) -> Decimal:
    whole, _, fraction = text.rpartition("-")
    top, _, bottom = fraction.partition("/")
    return (Decimal(whole) if whole else Decimal(0)) + Decimal(top) / Decimal(bottom or 1)


def with_change(files: RawEdition, path: Path, value: Any) -> RawEdition:
    """The files with one value in place of another; all that does not lead to it is shared with the
    original."""

    def changed(node: Any, rest: Path) -> Any:
        if not rest:
            return value
        copied = copy.copy(node)
        copied[rest[0]] = changed(node[rest[0]], rest[1:])
        return copied

    return changed(files, path)


def row_of(files: RawEdition, path: Path) -> tuple[Path, str]:
    """Where the row that a leaf belongs to stands, and its clause; the file as a whole when it belongs to
    none."""
    node, row, clause = files[str(path[0])], path[:1], ""
    for place, step in enumerate(path[1:], start=2):
        node = node[step]
        if isinstance(node, dict) and isinstance(node.get("clause"), str):
            row, clause = path[:place], node["clause"]
    return row, clause


@dataclass(frozen=True)
class Change:
    """One value of the tables put in place of another."""

    path: Path
    before: Any
    after: Any
    dropped: str
    """The choice that is no longer there, where the value is a list of them."""
    row: Path
    clause: str

    @property
    def mark(self) -> str:
        named = [step for step in self.path if isinstance(step, str)]
        return mark(named, self.clause, self.before, self.after)

    def __str__(self) -> str:
        return f"{'/'.join(map(str, self.path))}: {self.before!r} -> {self.after!r}"


def changes_of(name: str, file: str) -> Iterator[Change]:
    """Every change of one file of an edition."""
    files = shipped_files(name)
    for path, value in leaves({file: files[file]}):
        row, clause = row_of(files, path)
        for after, dropped in changes(value):
            yield Change(path, value, after, dropped, row, clause)


def noticed_by(name: str, change: Change) -> Noticed | TableError | None:
    """The case that fails under the changed tables, or the loader's refusal of them; `None` when there is
    neither."""
    try:
        made = build(name, with_change(shipped_files(name), change.path, change.after), like=edition(name))
    except TableError as refusal:
        return refusal
    return who_notices(made, row_at(change.row), change.clause, change.dropped, change.mark)


@pytest.mark.parametrize("name", editions())
def test_every_case_comes_out_as_stated(name: str) -> None:
    """One that complains of the tables as they are would notice every change, too."""
    assert unchanged(name).complaints == ()


OWN_TEST = {"content.toml", "free.toml", "scope.toml"}
"""Files whose rows limit nothing; `test_content.py` and `test_completeness.py` change them, without building
whole editions."""
PARTS = [
    (name, file) for name in editions() for file in shipped_files(name) if file not in NOT_NUMBERS | OWN_TEST
]


@pytest.mark.parametrize(("name", "file"), PARTS, ids=[f"{n}/{f}" for n, f in PARTS])
def test_every_changed_number_is_noticed(name: str, file: str) -> None:
    unnoticed = [str(change) for change in changes_of(name, file) if noticed_by(name, change) is None]
    assert not unnoticed, f"{len(unnoticed)} changes no case notices:\n" + "\n".join(unnoticed)


def test_a_change_reaches_the_tables_and_leaves_the_shipped_ones_alone() -> None:
    """The rows next to the changed one are shared with the shipped tables, the changed one is not."""
    name, path = "asme_ix_2023", ("continuity.toml", "lapse", "months")
    before = shipped_files(name)["continuity.toml"]["lapse"]["months"]
    made = build(name, with_change(shipped_files(name), path, before + 1), like=edition(name))
    assert made.more["continuity"] != edition(name).more["continuity"]
    assert made.procedure is edition(name).procedure
    assert made.fingerprint != edition(name).fingerprint
    assert shipped_files(name)["continuity.toml"]["lapse"]["months"] == before
    assert edition(name) == build(name, shipped_files(name))


def test_what_no_case_notices_is_told() -> None:
    """Asked of tables in which nothing is changed, every question is asked, and nobody complains."""
    name = "us_navy_248_rev_1"
    assert who_notices(edition(name), ("procedure.toml", "1"), "") is None


def test_a_case_that_is_written_down_is_asked_first_and_no_more() -> None:
    """A wrong one costs one question: it complains of nothing, and all others are asked after it."""
    name = "us_navy_248_rev_1"
    written, case = next(iter(first_asked()[name].items()))
    assert case in {question.name for question in questions(name)}
    assert who_notices(edition(name), ("procedure.toml", "1"), "", mark=written) is None


def test_rows_that_no_case_cites_are_told() -> None:
    name = "us_navy_248_rev_1"
    left = list(uncited(name))
    head, *listed = report(name).splitlines()
    assert listed == left
    assert head.startswith(f"{name}: ")
    cited = next(row for row in unchanged(name).citing if row[0] == "procedure.toml")
    assert not any(each.startswith(f"procedure.toml, {cited[-1]} ") for each in left)
