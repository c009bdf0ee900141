"""The machine interface: plain documents in, plain documents out, from the same rules as the pages.

A document handed in here has the shape of `interface/schema.py`; `machine_input.py` above sees to that.
What is written in it is read as a page's entries are. With one problem in it nothing is worked out, and
`InputRefused` names each problem by its JSON pointer (RFC 6901).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..core.facts import Coupon, Facts, Side
from ..core.findings import LineReport, Report, Verdict
from ..core.program import program
from ..core.quantities import DIMENSIONS, Unit
from ..editions.loader import known_edition
from ..entries import contradictions as geometry
from ..entries.answer_words import say_report
from ..entries.derive import derive
from ..entries.reading import ReadWeld, read_weld
from ..entries.reading import plain as said
from ..entries.wording import say_value
from ..materials import grouping
from ..materials.catalogue import catalogue
from ..ranges.prequalified import answer_for, has_prequalified
from ..ranges.ranges import TestRange, range_qualified
from ..tabular.edition import Edition
from ..testing.outcome import judge, refusals
from ..testing.outcome_words import outcome_content
from ..testing.result_entries import read_results
from ..testing.test_options import read_particulars
from ..trials.combinations import checks_of
from ..variables.definition import READ, RecordKind, Variable
from ..variables.registry import registry
from .editions import edition_json
from .every_row import rows_json
from .schema import FORMAT, RECORDS, use_of_test, use_of_weld
from .values import Json, facts_json, finding_json, limit_json, plain


@dataclass(frozen=True)
class InputProblem:
    """One thing wrong with a document."""

    where: str
    """JSON pointer into the document; empty for the document as a whole."""
    message: str


class InputRefused(ValueError):
    """The document cannot be worked on; nothing was worked out."""

    def __init__(self, problems: Iterable[InputProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(f"{p.where or 'the document'}: {p.message}" for p in self.problems))


@dataclass(frozen=True)
class ReadTest:
    """One test record of a document, and what its results came to."""

    coupon: Coupon
    results: Json
    readings: list[Json]
    """Entries that are not written as they were understood, each with both."""
    read: ReadWeld


def variables_document() -> Json:
    """Every variable of the registry, with its units, choices, limits and the records it is stated on."""
    return {
        "format": FORMAT,
        "program": program(),
        "document": "variables",
        "variables": [_variable(v) for v in registry().values()],
    }


def _variable(variable: Variable) -> Json:
    plausible = variable.plausible
    shown = variable.shown_when
    return {
        "key": variable.key,
        "label": variable.label,
        "level": variable.level.value,
        "group": variable.group,
        "kind": variable.kind.value,
        "help": variable.help,
        "derived": variable.derived,
        "unit": _units(variable.dimension) if variable.dimension else None,
        "choices": [{"key": c.key, "label": c.label} for c in variable.choices],
        "processes": sorted(variable.processes),
        "records": [RECORDS[use] for use in RecordKind if use in variable.uses and not variable.derived],
        "several_on": [RECORDS[use] for use in RecordKind if use in variable.uses & variable.many],
        "plausible": None
        if plausible is None
        else {
            "low": plain(plausible[0]),
            "high": plain(plausible[1]),
            "zero": variable.zero,
        },
        "shown_when": None if shown is None else {"variable": shown[0], "choices": sorted(shown[1])},
    }


def _units(key: str) -> Json:
    dimension = DIMENSIONS[key]
    return {
        "dimension": key,
        "canonical": dimension.canonical.symbol,
        "us": dimension.us.symbol,
        "si": dimension.si.symbol,
        "accepted": {unit.symbol: _spellings(unit) for unit in dimension.units},
        "negative": dimension.signed,
    }


def _spellings(unit: Unit) -> list[str]:
    return sorted({*unit.spellings, unit.symbol.lower()} - {""})


def ranges_document(document: Mapping[str, Any], with_rows: bool = False) -> Json:
    """What one test qualifies, `with_rows` beside every row of the edition and what it said. Raises
    InputRefused."""
    made, side = _edition(document), Side(document["side"])
    problems: list[InputProblem] = []
    test = _read_test(document, "", made, side, problems)
    if problems:
        raise InputRefused(problems)
    found = range_qualified(test.coupon, made, side)
    weld = derive(grouping.group(test.coupon.weld, made))
    return {
        **_head("ranges", made, side),
        "record": test.coupon.record,
        "units": test.coupon.system,
        "results": test.results,
        "readings": test.readings,
        "checks": _checks("", test.read, use_of_test(side), test.coupon.system),
        "issues_range": bool(found.lines),
        "refusals": list(found.refusals),
        "facts": {"joint": facts_json(weld.joint), "lines": [facts_json(line) for line in weld.lines]},
        "lines": _range_lines(found, test.coupon.system),
        **(rows_json([test.coupon], made, side) if with_rows else {}),
    }


def _checks(where: str, read: ReadWeld, use: RecordKind, system: str) -> list[Json]:
    """What to check by common sense, with where it stands; no finding of the code, and nothing rests
    on it."""
    return [{"where": where, **each.as_json()} for each in checks_of(read, use, system)]


def _range_lines(found: TestRange, system: str) -> list[Json]:
    return [
        {
            "line": line.line,
            "process": line.process,
            "stands_for": sorted(line.stands_for),
            "rows": [limit_json(limit, system, line.line) for limit in line.limits],
        }
        for line in found.lines
    ]


def coverage_document(document: Mapping[str, Any], with_rows: bool = False) -> Json:
    """Whether the tests cover the weld, or whether it keeps within the limits of procedures that need none,
    and why or why not; `with_rows` beside every row of the edition and what it said to each test and the
    weld. Raises InputRefused."""
    made, side = _edition(document), Side(document["side"])
    without_test = document.get("prequalified", False)
    problems = _why_tests_are_needed(document, made, side) if without_test else []
    tests = [
        _read_test(test, f"/tests/{n}", made, side, problems) for n, test in enumerate(document["tests"])
    ]
    problems += _repeated_records(tests)
    system = document["weld"]["units"]
    read, readings = _read_weld(document["weld"], "/weld", use_of_weld(side), made, problems)
    weld = read.weld
    if problems:
        raise InputRefused(problems)
    ranges = (range_qualified(test.coupon, made, side) for test in tests)
    report = answer_for(weld, ranges, made, side, system, without_test=without_test)
    return {
        **_head("coverage", made, side),
        "prequalified": without_test,
        "units": system,
        "covered": report.verdict <= Verdict.COVERED,
        **_verdict(report.verdict),
        "sentence": say_report(report, system),
        "relied_on": list(report.relied_on),
        "refusals": list(report.refusals),
        "readings": [*(reading for test in tests for reading in test.readings), *readings],
        "checks": [
            *_checks("/weld", read, use_of_weld(side), system),
            *(
                check
                for n, t in enumerate(tests)
                for check in _checks(f"/tests/{n}", t.read, use_of_test(side), t.coupon.system)
            ),
        ],
        "tests": [{"record": t.coupon.record, "results": t.results} for t in tests],
        "obstacles": [finding_json(finding, system) for finding in report.obstacles],
        "lines": _report_lines(report, system),
        **(rows_json([test.coupon for test in tests], made, side, weld) if with_rows else {}),
    }


def _why_tests_are_needed(document: Mapping[str, Any], made: Edition, side: Side) -> list[InputProblem]:
    """What keeps a question about a procedure without a test from being asked."""
    said = []
    if side is Side.WELDER:
        said.append("Only procedures go without a test; leave it out for a welder.")
    elif not has_prequalified(made):
        said.append(f"{made.name} has no procedures that need no test; leave it out and give the tests.")
    if document["tests"]:
        said.append("Tests are given as well; leave either out.")
    return [InputProblem("/prequalified", message) for message in said]


def _report_lines(report: Report, system: str) -> list[Json]:
    return [
        {
            "line": line.line,
            **_verdict(line.verdict),
            "relied_on": list(line.relied_on),
            "findings": _findings(line, system),
            "attempts": [
                {
                    "record": attempt.record,
                    **_verdict(attempt.verdict),
                    "obstacles": list(dict.fromkeys(finding.variable for finding in attempt.obstacles)),
                }
                for attempt in line.attempts
            ],
        }
        for line in report.lines
    ]


def _findings(line: LineReport, system: str) -> list[Json]:
    """Binding findings first, worst first; limits that are silent here are left out."""
    speaking = [f for f in line.findings if f.verdict is not Verdict.NOT_APPLICABLE]
    return [finding_json(f, system) for f in sorted(speaking, key=lambda f: (not f.binds, -f.verdict))]


def _head(name: str, made: Edition, side: Side) -> Json:
    return {
        "format": FORMAT,
        "program": program(),
        "document": name,
        "side": side.value,
        "edition": edition_json(made),
        "catalogue": {"fingerprint": catalogue().fingerprint},
    }


def _verdict(verdict: Verdict) -> Json:
    return {"verdict": verdict.key, "verdict_words": verdict.words}


def _edition(document: Mapping[str, Any]) -> Edition:
    return known_edition(document["edition"])


def _read_test(
    document: Mapping[str, Any], where: str, made: Edition, side: Side, problems: list[InputProblem]
) -> ReadTest:
    read, readings = _read_weld(document, where, use_of_test(side), made, problems)
    weld = read.weld
    coupon = Coupon(document["record"], weld, document["units"])
    if "results" not in document:
        return ReadTest(coupon, {"basis": "taken as passed"}, readings, read)
    entries, wanted = document["results"], document.get("particulars", {})
    results, wrong = read_results(entries, coupon.system)
    problems += [InputProblem(f"{where}/results/{p.key.replace('.', '/')}", p.message) for p in wrong]
    particulars, wrong = read_particulars(wanted, coupon.system)
    problems += [InputProblem(f"{where}/particulars/{p.key}", p.message) for p in wrong]
    if problems:
        return ReadTest(coupon, {}, readings, read)
    outcome = judge(coupon, results, made, side, particulars)
    judged = Coupon(coupon.record, weld, coupon.system, refusals(outcome))
    return ReadTest(judged, {"basis": "judged", **outcome_content(outcome, coupon.system)}, readings, read)


def _read_weld(
    document: Mapping[str, Any], where: str, use: RecordKind, made: Edition, problems: list[InputProblem]
) -> tuple[ReadWeld, list[Json]]:
    system = document["units"]
    read = read_weld(document["joint"], document["lines"], use, system, document.get("name", ""), made.speaks)
    found = [
        *read.problems,
        *geometry.contradictions(read.weld, system),
        *grouping.contradictions(read.weld, made),
    ]
    for problem in found:
        level = "joint" if problem.line is None else f"lines/{problem.line}"
        problems.append(InputProblem(f"{where}/{level}/{problem.key}", problem.message))
    return read, [*_readings(document, where, read, system)]


def _readings(document: Mapping[str, Any], where: str, read: ReadWeld, system: str) -> Iterator[Json]:
    """Entries that are not written as they were understood, and those that another entry states."""
    levels: list[tuple[int | None, str, Any, Facts]] = [(None, "joint", document["joint"], read.weld.joint)]
    for index, (entries, facts) in enumerate(zip(document["lines"], read.weld.lines, strict=True)):
        levels.append((index, f"lines/{index}", entries, facts))
    for line, level, entries, facts in levels:
        for key in dict.fromkeys([*entries, *(key for place, key in read.readings if place == line)]):
            typed, words = said(entries.get(key, "")).strip(), read.readings.get((line, key), "")
            if not words and facts.given(key) and registry()[key].kind in READ:
                words = say_value(key, facts[key], system)
            if words and words != typed and not (typed and words.startswith(f"{typed} (")):
                yield {"where": f"{where}/{level}/{key}", "typed": typed, "read": words}


def _repeated_records(tests: Sequence[ReadTest]) -> list[InputProblem]:
    """A record is named by its number in every finding, so two of one number could not be told apart."""
    seen: set[str] = set()
    found = []
    for number, test in enumerate(tests):
        record = test.coupon.record
        if record in seen:
            found.append(
                InputProblem(
                    f"/tests/{number}/record", f"“{record}” names an earlier test already; give each its own."
                )
            )
        seen.add(record)
    return found
