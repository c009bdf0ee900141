"""An edition with one variable left off its lists of what a code leaves out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.freedoms import Freedoms


def without_each(made: Edition, kind: str) -> Iterator[tuple[Edition, str]]:
    """For each variable of each `[[kind]]` row of `free.toml` (`welder` or `silent`): the edition without it
    there, and the variable. Nothing is read again."""
    named: Freedoms = made.more["free"]
    rows = getattr(named, kind)
    for index, row in enumerate(rows):
        for variable in row.variables:
            left = tuple(each for each in row.variables if each != variable)
            changed = (*rows[:index], replace(row, variables=left), *rows[index + 1 :])
            free = replace(named, **{kind: changed})
            yield replace(made, more={**made.more, "free": free}), variable
