"""What handbook and manuals name is there: folders, paths, commands, variables; and all of it is named."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
HANDBOOK = ROOT / "DEVELOPERS.md"
MOST_BYTES = 12_000
MANUALS = [
    HANDBOOK,
    ROOT / "README.md",
    *sorted(path for top in ("qualification", "wps", "tests") for path in (ROOT / top).rglob("README.md")),
]
TEXTS = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in MANUALS}
SOURCES = [*ROOT.glob("wps/**/*.py"), *ROOT.glob("qualification/**/*.py"), ROOT / "run", ROOT / "test"]
VARIABLE = r"\b(?:CTP_[A-Z_]+[A-Z]|DATABASE_URL|PORT|CHROME)\b"
BEGINNINGS = ("", "qualification", "qualification/rules", "wps", "templates", "tests/rules")
"""Folders from which paths are given, beside that of the manual itself."""
MADE_HERE = (".venv/", ".local/", "CTP_DATA/")
OWN_COMMANDS = {
    path.stem for path in ROOT.glob("*/management/commands/*.py") if not path.stem.startswith("_")
}
OF_DJANGO = {"axes_reset_username", "changepassword", "check"}


def test_the_handbook_is_short() -> None:
    assert len(HANDBOOK.read_bytes()) <= MOST_BYTES


def test_every_top_level_folder_is_on_the_map() -> None:
    made_on_this_machine = {
        line.strip().rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    }
    folders = {path.name for path in ROOT.iterdir() if path.is_dir()} - made_on_this_machine - {".git"}
    assert {name for name in folders if f"`{name}/" not in TEXTS["DEVELOPERS.md"]} == set()


def test_every_folder_of_the_rules_is_on_the_map() -> None:
    folders = {path.parent.name for path in (ROOT / "qualification" / "rules").glob("*/__init__.py")}
    assert "core" in folders
    assert {name for name in folders if f"`{name}/`" not in TEXTS["DEVELOPERS.md"]} == set()


def test_the_commands_named_are_those_there_are() -> None:
    named = {name for text in TEXTS.values() for name in re.findall(r"manage\.py ([a-z_]+)", text)}
    assert "demo" in OWN_COMMANDS
    assert named - OF_DJANGO == OWN_COMMANDS


def test_the_environment_variables_named_are_those_read() -> None:
    read = {name for path in SOURCES for name in re.findall(VARIABLE, path.read_text(encoding="utf-8"))}
    named = {name for text in TEXTS.values() for name in re.findall(VARIABLE, text)}
    listed = {
        name for text in TEXTS.values() for name in re.findall(rf"^\| `({VARIABLE})`", text, re.MULTILINE)
    }
    assert "CTP_DATA" in read
    assert (listed, named) == (read, read)


@pytest.mark.parametrize("manual", TEXTS)
def test_every_path_named_is_there(manual: str) -> None:
    text = re.sub(r"^```.*?^```", "", TEXTS[manual], flags=re.DOTALL | re.MULTILINE)
    named = [
        *(word for words in re.findall(r"`([^`\n]+)`", text) for word in words.split() if _is_a_path(word)),
        *(link for link in re.findall(r"\]\(([^)]+)\)", text) if "://" not in link),
    ]
    assert [name for name in named if not _is_there(name, Path(manual).parent)] == []


def _is_a_path(word: str) -> bool:
    shape = r"[\w./<>*-]+(/|\.(py|md|toml|css|js|html|svg|lock))"
    return bool(re.fullmatch(shape, word)) and not word.startswith(MADE_HERE)


def _is_there(name: str, beside: Path) -> bool:
    pattern = re.sub(r"<[^>]*>", "*", name).rstrip("/")
    folders = [ROOT / beside, *(ROOT / beginning for beginning in BEGINNINGS)]
    if "/" not in pattern:  # a file called by its name alone
        pattern = f"**/{pattern}"
        folders = [ROOT / top for top in ("qualification", "wps", "templates", "tests", "fixtures")]
    return (ROOT / name).exists() or any(True for folder in folders for _ in folder.glob(pattern))


def test_every_dependency_has_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[\[<>=~ ]", line)[0] for line in asked}
    assert {name for name in names if f"| {name} |" not in TEXTS["DEVELOPERS.md"]} == set()


def test_the_quick_lane_names_files_that_are_there() -> None:
    lane = re.search(r"= quick \]; then(.*?)\nfi\n", (ROOT / "test").read_text(encoding="utf-8"), re.DOTALL)[
        1
    ]
    named = re.findall(r"tests/[\w./]+", lane)
    assert len(named) > 5
    assert [name for name in named if not (ROOT / name).exists()] == []
