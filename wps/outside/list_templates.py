"""Empty lists to fill in: the headings that an import knows, and a row that shows how cells are written."""

from __future__ import annotations

from qualification.rules.variables.definition import Level
from wps.outside.entry_columns import variables_of
from wps.outside.import_columns import PROCEDURES, RECORDS, TESTS, USES, WELDER_TESTS, WELDERS, columns_for

EXAMPLES = {
    WELDERS: {"name": "Anouk Berglund", "stamp": "AB", "active": "yes"},
    USES: {
        "welder": "AB",
        "process": "GMAW",
        "operation": "Semiautomatic",
        "used_on": "2024-04-27",
        "evidence": "Job 2107, weld map 3",
    },
    WELDER_TESTS: {
        "number": "WT-014",
        "welder": "AB",
        "welded_on": "2024-03-02",
        "metal": "6061",
        "thickness": "1/4 in",
        "position": "3G",
        "result": "Visual accepted; two side bends accepted",
        "0:process": "GMAW",
        "0:operation": "Semiautomatic",
        "0:filler_classification": "ER5356",
        "0:shielding_gas": "100Ar",
    },
    TESTS: {
        "number": "PT-014",
        "title": "6061 plate, pulsed GMAW",
        "welder": "AB",
        "welded_on": "2024-03-02",
        "laboratory": "Harbor Test House",
        "metal": "6061",
        "thickness": "1/4 in",
        "position": "3G",
        "0:process": "GMAW",
        "0:filler_classification": "ER5356",
    },
    PROCEDURES: {
        "number": "AL-14",
        "title": "6061 plate, pulsed GMAW",
        "tests": "PT-014",
        "metal": "6061",
        "thickness": "1/8 to 1/2 in",
        "0:process": "GMAW",
        "0:filler_classification": "ER5356",
    },
}
"""An invented row for each list."""
SHOWN = 40
"""Entries that a template has a column for: those most records state. Any other heading is known as well."""


def template_of(target: str) -> tuple[list[str], list[list[str]]]:
    """Headings, and one row as an example to write over."""
    columns = columns_for(target)
    if target in RECORDS:
        first = {f"0:{each.key}" for each in variables_of(RECORDS[target]) if each.level is Level.LINE}
        usual = [each for each in columns if ":" not in each.key]
        entries = [each for each in columns if each.key in first][:SHOWN]
        columns = (*usual, *entries)
    example = EXAMPLES[target]
    return [each.label for each in columns], [[example.get(each.key, "") for each in columns]]
