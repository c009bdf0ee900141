"""Fixtures of the tests about papers."""

from __future__ import annotations

import pytest

from tests.documents.papers import small_html


@pytest.fixture
def small_documents(monkeypatch: pytest.MonkeyPatch) -> None:
    """Documents of one page in place of the whole layout."""
    monkeypatch.setattr("wps.documents.render.render_html", small_html)
