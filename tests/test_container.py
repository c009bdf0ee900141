"""The Containerfile and the systemd unit take the same steps as ./run; what can be told without an engine."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
STEPS = [
    line.partition(" ")[::2]
    for line in (ROOT / "Containerfile").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
MANUAL = (ROOT / "wps" / "serving" / "README.md").read_text(encoding="utf-8")


def said(step: str) -> list[str]:
    return [rest for name, rest in STEPS if name == step]


def known_to_run() -> set[str]:
    """The words that the script ./run takes."""
    cases = re.findall(r"^    (--[a-z-]+)\)", (ROOT / "run").read_text(encoding="utf-8"), re.MULTILINE)
    return set(cases)


def test_it_is_set_up_and_started_by_run_alone() -> None:
    assert said("RUN")[0] == "./run --set-up-only"
    (entry,), (command,) = said("ENTRYPOINT"), said("CMD")
    assert json.loads(entry) == ["./run"]
    assert set(json.loads(command)) <= known_to_run()
    assert "--set-up-only" in known_to_run()
    assert not any("pip " in rest or "manage.py" in rest for rest in said("RUN"))


def test_its_python_is_new_enough() -> None:
    (image,) = said("FROM")
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"][
        "requires-python"
    ]
    has = re.search(r"python:(\d+)\.(\d+)-", image)
    least = re.search(r">=(\d+)\.(\d+)", wanted)
    assert has
    assert least
    assert tuple(map(int, has.groups())) >= tuple(map(int, least.groups()))


def test_data_lie_on_a_volume_and_not_with_the_program() -> None:
    (data,) = (rest.removeprefix("CTP_DATA=") for rest in said("ENV"))
    assert said("VOLUME") == [data]
    assert any(data in rest for rest in said("RUN"))
    assert not Path(data).is_relative_to(said("WORKDIR")[0])
    assert [name for name, _ in STEPS].index("USER") < [name for name, _ in STEPS].index("ENTRYPOINT")


def test_what_is_copied_is_enough_to_start(tmp_path: Path) -> None:
    """And is named: a copy of the whole folder would take the shop's data and keys along."""
    for rest in said("COPY"):
        *sources, target = rest.split()
        for source in sources:
            assert source != "."
            found, there = ROOT / source, tmp_path / target
            if found.is_dir():
                shutil.copytree(found, there, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(found, there)
    asked = subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=tmp_path,
        env={**os.environ, "CTP_DATA": str(tmp_path / "data")},
        capture_output=True,
        text=True,
    )
    assert (asked.returncode, asked.stderr) == (0, "")


@pytest.mark.parametrize("setting", ["WorkingDirectory", "ExecStart"])
def test_the_unit_starts_what_the_container_does(setting: str) -> None:
    (stated,) = re.findall(rf"^{setting}=(.+)$", MANUAL, re.MULTILINE)
    program, *words = stated.split()
    assert program.startswith(said("WORKDIR")[0])
    assert set(words) <= known_to_run()
