"""The hand-made review of the packages speaks of each of them, and of none that is gone."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
REVIEW = (ROOT / "wps" / "serving" / "supply.md").read_text(encoding="utf-8")


def test_every_package_the_program_runs_on_was_looked_at() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [re.split(r"[^\w-]", each)[0] for each in project["dependencies"]]
    rows = [line.split("|")[1] for line in REVIEW.splitlines() if line.startswith("| ")]
    reviewed = [name.strip() for row in rows for name in row.split(",")]
    assert sorted(name for name in reviewed if name != "Package") == sorted(wanted)


def test_the_lock_takes_no_file_without_its_hash() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    for block in re.split(r"\n(?=[A-Za-z0-9])", lock.strip()):
        assert re.match(r"[\w.-]+==\S+", block), block
        assert "--hash=sha256:" in block, block
    assert "--require-hashes -r requirements.lock" in (ROOT / "run").read_text(encoding="utf-8")
