"""Results of tests as a laboratory writes them: a row for each specimen under common heads. Arrangement
alone; what results amount to is read from the outcome."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.rules.testing.result_fields import POSITION
from qualification.rules.testing.results import ResultKind
from wps.documents.columns import cell_of, unit_of
from wps.documents.settings_table import Setting

PASSED = "passed"
ORDER = (
    "Width",
    "Thickness",
    "Specimen thickness",
    "Diameter",
    "Bore",
    "Cross-section",
    "Highest load",
    "Strength",
    "Strength by the report",
    "Yield by the report",
    "Elongation by the report",
    "Type of failure",
    "Broke",
    "Former diameter",
)
"""Columns in the order of laboratory reports; the others follow as stated."""
LAST = ("Remarks",)
WIDEST = 9
"""Columns beyond which entries stand run in, since numbers would not fit side by side."""
EXAMINED = {
    ResultKind.IMPACT: "Toughness",
    ResultKind.HARDNESS: "Hardness",
    ResultKind.MACRO: "Macro section",
    ResultKind.FRACTURE: "Fracture",
    ResultKind.RADIOGRAPH: "Radiography",
    ResultKind.ULTRASONIC: "Ultrasonic",
    ResultKind.PENETRANT: "Penetrant",
    ResultKind.MAGNETIC: "Magnetic particle",
    ResultKind.TENSION: "Tension",
    ResultKind.SIDE_BEND: "Bends",
    ResultKind.VISUAL: "Visual",
}
"""Tests a record speaks of, with the name a paper gives each; bends of every kind are one."""


@dataclass(frozen=True)
class Specimen:
    """One specimen: its kind and name, a cell for each column, how it came out, and what to say of it."""

    kind: str
    name: str
    cells: tuple[Setting | None, ...]
    words: tuple[tuple[str, str], ...]
    """The same with its units, label by label."""
    result: str
    failed: bool
    remarks: tuple[str, ...]

    @property
    def label(self) -> str:
        """As a list of changes names it."""
        return f"{self.kind} {self.name}".strip()


@dataclass(frozen=True)
class ResultTable:
    """The results under one requirement. `alike` is what every one of several specimens shows."""

    asked: str
    state: str
    clause: str
    sentence: str
    heads: tuple[tuple[str, str], ...]
    rows: tuple[Specimen, ...]
    alike: tuple[tuple[str, str], ...]
    kinds_differ: bool

    @property
    def has_columns(self) -> bool:
        return 0 < len(self.heads) <= WIDEST and len(self.rows) > 1


def result_tables(outcome: Mapping[str, Any]) -> tuple[ResultTable, ...]:
    """A table for each line of the outcome, as `outcome_content` gives it."""
    return tuple(_table(line) for line in outcome["lines"])


def results_once(outcome: Mapping[str, Any]) -> tuple[ResultTable, ...]:
    """The same with the results of several positions under one heading, where they are asked for alike."""
    found: dict[tuple[str, ...], list[Mapping[str, Any]]] = {}
    for line in outcome["lines"]:
        clause = line["citation"]["clause"] if line["citation"] else ""
        sentence = line["sentence"] if line["state"] != PASSED else ""
        found.setdefault((line["asked"], line["state"], clause, sentence), []).append(line)
    return tuple(
        _table(
            {
                **lines[0],
                "position": ", ".join(line["position"] for line in lines if line["position"]),
                "results": [result for line in lines for result in line["results"]],
            }
        )
        for lines in found.values()
    )


def _table(line: Mapping[str, Any]) -> ResultTable:
    results = line["results"]
    said = [_said(result, line["position"]) for result in results]
    labels = sorted(dict.fromkeys(label for each in said for label in each), key=_place)
    alike = tuple(
        (label, said[0][label])
        for label in labels
        if all(label in each for each in said) and len({each[label] for each in said}) == 1
    )
    shared = {label for label, _ in alike} if len(said) > 1 else set()
    of_tension = any(label.startswith(("Strength", "Highest load")) for label in labels)
    columns = [label for label in labels if label not in shared or of_tension]
    units = {label: unit_of([each[label] for each in said if label in each]) for label in columns}
    position = f", {line['position']}" if line["position"] else ""
    return ResultTable(
        f"{line['asked']}{position}",
        line["state_words"],
        line["citation"]["clause"] if line["citation"] else "",
        line["sentence"] if line["state"] != PASSED else "",
        tuple((label, units[label]) for label in columns),
        tuple(
            Specimen(
                *_name(result),
                tuple(cell_of(each[label], units[label]) if label in each else None for label in columns),
                tuple((label, each[label]) for label in columns if label in each),
                result["mark_words"],
                result["mark"] == "failed",
                _remarks(result),
            )
            for result, each in zip(results, said, strict=True)
        ),
        tuple(pair for pair in alike if pair[0] not in columns) if len(said) > 1 else (),
        len({_name(result)[0] for result in results}) > 1,
    )


def _said(result: Mapping[str, Any], position: str) -> dict[str, str]:
    """Labels with words; a position that the requirement names is not said again."""
    rows = (*result["stated"], *result["worked_out"])
    return {row["label"]: row["words"] for row in rows if not (position and row["label"] == POSITION.label)}


def _place(label: str) -> int:
    """Labels in records approved long ago have commas."""
    label = label.replace(",", "")
    if label in LAST:
        return len(ORDER) + 1
    return ORDER.index(label) if label in ORDER else len(ORDER)


def _name(result: Mapping[str, Any]) -> tuple[str, str]:
    """Kind and name; snapshots from before that have both in one."""
    return (result["kind_words"], result["specimen"]) if "kind_words" in result else ("", result["name"])


def _remarks(result: Mapping[str, Any]) -> tuple[str, ...]:
    """What a check found amiss; a specimen that passed has nothing to remark."""
    if result["mark"] == PASSED:
        return ()
    return tuple(
        f"{check['sentence']} ({check['citation']['clause']})"
        for check in result["checks"]
        if check["verdict"] != "covered"
    )


def other_tests(outcome: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Tests of which the record has no result, each with why; an open requirement is said."""
    told = " ".join(
        [result["name"] for line in outcome["lines"] for result in line["results"]]
        + [line["asked"] for line in outcome["lines"]]
    ).casefold()
    why = "cannot be determined" if outcome["open"] else "not required"
    return tuple((name, why) for kind, name in EXAMINED.items() if not _is_told(kind, told))


def _is_told(kind: ResultKind, told: str) -> bool:
    words = "bend" if kind is ResultKind.SIDE_BEND else kind.words
    return words in told
