"""The demo shop, loaded once: that takes seconds, and most tests only look at it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection
from pytest_django import DjangoDbBlocker, Settings

from tests.kept import made_once, places


@dataclass(frozen=True)
class DemoShop:
    """What the command printed, and where the files of the shop lie."""

    printed: str
    folder: Path


def begin_numbers_anew() -> None:
    """Keys begin at 1, whatever tests ran before: pages of the demo are opened by them."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DELETE FROM sqlite_sequence")  # it takes a higher key where rows have one
        for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
            cursor.execute(statement)


@pytest.fixture(scope="package")
def _loaded_once(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[DemoShop]:
    folder = tmp_path_factory.mktemp("demo")

    def load() -> DemoShop:
        printed = io.StringIO()
        begin_numbers_anew()
        call_command("demo", stdout=printed)
        return DemoShop(printed.getvalue(), folder)

    with made_once(django_db_blocker, folder, load) as loaded:
        yield loaded


@pytest.fixture
def demo_shop(_loaded_once: DemoShop, db: None, settings: Settings) -> DemoShop:
    for name, place in places(_loaded_once.folder).items():
        setattr(settings, name, place)
    return _loaded_once
