"""What tells one release of the program from another as far as answers go: its rules, its tables, and what
asks them."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

import qualification

FOLDER = Path(qualification.__file__).parent
BRIDGE = ("evidence/coverage.py", "snapshots/snapshot.py")


def program_mark() -> str:
    """SHA-256 over the rules, the tables as shipped and the bridge to them, as they stood when the program
    started."""
    return mark_over(BRIDGE)


@lru_cache(maxsize=4)
def mark_over(bridge: tuple[str, ...]) -> str:
    """The same with other files of `qualification/` between what is stored and the rules."""
    found = hashlib.sha256()
    rules = (path for path in (FOLDER / "rules").rglob("*") if path.suffix in (".py", ".toml"))
    for path in sorted((*rules, *(FOLDER / name for name in bridge))):
        found.update(path.relative_to(FOLDER).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return found.hexdigest()
