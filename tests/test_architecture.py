"""The layers, held by an import contract and a fresh interpreter; and the limits that keep files readable."""

import ast
import subprocess
import sys
from collections.abc import Container, Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
RULES = ROOT / "qualification" / "rules"
LINES_PER_FILE, LINES_PER_FUNCTION, LINES_OF_SETTINGS = 400, 60, 150
NUMERIC_LIBRARIES = {"numpy", "pint", "pyarrow", "scipy"}


def python_files(*folders: str) -> list[Path]:
    return sorted(
        path for folder in folders for path in (ROOT / folder).rglob("*.py") if "migrations" not in path.parts
    )


@cache
def tree_of(path: Path) -> ast.Module:
    """The parsed file: most checks look at most of them."""
    return ast.parse(path.read_text(encoding="utf-8"))


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


def test_the_types_agree() -> None:
    run = subprocess.run([sys.executable, "-m", "mypy"], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr


def imports_of(path: Path) -> Iterator[str]:
    """The whole name of each thing a file imports, relative ones resolved."""
    package = path.relative_to(ROOT).parts[:-1]
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            module = [*base, *([node.module] if node.module else [])]
            yield from (".".join([*module, alias.name]) for alias in node.names)


def test_the_rules_import_the_standard_library_and_numeric_libraries_only() -> None:
    allowed = sys.stdlib_module_names | NUMERIC_LIBRARIES
    strangers = [
        (str(path.relative_to(ROOT)), name)
        for path in python_files("qualification/rules")
        for name in imports_of(path)
        if name.split(".")[0] not in allowed and not name.startswith("qualification.rules")
    ]
    assert strangers == []


def test_no_file_imports_itself_by_way_of_others() -> None:
    """Imports for type checkers alone count too: whoever reads one file of a circle has to read them all."""
    files = python_files("wps", "qualification", "tests")
    modules = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in files}
    modules = {name.removesuffix(".__init__"): path for name, path in modules.items()}
    TopologicalSorter(
        {name: _modules_used(path, modules) - {name} for name, path in modules.items()}
    ).prepare()


def _modules_used(path: Path, modules: Container[str]) -> set[str]:
    """Ours among what a file imports: the module itself rather than the folder it is named from."""
    whole = imports_of(path)
    ours = (name if name in modules else name.rpartition(".")[0] for name in whole)
    return {name for name in ours if name in modules}


HEAVY = {"ezdxf", "fontTools", "matplotlib", "pikepdf", "pint", "scipy", "weasyprint"}
"""Libraries that take a good part of a second to import, so that only what uses them pays for them."""
INSIDE_FUNCTIONS = {
    ("qualification/apps.py", "ready"): "models exist only once the apps are set up",
    ("wps/apps.py", "ready"): "models exist only once the apps are set up",
    ("wps/documents/render.py", "lay_out"): "its assets bring WeasyPrint along",
    ("wps/management/commands/bench_documents.py", "_rendering"): "so do they here",
    ("wps/documents/issuing.py", "prepared"): "signing brings pyHanko along, which is as slow to import",
    ("wps/reading/apart.py", "_limit"): "a module that only Unix has, in the process of its own",
    ("wps/reading/apart.py", "_allow_time"): "the same",
}
"""Other functions that import, each with its reason. Any more would hide a circle, or a missing name."""


def test_imports_stand_at_the_top() -> None:
    inside = {
        (str(path.relative_to(ROOT)), function.name)
        for path in python_files("wps", "qualification")
        for function in ast.walk(tree_of(path))
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
        and not {name.split(".")[0] for name in _named(node)} <= HEAVY
    }
    assert inside == INSIDE_FUNCTIONS.keys()


def test_the_slowest_libraries_wait_until_they_are_used() -> None:
    """Every start of the program, each command too, would pay for them."""
    found = [
        (str(path.relative_to(ROOT)), name)
        for path in python_files("wps", "qualification")
        for node in tree_of(path).body
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in _named(node)
        if name.split(".")[0] in {"ezdxf", "matplotlib", "scipy"}
    ]
    assert found == []


def _named(node: ast.Import | ast.ImportFrom) -> list[str]:
    return [alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""]


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
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno - node.lineno + 1 > LINES_PER_FUNCTION
    ]
    assert long == []
