"""The map in DEVELOPERS.md is complete: folders, commands, environment variables and dependencies."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MAP = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCES = [*ROOT.glob("wps/**/*.py"), *ROOT.glob("qualification/**/*.py"), ROOT / "run", ROOT / "test"]


def test_every_top_level_folder_is_on_the_map() -> None:
    made_on_this_machine = {
        line.strip().rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    }
    folders = {path.name for path in ROOT.iterdir() if path.is_dir()} - made_on_this_machine - {".git"}
    assert {name for name in folders if f"`{name}/" not in MAP} == set()


def test_every_command_is_on_the_map() -> None:
    commands = {
        path.stem for path in ROOT.glob("*/management/commands/*.py") if not path.stem.startswith("_")
    }
    assert "demo" in commands
    assert {name for name in commands if f"manage.py {name}" not in MAP} == set()


def test_every_environment_variable_is_on_the_map() -> None:
    names = {
        name
        for path in SOURCES
        for name in re.findall(
            r"\b(?:CTP_[A-Z_]+[A-Z]|DATABASE_URL|PORT|CHROME)\b", path.read_text(encoding="utf-8")
        )
    }
    assert "CTP_DATA" in names
    assert {name for name in names if f"`{name}`" not in MAP} == set()


def test_every_dependency_has_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[\[<>=~ ]", line)[0] for line in asked}
    assert {name for name in names if f"| {name} |" not in MAP} == set()
