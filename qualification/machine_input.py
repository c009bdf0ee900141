"""Reads the documents of the machine interface: JSON text, held against the schema, or refused in words."""

from __future__ import annotations

import difflib
import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from qualification.posted import number_in
from qualification.rules.entries.completing import TRANSFER
from qualification.rules.entries.position_entries import names_in
from qualification.rules.entries.reading import NOT_APPLICABLE_WORDS
from qualification.rules.interface.questions import InputProblem, InputRefused
from qualification.rules.interface.record_files import is_record, question_of
from qualification.rules.interface.schema import document_schema
from qualification.rules.variables.choice_words import choices_named
from qualification.rules.variables.definition import RecordKind, ValueKind
from qualification.rules.variables.registry import registry

MOST_LISTED = 12
_UNKNOWN, _FOREIGN = "Unknown key", "is not a variable of this line's process."


def read_document(text: bytes, name: str) -> dict[str, Any]:
    """The input document `name` (`ranges` or `coverage`) held in `text`; a record saved as data
    asks the question of its kind.

    Raises InputRefused with every problem of its shape.
    """
    parsed = _parse(text)
    document = with_choices(question_of(parsed, name) if is_record(parsed) else parsed)
    validator = Draft202012Validator(document_schema(name))
    found = dict.fromkeys(
        problem for error in validator.iter_errors(document) for problem in _problems(error)
    )
    unknown = {problem.where for problem in found if problem.message.startswith(_UNKNOWN)}
    problems = [p for p in found if not (p.message.endswith(_FOREIGN) and p.where in unknown)]
    if problems:
        raise InputRefused(sorted(problems, key=lambda p: _in_order(p.where)))
    return document


def with_choices(document: Any) -> Any:
    """The document with choices that records write in other words (`DCRP`, `uphill`, `2G & 5G`) under their
    keys; what is not understood stays, to be refused with the choices there are."""
    if isinstance(document, list):
        return [with_choices(part) for part in document]
    if not isinstance(document, dict):
        return document
    entries = {key: _chosen(key, entry) for key, entry in document.items()}
    transfer = TRANSFER.get(str(document.get("process", "")).upper())
    return ({"transfer_mode": transfer} if transfer else {}) | entries


def _chosen(key: str, entry: Any) -> Any:
    variable = registry().get(key)
    if variable is None or variable.kind is not ValueKind.CHOICE or variable.derived:
        return with_choices(entry)
    if not isinstance(entry, str) or entry.strip().lower() in NOT_APPLICABLE_WORDS:
        return entry
    found = names_in(entry) if key in ("position", "test_position") else []
    found = found or choices_named(variable, entry, RecordKind.SPEC)
    return entry if not found else found[0] if len(found) == 1 else found


def _in_order(where: str) -> list[tuple[int, str]]:
    """Pointers sort by their steps, list positions as numbers."""
    steps = ((number_in(step), step) for step in where.split("/"))
    return [(-1, step) if number is None else (number, "") for number, step in steps]


def _parse(text: bytes) -> Any:
    try:
        return json.loads(
            text.decode("utf-8-sig"), object_pairs_hook=_without_repeats, parse_constant=_no_constant
        )
    except UnicodeDecodeError as error:
        raise _whole(
            f"is not UTF-8 text: byte {error.start + 1} cannot be read. Save it as UTF-8."
        ) from error
    except json.JSONDecodeError as error:
        raise _whole(f"is not JSON: line {error.lineno}, column {error.colno}: {error.msg}.") from error
    except RecursionError as error:
        raise _whole("is nested too deeply to be a document of this interface.") from error
    except ValueError as error:
        raise _whole(f"is not JSON this interface takes: {error}.") from error


def _whole(message: str) -> InputRefused:
    return InputRefused([InputProblem("", message)])


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key “{key}” stands twice in one object")
        found[key] = value
    return found


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name} is not a JSON value")


def _problems(error: ValidationError) -> Iterable[InputProblem]:
    """What one complaint of the validator comes to for a person."""
    where, wanted, found = pointer(error.absolute_path), error.validator_value, error.instance
    if error.validator == "additionalProperties":
        return [
            _unknown_key(where, key, error.schema["properties"])
            for key in found
            if key not in error.schema["properties"]
        ]
    if "propertyNames" in error.absolute_schema_path:
        return [InputProblem(f"{where}{pointer([found])}", f"“{found}” {_FOREIGN}")]
    if error.validator == "required":
        missing = [key for key in wanted if key not in found]
        return [InputProblem(where, f"“{key}” is missing.") for key in missing]
    if error.validator == "oneOf" and not isinstance(found, Mapping):
        return []  # that it is no object has been said
    words = _WORDS.get(str(error.validator))
    return [InputProblem(where, words(wanted, found) if words else f"{error.message}.")]


def _unknown_key(where: str, key: str, known: Iterable[str]) -> InputProblem:
    close = difflib.get_close_matches(key, list(known), n=1)
    hint = f" Did you mean “{close[0]}”?" if close else ""
    return InputProblem(f"{where}{pointer([key])}", f"{_UNKNOWN}: “{key}”.{hint}")


def _choice(wanted: list[Any], found: Any) -> str:
    if not isinstance(found, str):
        return f"{_said(found)} is given; give one of {_listed(wanted)} as text."
    return f"“{found}” is not one of {_listed(wanted)}."


def _listed(wanted: list[Any]) -> str:
    return ", ".join(map(str, wanted[:MOST_LISTED])) + (", …" if len(wanted) > MOST_LISTED else "")


_TYPES = {"object": "an object", "array": "a list", "string": "text", "boolean": "true or false"}


def _type(wanted: str | list[str], found: Any) -> str:
    names = [wanted] if isinstance(wanted, str) else wanted
    hint = (
        ' Write a number as text with its unit, like "1/4 in".'
        if _is_number(found) and "string" in names
        else ""
    )
    return f"{_said(found)} is given; give {' or '.join(_TYPES[name] for name in names)}.{hint}"


def _is_number(found: Any) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool)


def _said(found: Any) -> str:
    """What was given, named by its kind where it is too long to repeat."""
    if isinstance(found, Mapping):
        return "An object"
    if isinstance(found, list):
        return "A list"
    if isinstance(found, str):
        return f"The text “{found[:60]}{'…' if len(found) > 60 else ''}”"
    return f"The value {json.dumps(found)}"


def _one_of(wanted: Any, found: Any) -> str:
    """The only alternative in the schema: results, or the word that they passed."""
    both = "results" in found and "results_passed" in found
    return (
        "“results” and “results_passed” are both given; give one of them."
        if both
        else "The results are missing: give “results”, or “results_passed”: true if they passed."
    )


_WORDS: dict[str, Callable[[Any, Any], str]] = {
    "type": _type,
    "enum": _choice,
    "const": lambda wanted, found: f"{_said(found)} is given; it can only be {json.dumps(wanted)}.",
    "oneOf": _one_of,
    "minLength": lambda wanted, found: "The text is empty; leave the key out where nothing is stated.",
    "maxLength": lambda wanted, found: (
        f"The text is {len(found)} characters long; at most {wanted} are taken."
    ),
    "minItems": lambda wanted, found: "The list is empty; it needs at least one item.",
    "maxItems": lambda wanted, found: f"The list holds {len(found)} items; at most {wanted} are taken.",
    "uniqueItems": lambda wanted, found: "The list names something twice.",
    "dependentRequired": lambda wanted, found: (
        "“particulars” say how results are judged; they need “results”."
    ),
}


def pointer(path: Iterable[str | int]) -> str:
    """A JSON pointer (RFC 6901)."""
    return "".join(f"/{str(step).replace('~', '~0').replace('/', '~1')}" for step in path)
