"""The layers, held by an import contract and a fresh interpreter; and the limits that keep files readable."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
RULES = ROOT / "qualification" / "rules"
LINES_PER_FILE, LINES_PER_FUNCTION, LINES_OF_SETTINGS = 400, 60, 150
NUMERIC_LIBRARIES = {"numpy", "pint", "pyarrow"}


def python_files(*folders: str) -> list[Path]:
    return sorted(
        path for folder in folders for path in (ROOT / folder).rglob("*.py") if "migrations" not in path.parts
    )


def test_the_import_contracts_hold() -> None:
    command = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run([command, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr


def test_the_rules_import_no_django_in_a_fresh_interpreter() -> None:
    names = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in python_files("qualification/rules")
        if path.name != "__init__.py"
    ]
    program = "\n".join(
        [
            "import sys",
            *(f"import {name}" for name in ["qualification.rules", *names]),
            "print([name for name in sys.modules if name.split('.')[0] in ('django', 'wps')])",
        ]
    )
    run = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True)
    assert (run.stdout.strip(), run.stderr) == ("[]", "")


@pytest.mark.parametrize("asked", [("check",), ("format", "--check")], ids=" ".join)
def test_every_package_is_written_by_the_rules_of_the_linter(asked: tuple[str, ...]) -> None:
    command = [Path(sys.executable).with_name("ruff"), *asked, "--no-cache", "."]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr


def imports_of(path: Path) -> Iterator[str]:
    """The whole name of each module a file imports, relative ones resolved."""
    package = path.relative_to(ROOT).parts[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            yield ".".join([*base, *([node.module] if node.module else [])])


def test_the_rules_import_the_standard_library_and_numeric_libraries_only() -> None:
    allowed = sys.stdlib_module_names | NUMERIC_LIBRARIES
    strangers = [
        (str(path.relative_to(ROOT)), name)
        for path in python_files("qualification/rules")
        for name in imports_of(path)
        if name.split(".")[0] not in allowed and not name.startswith("qualification.rules")
    ]
    assert strangers == []


def test_no_file_is_long() -> None:
    lengths = {
        str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
        for path in python_files("wps", "qualification", "tests")
    }
    assert {name: lines for name, lines in lengths.items() if lines > LINES_PER_FILE} == {}
    assert lengths["wps/settings.py"] <= LINES_OF_SETTINGS


def test_no_function_is_long() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {node.name} has {node.end_lineno - node.lineno + 1} lines"
        for path in python_files("wps", "qualification", "tests")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno - node.lineno + 1 > LINES_PER_FUNCTION
    ]
    assert long == []
