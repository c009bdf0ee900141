"""Deriving the findings of an embedded record again, from its own entries alone, and comparing them with what
it states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from qualification.codes.decisions import decision_from
from qualification.codes.editions_in_force import supposing
from qualification.codes.house_limits import limit_from
from qualification.evidence.coverage import Judgement, coupon_of, edition_of, judge_weld, outcome_of, range_of
from qualification.models import CouponRecord, ProcedureTest, Welder, WelderTest
from qualification.models.record import content_hash
from qualification.rules.entries import answer_words
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome_words import outcome_content
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.snapshot import range_rows

TESTS: dict[str, type[ProcedureTest] | type[WelderTest]] = {
    ProcedureTest.KIND: ProcedureTest,
    WelderTest.KIND: WelderTest,
}
DECIDES = ("variable", "verdict", "found", "qualified", "when", "clause")
"""What of a row is compared: the rest is wording."""


@dataclass(frozen=True)
class Rederived:
    """What came of deriving the findings again."""

    matches: bool | None
    """`None`: they could not be derived here."""
    same_tables: bool
    differences: tuple[str, ...]
    """Where the findings differ, or why they could not be derived."""

    @property
    def sentence(self) -> str:
        if self.matches is None:
            return "The findings could not be derived again here."
        tables = "on the same code tables" if self.same_tables else "on code tables that were changed since"
        outcome = (
            "they match what the document states"
            if self.matches
            else "they differ from what the document states"
        )
        return f"The findings were derived again from the embedded entries, {tables}, and {outcome}."


class EvidenceElsewhere(Exception):
    """The content of a test that the findings rest on is neither in the file nor on record; the message names
    it."""


def rederive(embedded: Mapping[str, Any], beside: Mapping[str, Mapping[str, Any]] | None = None) -> Rederived:
    """Derive the findings of an embedded record again; `beside` are contents of tests that came along with
    it, by their hash. Never raises: what cannot be read is said."""
    try:
        content = embedded["content"]
        edition = edition_of(content["edition"])
        same = edition.fingerprint == content["code"]["fingerprint"]
        found = (
            _test_differences(content)
            if content["kind"] in TESTS
            else _spec_differences(content, embedded["evidence"], beside or {})
        )
    except (TableError, EvidenceElsewhere) as error:
        return Rederived(None, False, (str(error),))
    except Exception as error:  # whatever somebody wrote into it fails in any layer of the rules
        return Rederived(
            None, False, (f"The embedded record is not complete ({type(error).__name__}: {error}).",)
        )
    return Rederived(not found, same, tuple(found))


def record_from(content: Mapping[str, Any]) -> CouponRecord:
    """An unsaved test record with that content, for judging. Raises KeyError where the content is not
    complete."""
    model = TESTS[content["kind"]]
    values = {name: content[name] for name in model.CONTENT if name not in ("welder", "moved_from", "passes")}
    values["moved_from"] = content.get(
        "moved_from", []
    )  # not in documents from before records could be moved
    values["welded_on"] = date.fromisoformat(content["welded_on"]) if content["welded_on"] else None
    welder = (
        Welder(name=content["welder_name"], stamp=content["welder_stamp"]) if content["welder_name"] else None
    )
    return model(**values, welder=welder)


def _test_differences(content: Mapping[str, Any]) -> list[str]:
    record = record_from(content)
    found = []
    shown = content.get("shown", record.units)  # a snapshot of before the shop's unit order counted has none
    outcome = outcome_content(outcome_of(record), shown)
    if outcome["overall"] != content["outcome"]["overall"]:
        found.append(
            f"Outcome: {content['outcome']['overall_words']} in the document, {outcome['overall_words']}"
            " derived."
        )
    refusals = list(coupon_of(record).refusals)
    if bool(refusals) != bool(content["refusals"]):
        found.append("Whether the record qualifies anything differs.")
    return found + _row_differences("Range", content["range"], range_rows(range_of(record), shown))


def _spec_differences(
    content: Mapping[str, Any],
    evidence: list[Mapping[str, Any]],
    beside: Mapping[str, Mapping[str, Any]],
) -> list[str]:
    hashes = {test["content_hash"]: test["reference"] for test in content["tests"]}
    embedded = [each for each in evidence if "kind" in each]  # files from before digests were embedded alone
    brought = {
        **_on_record(hashes),
        **beside,
        **{content_hash(dict(each)): each for each in embedded},
    }
    missing = [reference for sha, reference in hashes.items() if sha not in brought]
    if missing and embedded:
        return [f"The content of {reference} is not embedded as it was approved." for reference in missing]
    if missing:
        raise EvidenceElsewhere(
            f"They rest on {', '.join(missing)}, which is neither in the file nor on record here. A packet"
            " brings it."
        )
    records = [record_from(brought[sha]) for sha in hashes]
    decided = [decision_from(each) for each in content.get("decisions", [])]  # nor in those from before these
    with supposing(replace(edition_of(content["edition"]), decisions=tuple(decided))):
        judgement = _judged(content, records)
    found = []
    if judgement.report.verdict.key != content["verdict"]:
        found.append(
            f"Verdict: {content['verdict_words']} in the document, {judgement.report.verdict.words} derived."
        )
    for stated, line in zip(content["findings"], judgement.report.lines, strict=True):
        rows = [
            row.as_json() for row in answer_words.rows_of_line(line, content.get("shown", content["units"]))
        ]
        found += _row_differences(f"Process line {line.line + 1}", stated["rows"], rows)
    return found


def _on_record(hashes: Iterable[str]) -> dict[str, Mapping[str, Any]]:
    """Contents of approved tests of this shop, by their hash, as far as they still have it."""
    found = ProcedureTest.objects.filter(snapshot_hash__in=list(hashes)).values_list(
        "snapshot_hash", "snapshot"
    )
    return {sha: content for sha, content in found if content and content_hash(content) == sha}


def _judged(content: Mapping[str, Any], records: list[CouponRecord]) -> Judgement:
    return judge_weld(
        content["joint"],
        content["lines"],
        content["units"],
        RecordKind.SPEC,
        records,
        content["edition"],
        f"{content['number']} rev {content['revision']}",
        [limit_from(each) for each in content.get("house_limits", [])],
        without_test=content.get("prequalified", False),  # not in documents from before there were any
    )


FORMER_WORDS = {"None: open root": "Without backing"}
"""Words of choices that papers state and the program has since given other words, by what they were; without
them here, a signed paper would be said to differ because of a word. `test_former_words.py` holds the list."""


def _now(stated: Any) -> Any:
    """The words of a row as the program would write them today."""
    if isinstance(stated, str):
        for former, now in FORMER_WORDS.items():
            stated = stated.replace(former, now)
    return stated


def _row_differences(place: str, stated: list[dict[str, Any]], derived: list[dict[str, Any]]) -> list[str]:
    """Rows that stand on one side only, by label."""
    left, right = (
        {(row["line"], *(_now(row[name]) for name in DECIDES)): row["label"] for row in rows}
        for rows in (stated, derived)
    )
    labels = dict.fromkeys(
        label for key, label in {**left, **right}.items() if (key in left) != (key in right)
    )
    return [f"{place}: {label} differs." for label in labels]
