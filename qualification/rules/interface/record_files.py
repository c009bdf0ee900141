"""A record saved as data, or taken out of its paper, turned into a question of the machine interface."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .questions import InputProblem, InputRefused

RECORD_FORMAT = "coupon-to-paper-record/1"


def is_record(document: Any) -> bool:
    """Whether a document is a record and no question yet."""
    return isinstance(document, dict) and document.get("format") == RECORD_FORMAT


def question_of(document: Mapping[str, Any], name: str) -> dict[str, Any]:
    """The `ranges` or `coverage` question that the record asks: what a test qualifies, or whether a procedure
    is covered by the tests saved with it. Raises InputRefused where it is of the other kind, or where its
    tests are not in the file."""
    content = document.get("content")
    if not isinstance(content, dict) or not {"joint", "lines", "units", "edition", "kind"} <= content.keys():
        raise _refused("is not a whole record: save it as data from the record's page again.")
    is_test = "results" in content
    if name == "ranges":
        if not is_test:
            raise _refused("is a procedure: ask `coverage` of it.")
        return {"edition": content["edition"], "side": _side(content), **_test(content)}
    if is_test:
        raise _refused("is a test: ask `ranges` of it.")
    tests = [each for each in document.get("evidence", []) if isinstance(each, dict)]
    if any("results" not in each for each in tests):
        raise _refused(
            "holds only the digests of its tests: save the procedure as data from its page, with its tests."
        )
    asked = {"prequalified": True} if content.get("prequalified") else {}
    return {
        "edition": content["edition"],
        "side": "procedure",
        "tests": [_test(each) for each in tests],
        "weld": {"units": content["units"], **_weld(content)},
        **asked,
    }


def _side(content: Mapping[str, Any]) -> str:
    return "welder" if "welder" in str(content["kind"]) else "procedure"


def _weld(content: Mapping[str, Any]) -> dict[str, Any]:
    return {"joint": _stated(content["joint"]), "lines": [_stated(line) for line in content["lines"]]}


def _test(content: Mapping[str, Any]) -> dict[str, Any]:
    found = {
        "record": f"{content['number']} rev {content['revision']}",
        "units": content["units"],
        **_weld(content),
        "results": [_stated(each) for each in content["results"]],
    }
    wanted = _stated(content.get("tests_wanted") or {})
    return found | ({"particulars": wanted} if wanted else {})


def _stated(entries: Mapping[str, Any]) -> dict[str, Any]:
    """Entries without those left blank."""
    return {key: value for key, value in entries.items() if value not in ("", None, [])}


def _refused(message: str) -> InputRefused:
    return InputRefused([InputProblem("", message)])


def record_schema() -> dict[str, Any]:
    """JSON Schema of a record saved as data. What else stands in it are words for people, and may grow."""
    entries = {"type": "object", "additionalProperties": {"type": ["string", "array"]}}
    text = {"type": "string"}
    content = {
        "type": "object",
        "required": ["kind", "number", "revision", "edition", "units", "joint", "lines"],
        "properties": {
            "kind": text,
            "number": text,
            "revision": {"type": "integer", "minimum": 0},
            "title": text,
            "edition": text,
            "units": {"enum": ["us", "si"]},
            "state": text,
            "joint": entries,
            "lines": {"type": "array", "items": entries},
            "results": {"type": "array", "items": entries},
            "passes": {"type": "array", "items": entries},
            "range": {"type": "array", "items": {"type": "object"}},
            "findings": {"type": "array", "items": {"type": "object"}},
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A record saved as data",
        "type": "object",
        "required": ["format", "content"],
        "properties": {
            "format": {"const": RECORD_FORMAT},
            "code": text,
            "content_hash": text,
            "content": content,
            "evidence": {"type": "array", "items": {"type": "object"}},
        },
    }
