"""The JSON Schema (draft 2020-12) of what the machine interface takes, generated from the registry.

It checks shape: known keys, text where text belongs, known choices, the variables of the line's process.
What is written in the text, a number with its unit or a gas, is read by `entries/reading.py` afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ..core.facts import Side
from ..core.quantities import SI, US
from ..editions.loader import known_editions
from ..entries.position_entries import ISO_POSITIONS
from ..testing.result_fields import FIELDS, ResultField, Shape
from ..testing.results import ResultKind
from ..testing.test_options import BEND_CHOICES, LABELS
from ..variables.definition import PROCESSES, Level, RecordKind, ValueKind, Variable
from ..variables.registry import variables_for

FORMAT = "coupon-to-paper/1"
"""Version of everything the machine interface takes and gives. It changes when a key changes its meaning or
goes away; a new key is no new version."""
DIALECT = "https://json-schema.org/draft/2020-12/schema"
RECORDS = {
    RecordKind.TEST: "procedure_test",
    RecordKind.WELDER_TEST: "welder_test",
    RecordKind.SPEC: "spec",
    RecordKind.PART: "part",
    RecordKind.TRIAL: "trial",
}
"""Names of the kinds of record, as documents and schema give them."""
NOT_APPLICABLE = "n/a"
LONGEST_TEXT, LONGEST_NUMBER, MOST_LINES, MOST_TESTS = 500, 80, 20, 500

Schema = dict[str, Any]


def use_of_test(side: Side) -> RecordKind:
    """The kind of record a test of that side is read as."""
    return RecordKind.TEST if side is Side.PROCEDURE else RecordKind.WELDER_TEST


def use_of_weld(side: Side) -> RecordKind:
    """A procedure claims ranges, so its weld is read as a spec; a welder is asked about one part."""
    return RecordKind.SPEC if side is Side.PROCEDURE else RecordKind.PART


def input_schema() -> Schema:
    """One schema for both input documents, told apart by what they hold."""
    return {
        "$schema": DIALECT,
        "title": f"Input of the machine interface, {FORMAT}",
        "oneOf": [{"$ref": "#/$defs/ranges_input"}, {"$ref": "#/$defs/coverage_input"}],
        "$defs": _definitions(),
    }


def document_schema(name: str) -> Schema:
    """The schema of one input document alone: `ranges` or `coverage`."""
    return {"$schema": DIALECT, "$ref": f"#/$defs/{name}_input", "$defs": _definitions()}


def _definitions() -> dict[str, Schema]:
    found: dict[str, Schema] = {}
    for use, record in RECORDS.items():
        found[f"{record}_joint"] = _object(_entries(use, Level.JOINT))
        found[f"{record}_line"] = _line(use)
    for kind in ResultKind:
        found[f"result_{kind.value}"] = _result(kind)
    return found | {
        "result": {
            "type": "object",
            "required": ["kind"],
            "properties": {"kind": {"enum": [kind.value for kind in ResultKind]}},
            "allOf": [
                {"if": _where("kind", kind.value), "then": {"$ref": f"#/$defs/result_{kind.value}"}}
                for kind in ResultKind
            ],
        },
        "particulars": _particulars(),
        "ranges_input": _by_side(
            _test_properties(), ["edition", "side", "units", *_TEST_REQUIRED], _test_shapes, results=True
        ),
        "coverage_input": _by_side(
            {
                "tests": {"type": "array", "maxItems": MOST_TESTS, "items": {"type": "object"}},
                "weld": {"type": "object"},
                "prequalified": {
                    "type": "boolean",
                    "title": "Procedure without a test",
                    "description": (
                        "Hold the weld against the limits for procedures that need no test; tests stay empty."
                    ),
                },
            },
            ["edition", "side", "tests", "weld"],
            _coverage_shapes,
        ),
        **{f"{side.value}_record": _test(side) for side in Side},
        **{f"{side.value}_weld": _weld(side) for side in Side},
    }


_TEST_REQUIRED = ["record", "joint", "lines"]


def _head() -> dict[str, Schema]:
    return {
        "format": {"const": FORMAT},
        "edition": {"enum": list(known_editions())},
        "side": {"enum": [side.value for side in Side]},
    }


def _units() -> Schema:
    return {"enum": [US, SI]}


def _by_side(
    properties: dict[str, Schema], required: list[str], shapes: Any, *, results: bool = False
) -> Schema:
    """A document whose parts depend on whether it is about a procedure or a welder."""
    whole = _object({**_head(), **properties}, required)
    whole["allOf"] = [
        {"if": _where("side", side.value), "then": {"properties": shapes(side)}} for side in Side
    ]
    return whole | (_results_or_passed() if results else {})


def _test_properties() -> dict[str, Schema]:
    return {
        "units": _units(),
        "record": _text(80),
        "joint": {"type": "object"},
        "lines": {"type": "array"},
        "results": {"type": "array", "items": {"$ref": "#/$defs/result"}},
        "results_passed": {"const": True},
        "particulars": {"$ref": "#/$defs/particulars"},
    }


def _test_shapes(side: Side) -> dict[str, Schema]:
    return _weld_shapes(RECORDS[use_of_test(side)])


def _weld_shapes(record: str) -> dict[str, Schema]:
    return {
        "joint": {"$ref": f"#/$defs/{record}_joint"},
        "lines": {
            "type": "array",
            "minItems": 1,
            "maxItems": MOST_LINES,
            "items": {"$ref": f"#/$defs/{record}_line"},
        },
    }


def _coverage_shapes(side: Side) -> dict[str, Schema]:
    return {
        "tests": {"items": {"$ref": f"#/$defs/{side.value}_record"}},
        "weld": {"$ref": f"#/$defs/{side.value}_weld"},
    }


def _test(side: Side) -> Schema:
    return (
        _object({**_test_properties(), **_test_shapes(side)}, ["units", *_TEST_REQUIRED])
        | _results_or_passed()
    )


def _weld(side: Side) -> Schema:
    record = RECORDS[use_of_weld(side)]
    return _object(
        {"name": _text(80), "units": _units(), **_weld_shapes(record)}, ["units", "joint", "lines"]
    )


def _results_or_passed() -> Schema:
    """The results have to be there, or somebody has to say that they passed: silence qualifies nothing."""
    return {
        "oneOf": [{"required": ["results"]}, {"required": ["results_passed"]}],
        "dependentRequired": {"particulars": ["results"]},
    }


def _entries(use: RecordKind, level: Level) -> dict[str, Schema]:
    return {v.key: _entry(v, use) for v in variables_for(use, level)}


def _line(use: RecordKind) -> Schema:
    """A line states the variables of its process; which those are is asked once the process is stated."""
    line = _object(_entries(use, Level.LINE))
    line["allOf"] = [
        {
            "if": _where("process", process),
            "then": {"propertyNames": {"enum": [v.key for v in variables_for(use, Level.LINE, process)]}},
        }
        for process in PROCESSES
    ]
    return line


def _entry(variable: Variable, use: RecordKind) -> Schema:
    """One entry: text, or a list of texts where the record may claim several choices."""
    about = {"title": variable.label} | ({"description": variable.help} if variable.help else {})
    if variable.kind is ValueKind.NUMBER:
        return about | _text(LONGEST_NUMBER)
    if variable.kind is ValueKind.CHOICE:
        keys = [c.key for c in variable.choices]
        if variable.key in ("test_position", "position"):
            keys += ISO_POSITIONS
        return about | _choice(keys, several=use in variable.many)
    if use not in variable.many:
        return about | _text()
    return about | {
        "type": ["string", "array"],
        "minLength": 1,
        "maxLength": LONGEST_TEXT,
        "minItems": 1,
        "uniqueItems": True,
        "items": _text(),
    }


def _choice(keys: list[str], *, several: bool) -> Schema:
    alone = {"enum": [*keys, NOT_APPLICABLE]}
    if not several:
        return alone
    return {
        "type": ["string", "array"],
        "if": {"type": "string"},
        "then": alone,
        "items": {"enum": keys},
        "minItems": 1,
        "uniqueItems": True,
    }


def _result(kind: ResultKind) -> Schema:
    fields = {"kind": {"const": kind.value}, **{f.key: _result_field(f) for f in FIELDS[kind]}}
    return _object(fields, ["kind"])


def _result_field(field: ResultField) -> Schema:
    about = {"title": field.label} | ({"description": field.help} if field.help else {})
    if field.shape in (Shape.CHOICE, Shape.YES_NO):
        return about | {"enum": [str(choice.key) for choice in field.choices]}
    return about | _text(LONGEST_NUMBER if field.shape is Shape.NUMBER else LONGEST_TEXT)


def _particulars() -> Schema:
    fields = {key: {"title": label, **_text(LONGEST_NUMBER)} for key, label in LABELS.items()}
    fields["bends"] = {"title": LABELS["bends"], "enum": [choice.key for choice in BEND_CHOICES]}
    return _object(fields)


def _text(longest: int = LONGEST_TEXT) -> Schema:
    return {"type": "string", "minLength": 1, "maxLength": longest}


def _where(key: str, value: str) -> Schema:
    return {"type": "object", "required": [key], "properties": {key: {"const": value}}}


def _object(properties: dict[str, Schema], required: Iterable[str] = ()) -> Schema:
    made: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    wanted = list(required)
    return made | ({"required": wanted} if wanted else {})
