"""Which release of the program answers: its name and version, as pyproject.toml states them."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

PROJECT = Path(__file__).parents[3] / "pyproject.toml"
NAME = "Coupon to Paper"


@cache
def version() -> str:
    """The version alone, such as `0.2.0`."""
    return tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]["version"]


def program() -> str:
    """Name and version, as papers, snapshots, backups and JSON answers state them."""
    return f"{NAME} {version()}"
