"""`python -m tests.rules.rows_without_cases [EDITION ...]`: rows that no case cites, by edition.

A change of such a row may still be noticed by a case that cites another row; `test_mutations.py` tells. What
no case cites, nobody has asked about by name.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

from qualification.rules.editions.loader import editions, shipped_files
from qualification.rules.tabular.overlay import rows_of
from tests.rules.readers.mutation_watchers import row_at, unchanged

WATCHED = ("procedure.toml", "welder.toml", "bands.toml", "covers.toml")
"""Files whose rows the answers to cases cite."""


def uncited(name: str) -> Iterator[str]:
    """Each row of the edition's rules that no answer to a case rests on: file, place and clause."""
    citing = unchanged(name).citing
    for file, path, row in rows_of(shipped_files(name)):
        if file in WATCHED and not citing.get(row_at((file, *path))):
            yield f"{file}, {' '.join(row_at(path))} ({row['clause']})"


def report(name: str) -> str:
    """How many rows of the edition's rules are cited, and those that are not."""
    whole = sum(file in WATCHED for file, _, _ in rows_of(shipped_files(name)))
    left = list(uncited(name))
    return "\n".join([f"{name}: {whole - len(left)} of {whole} rows are cited by a case", *left])


if __name__ == "__main__":
    for each in sys.argv[1:] or editions():
        print(report(each))
