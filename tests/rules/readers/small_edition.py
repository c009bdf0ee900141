"""The invented edition in `invented_edition/`: small enough to reckon by hand, and said by no real code."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest import mock

from qualification.rules.editions import loader, table_readers
from qualification.rules.tabular import edition
from qualification.rules.tabular.edition import Edition

FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_edition"


@contextmanager
def without_further_files() -> Iterator[None]:
    """The small edition has none of the files that only some codes need."""
    with mock.patch.dict(table_readers.READERS, clear=True):
        yield


def build_small(folder: Path = FOLDER) -> Edition:
    """The edition in a folder. Raises TableError as the loader does."""
    with without_further_files():
        return loader.build("invented", edition.read_files(folder))
