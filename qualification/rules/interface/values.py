"""Values, limits and findings as JSON: the words of `answer_words.py`, and the exact values behind them.

Numbers are text in canonical units, so that no reader rounds them: `{"value": "6.35", "open": false}`.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from ..core.facts import Facts
from ..core.findings import Finding
from ..core.quantities import DIMENSIONS
from ..core.values import Absent, Allowed, Anything, Interval, NotEncoded, NotOnTest, Stated, Undetermined
from ..entries.answer_words import row_of_finding, row_of_limit
from ..variables.limits import Condition, Limit
from ..variables.registry import registry

Json = dict[str, Any]


def value_json(variable: str, value: Stated | Allowed | None) -> Json:
    """A value or a range; `kind` says which of the other keys to read."""
    if isinstance(value, NotOnTest):
        return {"kind": "not_applicable"}
    if isinstance(value, Absent):
        return {"kind": value.name.lower()}
    if isinstance(value, Interval):
        dimension = DIMENSIONS.get(registry()[variable].dimension or "")
        return {
            "kind": "interval",
            "unit": dimension.canonical.symbol if dimension else "",
            "low": _end(value.low, value.low_open),
            "high": _end(value.high, value.high_open),
        }
    if isinstance(value, frozenset):
        return {"kind": "choices", "choices": sorted(value)}
    if isinstance(value, str):
        return {"kind": "text", "text": value}
    if isinstance(value, Undetermined):
        return {"kind": "undetermined", "needs": list(value.needs)}
    if isinstance(value, NotEncoded):
        return {"kind": "not_encoded"}
    assert value is None or isinstance(value, Anything)
    return {"kind": "anything"}


def _end(number: Decimal | None, is_open: bool) -> Json | None:
    """One end of an interval; `null` where it has no limit, `open` where the end itself lies outside."""
    return None if number is None else {"value": plain(number), "open": is_open}


def plain(number: Decimal) -> str:
    """A number without an exponent and without idle zeros."""
    text = f"{number:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def facts_json(facts: Facts) -> Json:
    """Every stated and derived value by key, in the order of the registry."""
    return {key: value_json(key, facts[key]) for key in registry() if key in facts}


def limit_json(limit: Limit, system: str, line: int) -> Json:
    """A limit as a row of a range, with its exact values under `exact` and the place of its number under
    `row`."""
    return row_of_limit(limit, system, line).as_json() | {
        "row": limit.citation.row,
        "exact": {
            "tested": value_json(limit.variable, limit.tested),
            "qualified": value_json(limit.variable, limit.allowed),
            "when": [_condition(c) for c in limit.when],
            "unless": [[_condition(c) for c in group] for group in limit.unless],
        },
    }


def _condition(condition: Condition) -> Json:
    return {"variable": condition.variable, "is": value_json(condition.variable, condition.allowed)}


def finding_json(finding: Finding, system: str) -> Json:
    """A finding as a row, with its exact values under `exact` and the place of its number under `row`."""
    return row_of_finding(finding, system).as_json() | {
        "row": finding.citation.row,
        "exact": {
            "found": value_json(finding.variable, finding.found),
            "qualified": value_json(finding.variable, finding.qualified),
            "needs": list(finding.needs),
        },
    }
