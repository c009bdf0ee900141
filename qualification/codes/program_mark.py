"""What tells one release of the program from another as far as answers go: its rules, its tables, and what
asks them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

import qualification

FOLDER = Path(qualification.__file__).parent
BRIDGE = ("evidence/coverage.py", "snapshots/snapshot.py")


@lru_cache(maxsize=1)
def program_mark() -> str:
    """SHA-256 over the rules, the tables as shipped and the bridge to them, as they stood when the program
    started: what decides an answer."""
    return _over((*_in(FOLDER / "rules"), *(FOLDER / name for name in BRIDGE)))


@lru_cache(maxsize=1)
def mark_of_words() -> str:
    """The same over every module between what is stored and the rules: for answers stored with their words,
    so that none is shown as an earlier release put it."""
    return _over(_in(FOLDER))


def _in(folder: Path) -> Iterable[Path]:
    return (path for path in folder.rglob("*") if path.suffix in (".py", ".toml"))


def _over(paths: Iterable[Path]) -> str:
    found = hashlib.sha256()
    for path in sorted(paths):
        found.update(path.relative_to(FOLDER).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return found.hexdigest()
