"""Every regular expression of the program, and texts that are hard for it.

Patterns are found where they stand: compiled ones among the names of each module, others as literals in calls
such as `re.sub(r"…", …)`. Hard texts are made from the pattern's own signs: what its repetitions take, over
and over, and then a sign that fits nowhere.
"""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import qualification
import wps

_parser: Any = importlib.import_module("re._parser" if hasattr(re, "_parser") else "sre_parse")

METHODS = ("search", "match", "fullmatch")
_SEARCHING = {"search", "sub", "subn", "split", "findall", "finditer"}
_FITS_NOWHERE = "\x01"


@dataclass(frozen=True)
class Found:
    """A pattern, where it stands, and the way it is used that costs most."""

    where: str
    pattern: re.Pattern[Any]
    method: str

    def run(self, text: str) -> None:
        ready: Any = text if isinstance(self.pattern.pattern, str) else text.encode("latin-1", "replace")
        if self.method == "search":
            for _ in self.pattern.finditer(ready):
                pass
        else:
            getattr(self.pattern, self.method)(ready)


def every_pattern() -> list[Found]:
    """All patterns of both apps."""
    names = [
        info.name
        for package in (qualification, wps)
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        if ".migrations" not in info.name and not info.name.startswith("wps.wsgi")
    ]
    return [found for name in names for found in _of_module(name)]


def _of_module(name: str) -> Iterator[Found]:
    module = importlib.import_module(name)
    source = Path(str(module.__file__)).read_text(encoding="utf-8")
    for each, value in vars(module).items():
        for number, pattern in enumerate(_patterns_in(value)):
            yield from _used(f"{name}.{each}[{number}]", pattern, each, source)
    for call in ast.walk(ast.parse(source)):
        if (
            isinstance(call, ast.Call)
            and isinstance(call.func, ast.Attribute)
            and isinstance(call.func.value, ast.Name)
            and call.func.value.id == "re"
            and call.args
            and isinstance(call.args[0], ast.Constant)
            and call.func.attr != "compile"
        ):
            method = "search" if call.func.attr in _SEARCHING else call.func.attr
            yield Found(f"{name}:{call.lineno}", re.compile(call.args[0].value), method)


def _patterns_in(value: Any) -> Iterator[re.Pattern[Any]]:
    if isinstance(value, re.Pattern):
        yield value
    elif isinstance(value, dict):
        yield from (pattern for each in value.values() for pattern in _patterns_in(each))
    elif isinstance(value, list | tuple):
        yield from (pattern for each in value for pattern in _patterns_in(each))


def _used(where: str, pattern: re.Pattern[Any], name: str, source: str) -> Iterator[Found]:
    """A pattern with each way its module uses it; any way where that cannot be seen."""
    ways = set(re.findall(rf"\b{re.escape(name)}\.(\w+)\(", source))
    methods = {"search" if way in _SEARCHING else way for way in ways} & set(METHODS)
    for method in sorted(methods or METHODS[:1]):
        yield Found(where, pattern, method)


def hard_texts(found: Found, most: int = 120) -> Iterator[tuple[str, str, str]]:
    """Beginning, what is repeated, and end."""
    raw = found.pattern.pattern
    parsed = _parser.parse(raw, found.pattern.flags)
    repeated = dict.fromkeys(sample for sample in _repeated(parsed) if sample)
    singles = dict.fromkeys(sign for sample in repeated for sign in sample)
    pumps = [*repeated, *singles, *(a + b for a, b in product(list(singles)[:6], repeat=2) if a != b)]
    starts = dict.fromkeys(_sample(parsed[:count]) for count in range(len(parsed) + 1))
    for number, (start, pump) in enumerate(product(list(starts)[:12], pumps)):
        if number >= most:
            return
        yield start, pump, _FITS_NOWHERE


def _repeated(parsed: Any) -> Iterator[str]:
    """An example of each part that may come any number of times, and of a whole that holds such parts."""
    for op, args in parsed:
        name = str(op)
        if name in ("MAX_REPEAT", "MIN_REPEAT", "POSSESSIVE_REPEAT"):
            if args[1] > 40:
                yield _sample(args[2])
                yield _sample(args[2], last=True)
            yield from _repeated(args[2])
        elif name == "SUBPATTERN":
            yield from _repeated(args[3])
        elif name == "BRANCH":
            for each in args[1]:
                yield from _repeated(each)
        elif name in ("ASSERT", "ASSERT_NOT"):
            yield from _repeated(args[1])
        elif name == "ATOMIC_GROUP":
            yield from _repeated(args)


_CATEGORIES = {"CATEGORY_DIGIT": "1", "CATEGORY_SPACE": " ", "CATEGORY_WORD": "a", "CATEGORY_NOT_DIGIT": "a"}


def _sample(parsed: Any, last: bool = False) -> str:
    """A text that the part takes, or nearly."""
    return "".join(_sample_of(str(op), args, last) for op, args in parsed)


def _sample_of(name: str, args: Any, last: bool) -> str:
    if name == "LITERAL":
        return chr(args)
    if name in ("NOT_LITERAL", "ANY"):
        return "1"
    if name == "CATEGORY":
        return _CATEGORIES.get(str(args), "x")
    if name == "RANGE":
        return chr(args[1] if last else args[0])
    if name == "IN":
        if str(args[0][0]) == "NEGATE":
            barred = {sign for op, each in args[1:] for sign in _sample_of(str(op), each, last)}
            return next(sign for sign in "1a ,.;x" if sign not in barred)
        return _sample_of(str(args[-1 if last else 0][0]), args[-1 if last else 0][1], last)
    if name in ("MAX_REPEAT", "MIN_REPEAT", "POSSESSIVE_REPEAT"):
        return _sample(args[2], last) * max(args[0], 1)
    if name == "SUBPATTERN":
        return _sample(args[3], last)
    if name == "ATOMIC_GROUP":
        return _sample(args, last)
    if name == "BRANCH":
        return _sample(args[1][-1 if last else 0], last)
    return ""
