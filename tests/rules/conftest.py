"""The rules write no files, so their thousands of short tests are spared a folder each."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def _own_uploads() -> None:
    """In place of the one of all other tests."""
