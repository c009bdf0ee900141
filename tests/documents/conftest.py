"""Fixtures of the tests about papers."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from pytest_django import DjangoDbBlocker

from qualification.models import Shop
from tests import cast
from tests.documents.papers import small_html
from tests.kept import made_once
from wps.models import IssuedDocument

RENDER = "wps.documents.render.render_html"


@pytest.fixture
def small_documents(monkeypatch: pytest.MonkeyPatch) -> None:
    """Documents of one page in place of the whole layout."""
    monkeypatch.setattr(RENDER, small_html)


@dataclass(frozen=True)
class Kept:
    """A document made for a whole file, and where the files of its shop lie."""

    document: int
    folder: Path


@pytest.fixture(scope="module")
def _kept(
    request: pytest.FixtureRequest,
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Kept | None]:
    """The small document of `made_for_all(author, approver)` of a test file, with the shop and the two people
    of the cast. To make one for each test takes longer than the tests."""
    made_for_all = getattr(request.module, "made_for_all", None)
    if made_for_all is None:
        yield None
        return
    folder = tmp_path_factory.mktemp("papers")

    def make() -> Kept:
        cast.shop()
        return Kept(made_for_all(cast.author(), cast.approver()).pk, folder)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(RENDER, small_html)
        with made_once(django_db_blocker, folder, make) as kept:
            patch.undo()
            yield kept


@pytest.fixture
def _files(_kept: Kept | None, db: None, tmp_path: Path) -> None:
    """A copy of its files for each test, which may spoil them."""
    if _kept:
        shutil.copytree(_kept.folder, tmp_path, dirs_exist_ok=True)


@pytest.fixture
def shop(_kept: Kept | None, _files: None) -> Shop:
    return Shop.objects.get() if _kept else cast.shop()


@pytest.fixture
def author(_kept: Kept | None, _files: None) -> User:
    return User.objects.get(username="maren") if _kept else cast.author()


@pytest.fixture
def approver(_kept: Kept | None, shop: Shop) -> User:
    return User.objects.get(username="tobias") if _kept else cast.approver()


@pytest.fixture
def document(_kept: Kept | None, _files: None) -> IssuedDocument:
    """That document, in the files that make one for all their tests."""
    assert _kept is not None
    return IssuedDocument.objects.get(pk=_kept.document)
