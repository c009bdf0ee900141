"""The demo shop, loaded once: that takes seconds, and most tests only look at it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker, Settings

FILES = ("MEDIA_ROOT", "ISSUED_DIR", "AUDIT_KEY_FILE")


@dataclass(frozen=True)
class DemoShop:
    """What the command printed, and where the files of the shop lie, by the names of their settings."""

    printed: str
    files: dict[str, Path]


@pytest.fixture(scope="package")
def _loaded_once(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[DemoShop]:
    """Around the transactions of the tests of this folder, so that each takes back what it changed."""
    folder = tmp_path_factory.mktemp("demo")
    files = {name: folder / name.lower() for name in FILES}
    printed = io.StringIO()
    with django_db_blocker.unblock(), transaction.atomic():
        with override_settings(**files):
            call_command("demo", stdout=printed)
        yield DemoShop(printed.getvalue(), files)
        transaction.set_rollback(True)


@pytest.fixture
def demo_shop(_loaded_once: DemoShop, db: None, settings: Settings) -> DemoShop:
    for name, place in _loaded_once.files.items():
        setattr(settings, name, place)
    return _loaded_once
