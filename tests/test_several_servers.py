"""Two servers with their workers on one database, each a process of its own: what people were told is stored
is there, a number is given once and a task is done once (`tests/load/several.py`)."""

from __future__ import annotations

import subprocess
import sys

from wps.settings import BASE_DIR


def test_people_who_write_through_two_servers_lose_nothing() -> None:
    command = [sys.executable, "-m", "tests.load", "--servers", "2", "--people", "3", "--rounds", "2"]
    run = subprocess.run(command, cwd=BASE_DIR, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "3 people on 2 servers" in run.stdout
    assert "3 procedures approved" in run.stdout
