"""What a person types for one entry of a row, and the value of the tables it stands for.

Numbers are written as the pages show them: `1/2 in (13 mm)` is a limit in both unit systems, `13 mm` one that
stands for both; `at least 1/8 in (3 mm), below 1 in (25 mm)` a band; `Weld type: groove, fillet` a condition.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from qualification.codes.table_values import NO, YES
from qualification.rules.core.quantities import SI, US
from qualification.rules.editions.table_words import ENDS
from qualification.rules.tabular.schema import Column, takes
from qualification.rules.testing.results import ResultKind
from qualification.rules.variables.definition import Level, ValueKind
from qualification.rules.variables.registry import registry

BY_READER = {
    "_percent": "number",
    "<lambda>": "keys",
    "_keys_or_none": "keys",
    "_known_metals": "keys",
    "_known_fillers": "keys",
    "kinds": "kinds",
    "_kind": "kind",
    "_counts": "counts",
}
"""Columns with a reader of their own, by its name, and the type they are typed as."""
HINTS = {
    "number": "A plain number.",
    "whole": "A whole number.",
    "keys": "Several, separated by commas.",
    "key_lists": "Groups of choices: commas within a group, a semicolon between groups.",
    "known_variable": "By its label, such as Thickness of the thinner side; empty: what the rule limits.",
    "pair": "In both unit systems, such as 1/2 in (13 mm); one alone stands for both.",
    "pair_interval": "Such as: at least 1/8 in (3 mm), below 1 in (25 mm). Also: above, up to.",
    "kind": f"One of: {', '.join(each.words for each in ResultKind)}.",
    "kinds": f"Several of: {', '.join(each.words for each in ResultKind)}; commas between.",
    "counts": "A line for each choice, such as 2 face bend, 2 root bend.",
    "conditions": "A line each, such as Weld type: groove, fillet. All of them have to hold.",
    "condition_sets": "A line for each exemption; within a line a semicolon between its conditions.",
}


def type_of(column: Column) -> tuple[str, Any]:
    """Name of the column's type, and what it is of."""
    kind, of = takes(column)
    return BY_READER.get(kind, kind), of


def as_shown(value: Any, kind: str, choices_of: str = "") -> str:
    """A value of the tables as it is typed; empty where there is none."""
    if value is None:
        return ""
    if kind == "yes_no":
        return YES if value else NO
    if kind == "known_variable":
        return name_of(value)
    if kind == "keys":
        return ", ".join(value)
    if kind in ("kind", "kinds"):
        return ", ".join(ResultKind(each).words for each in ([value] if kind == "kind" else value))
    if kind == "counts":
        return "\n".join(
            ", ".join(f"{number} {ResultKind(key).words}" for key, number in each.items()) for each in value
        )
    if kind == "key_lists":
        return "; ".join(", ".join(group) for group in value)
    if kind == "pair":
        return _pair_shown(value)
    if kind == "pair_interval":
        return ", ".join(f"{ENDS[end]} {_pair_shown(limit)}" for end, limit in value.items())
    if kind == "conditions":
        return "\n".join(_condition_shown(key, allowed) for key, allowed in value.items())
    if kind == "condition_sets":
        return "\n".join(
            "; ".join(_condition_shown(key, allowed) for key, allowed in each.items()) for each in value
        )
    return str(value)


def _pair_shown(value: Any) -> str:
    if isinstance(value, Mapping):
        return f"{value[US]} ({value[SI]})"
    return str(value)


def _condition_shown(key: str, allowed: Any) -> str:
    words = as_shown(allowed, "pair_interval" if isinstance(allowed, Mapping) else "keys")
    return f"{name_of(key)}: {words}"


def name_of(key: str) -> str:
    """A variable as it is typed: its label, or its key where another has the same label."""
    label = registry()[key].label
    return label if sum(v.label == label for v in registry().values()) == 1 else key


def as_value(typed: str, kind: str, choices_of: str = "") -> Any:
    """What was typed, as the tables write it. `choices_of`: the variable whose choices may be typed by their
    labels. Raises ValueError saying what to write."""
    typed = typed.strip()
    if kind in ("number", "whole"):
        return _number(typed, whole=kind == "whole")
    if kind == "yes_no":
        return _yes_no(typed)
    if kind == "keys":
        return _choices(typed, choices_of)
    if kind == "kind":
        return _result_kind(typed)
    if kind == "kinds":
        return [_result_kind(part) for part in typed.split(",") if part.strip()]
    if kind == "counts":
        return [_counted(line) for line in typed.splitlines() if line.strip()]
    if kind == "key_lists":
        return [_choices(group, choices_of) for group in typed.split(";") if group.strip()]
    if kind == "known_variable":
        return variable_named(typed)
    if kind == "pair":
        return _pair(typed)
    if kind == "pair_interval":
        return _interval(typed)
    if kind == "conditions":
        return conditions(typed.splitlines())
    if kind == "condition_sets":
        return [conditions(line.split(";")) for line in typed.splitlines() if line.strip()]
    return typed


def variable_named(typed: str) -> str:
    """The variable of that key or label. Raises ValueError where there is none."""
    wanted = typed.strip().casefold()
    for key, variable in registry().items():
        if wanted in (key, variable.label.casefold()):
            return key
    close = [v.label for v in registry().values() if wanted and wanted in v.label.casefold()][:3]
    hint = f" Close to it: {', '.join(close)}." if close else ""
    raise ValueError(f"“{typed.strip()}” is no property of a weld. Write its label as forms have it.{hint}")


def _choices(typed: str, variable: str) -> list[str]:
    known = registry()[variable].choices if variable in registry() else ()
    by_label = {choice.label.casefold(): choice.key for choice in known}
    named = [part.strip() for part in typed.split(",") if part.strip()]
    return [by_label.get(part.casefold(), part) for part in named]


def _result_kind(typed: str) -> str:
    wanted = " ".join(typed.split()).casefold()
    for each in ResultKind:
        if wanted in (each.value, each.words.casefold()):
            return each.value
    raise ValueError(f"“{typed.strip()}” is no kind of result. {HINTS['kind']}")


def _counted(line: str) -> dict[str, int]:
    """`2 face bend, 2 root bend` by kind of result."""
    found: dict[str, int] = {}
    for part in line.split(","):
        number, _, kind = part.strip().partition(" ")
        found[_result_kind(kind)] = int(_number(number, whole=True))
    return found


def _number(typed: str, *, whole: bool) -> int | Decimal:
    try:
        number = Decimal(typed)
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or (whole and number != number.to_integral_value()):
        raise ValueError(f"“{typed}” is not a {'whole ' if whole else ''}number. Write one such as 2.")
    return int(number) if number == number.to_integral_value() else number


def _yes_no(typed: str) -> bool:
    if typed.casefold() not in (YES, NO):
        raise ValueError(f"“{typed}” is neither {YES} nor {NO}. Write one of them.")
    return typed.casefold() == YES


def _pair(typed: str) -> str | dict[str, str]:
    first, bracket, rest = typed.partition("(")
    if not bracket:
        return typed.strip()
    if not rest.rstrip().endswith(")") or not first.strip():
        raise ValueError(f"“{typed}” is not a limit. Write it such as 1/2 in (13 mm), or 13 mm alone.")
    return {US: first.strip(), SI: rest.rstrip()[:-1].strip()}


def _interval(typed: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    words = {said: key for key, said in ENDS.items()}
    for part in (each.strip() for each in typed.split(",")):
        end = next((said for said in words if part.casefold().startswith(f"{said} ")), None)
        if end is None:
            raise ValueError(
                f"“{part}” is not the end of a band. Begin with at least, above, up to or below, such as: at"
                " least 1/8 in (3 mm), below 1 in (25 mm)."
            )
        found[words[end]] = _pair(part[len(end) :])
    return found


def conditions(lines: Sequence[str]) -> dict[str, Any]:
    """Conditions of a line each, by variable. Raises ValueError naming the line at fault."""
    found: dict[str, Any] = {}
    for line in (each.strip() for each in lines):
        if not line:
            continue
        name, colon, allowed = line.partition(":")
        if not colon or not allowed.strip():
            raise ValueError(f"“{line}” is no condition. Write it such as Weld type: groove, fillet.")
        key = variable_named(name)
        is_number = registry()[key].kind is ValueKind.NUMBER
        found[key] = as_value(allowed, "pair_interval" if is_number else "keys", key)
    return found


def body_of(text: str) -> dict[str, Any]:
    """A coupon or a weld typed a line each, `Thickness of side A: 1/4 in`: its joint, and its process lines,
    each begun by its process. Choices may be typed by their labels; a semicolon separates several. Raises
    ValueError naming the line."""
    joint: dict[str, Any] = {}
    lines: list[dict[str, Any]] = [{}]
    for typed in (each.strip() for each in text.splitlines()):
        if not typed:
            continue
        key, value = _entry(typed)
        if key == "process" and key in lines[-1]:
            lines.append({})
        (joint if registry()[key].level is Level.JOINT else lines[-1])[key] = value
    return {"joint": joint, "lines": lines}


def _entry(line: str) -> tuple[str, str | list[str]]:
    name, colon, typed = line.partition(":")
    if not colon:
        raise ValueError(f"“{line}” is no entry. Write it such as Base metal of side A: 6061.")
    key = variable_named(name)
    known = {choice.label.casefold(): choice.key for choice in registry()[key].choices}
    parts = [part.strip() for part in typed.split(";")]
    chosen = [known.get(part.casefold(), part) for part in parts]
    return key, chosen[0] if len(chosen) == 1 else chosen


def body_shown(body: Mapping[str, Any]) -> str:
    """Joint and lines as `body_of` takes them."""
    return "\n".join(_entry_shown(key, value) for level in _levels(body) for key, value in level)


def _levels(body: Mapping[str, Any]) -> list[list[tuple[str, Any]]]:
    lines = [sorted(line.items(), key=lambda item: item[0] != "process") for line in body["lines"]]
    return [list(body["joint"].items()), *lines]


def _entry_shown(key: str, value: Any) -> str:
    return f"{name_of(key)}: {'; '.join(value) if isinstance(value, list) else value}"
