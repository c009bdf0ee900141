"""What a record states beside the variables of the weld: who, which, when. Each once, for the tables of what
a record has to state, for pages and for documents."""

from __future__ import annotations

from dataclasses import dataclass

from .definition import RecordKind

PROCEDURE, PROCEDURE_TEST, WELDER_TEST = RecordKind.SPEC, RecordKind.TEST, RecordKind.WELDER_TEST
ALL = frozenset({PROCEDURE, PROCEDURE_TEST, WELDER_TEST})
TESTS = frozenset({PROCEDURE_TEST, WELDER_TEST})


@dataclass(frozen=True)
class RecordField:
    key: str
    label: str
    uses: frozenset[RecordKind]


_LISTED = (
    RecordField("organisation", "Organization", ALL),
    RecordField("number", "Number of the record", ALL),
    RecordField("revision", "Revision", ALL),
    RecordField("title", "Title", ALL),
    RecordField("edition", "Code and edition", ALL),
    RecordField("author", "Author", ALL),
    RecordField("customer", "Customer or project", frozenset({PROCEDURE})),
    RecordField("tests", "Supporting procedure tests", frozenset({PROCEDURE})),
    RecordField("sketch", "Joint sketch", frozenset({PROCEDURE, PROCEDURE_TEST})),
    RecordField("welder", "Welder", TESTS),
    RecordField("stamp", "Welder's stamp", TESTS),
    RecordField("birth", "Date and place of birth", frozenset({WELDER_TEST})),
    RecordField("identification", "How the welder was identified", frozenset({WELDER_TEST})),
    RecordField("welded_on", "Day of welding", TESTS),
    RecordField("spec_followed", "WPS followed", TESTS),
    RecordField("laboratory", "Laboratory", TESTS),
    RecordField("report_number", "Report number", TESTS),
    RecordField("witness", "Witness, examiner or examining body", TESTS),
    RecordField("results", "Test results", TESTS),
)
RECORD_FIELDS: dict[str, RecordField] = {field.key: field for field in _LISTED}
