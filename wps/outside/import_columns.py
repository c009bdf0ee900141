"""The lists that can come in: what each holds, and the columns it may have."""

from __future__ import annotations

from functools import cache

from qualification.rules.variables.definition import Level, RecordKind
from wps.jobs.weld_columns import Column
from wps.outside.entry_columns import MOST_LINES, entry_head, variables_of

WELDERS, USES, WELDER_TESTS, TESTS, PROCEDURES = "welders", "uses", "welder_tests", "tests", "procedures"
TARGETS = {
    WELDERS: "Welders",
    USES: "Uses of processes (continuity log)",
    WELDER_TESTS: "Welder tests",
    TESTS: "Procedure tests",
    PROCEDURES: "Procedures",
}
RECORDS = {WELDER_TESTS: RecordKind.WELDER_TEST, TESTS: RecordKind.TEST, PROCEDURES: RecordKind.SPEC}
"""The lists of records, and what is entered on each."""
NEEDED = {
    WELDERS: ("name", "stamp"),
    USES: ("welder", "process", "operation", "used_on"),
    WELDER_TESTS: ("number", "welder"),
    TESTS: ("number",),
    PROCEDURES: ("number",),
}
"""Columns without which a row says nothing."""
DAYS = frozenset({"welded_on", "used_on", "born_on"})

_WELDER = Column(
    "welder",
    "Welder",
    "Welder",
    ("welder id", "stamp", "welder stamp", "welder name", "name", "welder no", "symbol", "clock no"),
)
_EDITION = Column("edition", "Code edition", "Code", ("code", "standard", "code/standard", "qualified to"))
_NOTES = Column("notes", "Notes", "Notes", ("remarks", "note", "comment", "comments"), "l")
_NUMBER = ("no", "number", "record", "record no", "test no", "id", "cert no", "certificate no")
_OF_A_TEST = (
    Column(
        "welded_on", "Welded on", "Welded", ("date", "test date", "date welded", "date of test", "weld date")
    ),
    _EDITION,
    Column("spec_followed", "WPS followed", "WPS", ("wps no", "wps used", "procedure")),
    Column("laboratory", "Laboratory", "Lab", ("lab", "tested by", "test lab")),
    Column("report_number", "Report number", "Report", ("report", "report no", "lab report", "lab no")),
    Column("witness", "Witness", "Witness", ("witnessed by", "inspector", "examiner")),
    Column("result", "Results as on the paper", "Results", ("result", "test result", "pass/fail"), "l"),
    _NOTES,
)
_HEADS: dict[str, tuple[Column, ...]] = {
    WELDERS: (
        Column("name", "Name", "Name", ("welder", "welder name", "full name")),
        Column(
            "stamp", "Stamp", "Stamp", ("id", "welder id", "symbol", "stamp no", "clock no", "initials"), "s"
        ),
        Column("born_on", "Born on", "Born on", ("date of birth", "dob", "birth date")),
        Column("born_at", "Born at", "Born at", ("place of birth", "birthplace")),
        Column("identified_by", "Identified by", "Identified by", ("identification", "identity")),
        Column("active", "Active", "Active", ("employed", "current", "status"), "s"),
        _NOTES,
    ),
    USES: (
        _WELDER,
        Column("process", "Process", "Process", ("proc", "welding process")),
        Column("operation", "Operation", "Operation", ("type", "manual/semi", "mode")),
        Column("used_on", "Used on", "Used on", ("date", "last used", "date used", "day", "last weld")),
        Column("evidence", "Evidence", "Evidence", ("job", "job no", "weld map", "reference", "source"), "l"),
    ),
    WELDER_TESTS: (
        Column("number", "Number", "Number", (*_NUMBER, "wpq no", "wpqr no", "wpq", "wpqr")),
        Column("title", "Title", "Title", ("description",), "l"),
        _WELDER,
        *_OF_A_TEST,
    ),
    TESTS: (
        Column("number", "Number", "Number", (*_NUMBER, "pqr no", "pqr", "wpqr no", "wpqr")),
        Column("title", "Title", "Title", ("description",), "l"),
        _WELDER,
        *_OF_A_TEST,
    ),
    PROCEDURES: (
        Column("number", "Number", "Number", (*_NUMBER, "wps no", "wps", "wps number")),
        Column("title", "Title", "Title", ("description",), "l"),
        _EDITION,
        Column("customer", "Customer or project", "Customer", ("customer", "project", "client")),
        Column("tests", "Supporting tests", "PQR", ("pqr no", "supporting pqr", "pqrs", "wpqr", "pqr nos")),
        _NOTES,
    ),
}
_IN_WORDS = (
    Column("joint", "Joint in words", "Joint", ("joint type", "type of joint"), "l"),
    Column("metal", "Base metal of both sides", "Metal", ("material", "base metal", "matl", "alloy")),
    Column("thickness", "Thickness of both sides", "t", ("thk", "thickness", "t", "plate thk"), "s"),
    Column("position", "Position", "Pos", ("pos", "test position", "welding position"), "s"),
)
KNOWN_ENTRIES = {
    "process": ("proc", "welding process"),
    "operation": ("type of welding", "manual/semi"),
    "filler_classification": ("filler", "wire", "electrode", "filler metal", "rod", "filler wire"),
    "filler_diameter": ("filler dia", "wire dia", "wire size"),
    "shielding_gas": ("gas",),
    "diameter": ("od", "dia", "pipe od", "pipe dia"),
    "backing": ("backing type",),
    "transfer_mode": ("transfer",),
    "progression": ("up/down", "direction"),
    "amps": ("amperage", "current"),
    "volts": ("voltage",),
    "deposit_thickness": ("deposit", "weld thickness"),
}
"""Headings by which entries are known in shops."""


@cache
def columns_for(target: str) -> tuple[Column, ...]:
    """Every column a list may have: the head of the record first, then what is said in words, then each entry
    by its own label."""
    heads = _HEADS[target]
    if target not in RECORDS:
        return heads
    taken = {column.key for column in (*heads, *_IN_WORDS)}
    entries = []
    for line in range(MOST_LINES):
        for variable in variables_of(RECORDS[target]):
            if variable.key in taken or (line and variable.level is Level.JOINT):
                continue
            label = entry_head(variable, line)
            known = KNOWN_ENTRIES.get(variable.key, ()) if line == 0 else ()
            entries.append(Column(f"{line}:{variable.key}", label, label, known))
    return (*heads, *_IN_WORDS, *entries)
