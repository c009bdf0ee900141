"""The scripts that set up, serve and test, and the lock they install from."""

import os
import re
import shutil
import socket
import subprocess
import time
import tomllib
import urllib.error
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SCRIPTS = ("run", "test", ".ci/run", ".ci/on_postgres")
NOT_OURS = {".git", ".venv", ".local", "vendor", "__pycache__", ".pytest_cache", ".ruff_cache", ".hypothesis"}
HANGING = 900
"""Seconds after which a server is given up; nothing here is measured by the clock."""
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")


@pytest.mark.parametrize("script", SCRIPTS)
@pytest.mark.parametrize("shell", ["sh", "dash"])
def test_the_scripts_are_plain_sh(script: str, shell: str) -> None:
    path = ROOT / script
    assert path.read_text(encoding="utf-8").startswith("#!/bin/sh\n")
    assert os.access(path, os.X_OK)
    program = shutil.which(shell) or "sh"  # where dash is absent, sh is checked twice
    run = subprocess.run([program, "-n", path], capture_output=True, text=True)
    assert (run.returncode, run.stderr) == (0, "")


def stand_in(place: Path, script: str) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    place.chmod(0o755)


def ci(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    stand_in(folder / ".ci" / "on_postgres", 'echo on_postgres; [ "${FAILING:-}" != on_postgres ]')
    shutil.copy(ROOT / ".ci" / "run", folder / ".ci" / "run")
    return subprocess.run(
        ["sh", folder / ".ci" / "run", *words],
        cwd="/",
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
    )


def test_ci_runs_the_tests_from_any_folder(tmp_path: Path) -> None:
    stand_in(tmp_path / "test", 'echo "tests ran in $(pwd) with $*"; exit 3')
    run = ci(tmp_path, "-x")
    assert run.stdout.strip() == f"tests ran in {tmp_path} with -x"
    assert run.returncode == 3


@pytest.mark.parametrize("failing", ["nothing", "on_postgres", "tests.laws", "tests.fuzz"])
def test_ci_goes_on_to_more_of_what_is_drawn_at_random(failing: str, tmp_path: Path) -> None:
    stand_in(tmp_path / "test", "exit 0")
    stand_in(tmp_path / ".venv" / "bin" / "python", 'echo "$2"; [ "$2" != "$FAILING" ]')
    run = ci(tmp_path, FAILING=failing)
    assert set(run.stdout.split()) == {"on_postgres", "tests.laws", "tests.fuzz"}
    assert run.returncode == (failing != "nothing")


def on_postgres(folder: Path, postgres: Path) -> subprocess.CompletedProcess[str]:
    """The script run by somebody who is not root and cannot install anything."""
    stand_in(folder / "first" / "id", "echo 1000")
    python = 'if [ "$1" = -c ]; then echo 55555; else echo "python $*"; exit 4; fi'
    stand_in(folder / ".venv" / "bin" / "python", python)
    (folder / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "on_postgres", folder / ".ci" / "on_postgres")
    return subprocess.run(
        ["sh", folder / ".ci" / "on_postgres", "tests/workflow"],
        cwd="/",
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={**os.environ, "PATH": f"{folder / 'first'}:{os.environ['PATH']}", "POSTGRES": str(postgres)},
    )


def test_without_postgresql_it_is_said_what_to_install(tmp_path: Path) -> None:
    run = on_postgres(tmp_path, tmp_path / "nowhere")
    assert "NOT run" in run.stderr
    assert "sudo apt-get install postgresql" in run.stderr
    assert (run.returncode, run.stdout) == (0, "")


@pytest.mark.parametrize("starts", [True, False])
def test_the_server_of_a_run_is_stopped_and_removed_whatever_the_tests_say(
    starts: bool, tmp_path: Path
) -> None:
    done, server = tmp_path / "done", tmp_path / "postgres" / "15" / "bin"
    stand_in(server / "initdb", f'echo "initdb $*" >>{done}')
    refused = "" if starts else '\ncase "$*" in *start) exit 1 ;; esac'
    stand_in(server / "pg_ctl", f'echo "$*" >>{done}; touch "${{2%/data}}/log"{refused}')
    run = on_postgres(tmp_path, tmp_path / "postgres")
    said = done.read_text().splitlines()
    folder = said[0].partition("-D ")[2].partition("/data")[0]
    assert said[0].startswith("initdb ")
    assert [line.rpartition(" ")[2] for line in said[1:]] == ["start"] * (1 if starts else 3) + ["stop"]
    assert "listen_addresses=127.0.0.1" in said[1]
    assert not Path(folder).exists()
    assert ("pytest -n 2" in run.stdout) == starts
    assert ("NOT run" in run.stderr) == (not starts)
    assert run.returncode == (4 if starts else 0)


def test_run_says_what_it_knows_when_asked_something_else() -> None:
    run = subprocess.run([ROOT / "run", "--serve"], cwd="/", capture_output=True, text=True)
    assert run.returncode == 1
    assert "--empty" in run.stderr
    assert "--serve" in run.stderr


def requirements() -> dict[str, str]:
    """Each requirement of the lock with everything that belongs to it."""
    blocks = re.split(r"\n(?=[A-Za-z0-9])", LOCK.strip())
    return {block.split("==")[0].lower(): block for block in blocks}


def test_every_requirement_is_exact_and_hashed() -> None:
    for name, block in requirements().items():
        assert re.match(r"[\w.-]+(\[\w+\])?==[\w.!+-]+ ", block), name
        assert "--hash=sha256:" in block, name


def test_the_lock_holds_what_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[\[<>=~ ]", line)[0].lower() for line in asked}
    assert names - requirements().keys() == set()


def test_the_lock_names_no_registry() -> None:
    assert "://" not in LOCK
    assert "index-url" not in LOCK


def test_no_file_names_a_place_of_one_machine() -> None:
    place = re.compile(r"(?<![\w.:/-])/(?:home|root|Users|work)/\w")
    found = []
    for path in ROOT.rglob("*"):
        if NOT_OURS & set(path.relative_to(ROOT).parts) or not path.is_file():
            continue
        content = path.read_bytes()
        if b"\0" not in content[:8000] and place.search(content.decode("utf-8", errors="replace")):
            found.append(str(path.relative_to(ROOT)))
    assert found == []


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def start(tmp_path: Path, port: str) -> subprocess.Popen[str]:
    own = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("CTP_", "DATABASE_", "DJANGO_"))
    }
    return subprocess.Popen(
        [ROOT / "run"],
        cwd="/",
        env={**own, "CTP_DATA": str(tmp_path / "data"), "PORT": port, "CI": "true"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def test_run_serves_the_sign_in_page_and_prints_how_to_get_in(tmp_path: Path) -> None:
    port = free_port()
    server = start(tmp_path, str(port))
    try:
        page = ""
        while not page:
            assert server.poll() is None, server.stdout.read()
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/sign-in/", timeout=HANGING) as answer:
                    page = answer.read().decode("utf-8")
            except urllib.error.URLError:
                time.sleep(0.5)
    finally:
        server.terminate()
        printed = server.communicate(timeout=HANGING)[0]
    assert "Sign-in name" in page
    assert "Tidewater Gangway Works" in page
    assert f"http://127.0.0.1:{port}/" in printed
    assert "maren    author" in printed
    key = tmp_path / "data" / "secret_key"
    assert key.stat().st_mode & 0o777 == 0o600


def test_run_refuses_a_port_that_is_no_number(tmp_path: Path) -> None:
    server = start(tmp_path, "eighty")
    printed = server.communicate(timeout=HANGING)[0]
    assert server.returncode == 1
    assert printed == "PORT is 'eighty'. Set it to a number from 1 to 65535.\n", (
        "said before anything is set up"
    )
