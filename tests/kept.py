"""What is made once for several tests: its rows lie in a transaction around those of the tests, which take
back what they change; its files lie in a folder of their own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker

Made = TypeVar("Made")


def places(folder: Path) -> dict[str, Path]:
    """Settings of where a shop keeps its files, for a shop whose files lie in the folder."""
    return {
        "MEDIA_ROOT": folder / "media",
        "ISSUED_DIR": folder / "issued",
        "AUTHORITY_DIR": folder / "authority",
        "CHECKS_DIR": folder / "checks",
        "AUDIT_KEY_FILE": folder / "audit_key",
    }


@contextmanager
def made_once(blocker: DjangoDbBlocker, folder: Path, make: Callable[[], Made]) -> Iterator[Made]:
    """What `make` makes, until the last of the tests is through. No test that commits may run meanwhile."""
    with blocker.unblock(), transaction.atomic():
        with override_settings(**places(folder)):
            made = make()
        yield made
        transaction.set_rollback(True)
