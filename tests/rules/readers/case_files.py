"""Reads the cases under `cases/` and judges them against an edition.

A case changes a few entries of a named base (a coupon and a weld it covers) and states the verdict. `on`,
`inside` and `outside` lists expand into one case per value. Entries are typed as a person types them, so
every case also passes through the reading of units.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry

CASES = Path(__file__).parents[1] / "cases" / "ranges"
CASE_KEYS = {
    "title",
    "clause",
    "source",
    "base",
    "coupon",
    "coupons",
    "weld",
    "expect",
    "obstacles",
    "obstacles_include",
    "units",
    "weld_units",
    "refusals",
    "vary",
    "also",
    "on",
    "inside",
    "outside",
    "contradictory",
}


@dataclass(frozen=True, eq=False)
class Case:
    """One case; its entries are read when they are asked for, or naming thousands of tests would read all."""

    name: str
    clause: str
    source: str
    side: Side
    expect: Verdict
    obstacles: frozenset[str] | None
    obstacles_include: frozenset[str]
    item: Mapping[str, Any]

    @cached_property
    def coupons(self) -> tuple[Coupon, ...]:
        use = RecordKind.TEST if self.side is Side.PROCEDURE else RecordKind.WELDER_TEST
        several = self.item.get("coupons") or [self.item.get("coupon", {})]
        return tuple(
            Coupon(
                f"T{number}",
                self._read("coupon", {**self.item.get("coupon", {}), **changes}, use, self._system),
                self._system,
                tuple(self.item.get("refusals", ())),
            )
            for number, changes in enumerate(several, start=1)
        )

    @cached_property
    def weld(self) -> Weld:
        use = RecordKind.SPEC if self.side is Side.PROCEDURE else RecordKind.PART
        system = self.item.get("weld_units", self._system)
        return self._read("weld", self.item.get("weld", {}), use, system)

    @property
    def _system(self) -> str:
        return self.item.get("units", bases()[self.item["base"]].get("units", "us"))

    def _read(self, part: str, changes: Mapping[str, Any], use: RecordKind, system: str) -> Weld:
        weld, clashes = _read(self.item["base"], part, json.dumps(changes), use, system)
        assert self.item.get("contradictory") or not clashes, f"{self.name}: {clashes}"
        return weld


def judge(case: Case, edition: Edition) -> Report:
    return coverage(case.weld, case.coupons, edition, case.side)


def complaint_of(case: Case, report: Report) -> str:
    """Why the case does not come out as stated; empty when it does."""
    found = {f.variable for f in report.obstacles}
    if report.verdict is not case.expect:
        return (
            f"{case.name}: expected {case.expect.words}, found {report.verdict.words}, because of"
            f" {sorted(found) or 'nothing'}"
        )
    if case.obstacles is not None and found != case.obstacles:
        return f"{case.name}: expected {sorted(case.obstacles)} to stand in the way, found {sorted(found)}"
    if not case.obstacles_include <= found:
        return (
            f"{case.name}: expected {sorted(case.obstacles_include)} among what stands in the way, found"
            f" {sorted(found)}"
        )
    return ""


@cache
def bases() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for path in sorted(CASES.glob("bases*.toml")):
        for name, body in tomllib.loads(path.read_text("utf-8")).items():
            assert name not in found, f"base {name} is written twice"
            found[name] = body
    return found


@cache
def cases(edition: str) -> tuple[Case, ...]:
    """All cases of one edition, shorthand expanded."""
    found: list[Case] = []
    for path in sorted((CASES / edition).glob("*.toml")):
        for item in tomllib.loads(path.read_text("utf-8"))["case"]:
            found += expand(item, path.stem)
    names = [case.name for case in found]
    repeated = {name for name in names if names.count(name) > 1}
    assert not repeated, f"cases with the same title: {sorted(repeated)}"
    return tuple(found)


def base_case(name: str) -> Case:
    """The base itself: its weld is covered by its coupon."""
    return _case(
        {"title": f"base {name}", "base": name, "source": "worked by us", "expect": "covered", "clause": ""},
        "bases",
    )


def expand(item: Mapping[str, Any], file: str) -> list[Case]:
    strange = set(item) - CASE_KEYS
    assert not strange, f"{file}: {item.get('title')}: unknown keys {sorted(strange)}"
    assert item.get("source"), f"{file}: {item.get('title')}: needs a source"
    assert item.get("clause"), f"{file}: {item.get('title')}: needs a clause"
    if "vary" not in item:
        return [_case(item, file)]
    found = []
    for place, expect in (("on", "covered"), ("inside", "covered"), ("outside", "not_covered")):
        for value in item.get(place, []):
            changes = {**item.get("weld", {}), **dict.fromkeys((item["vary"], *item.get("also", [])), value)}
            single = {
                k: v
                for k, v in item.items()
                if k not in ("vary", "also", "on", "inside", "outside", "obstacles", "obstacles_include")
            }
            single |= {"weld": changes, "expect": expect, "title": f"{item['title']} [{place}: {value}]"}
            if expect == "not_covered":
                single |= {k: item[k] for k in ("obstacles", "obstacles_include") if k in item}
            found.append(_case(single, file))
    assert found, f"{file}: {item['title']}: no values to vary"
    return found


def _case(item: Mapping[str, Any], file: str) -> Case:
    base = bases()[item["base"]]
    obstacles = frozenset(item["obstacles"]) if "obstacles" in item else None
    return Case(
        f"{file}: {item['title']}",
        item["clause"],
        item["source"],
        Side(base["side"]),
        Verdict[item["expect"].upper()],
        obstacles,
        frozenset(item.get("obstacles_include", ())),
        item,
    )


@cache
def _read(base: str, part: str, changes: str, use: RecordKind, system: str) -> tuple[Weld, tuple[str, ...]]:
    """The coupon or weld of a base with changes, as JSON, and what contradicts itself in it. Most cases leave
    one of the two as it is."""
    body = bases()[base][part]
    joint, lines = dict(body["joint"]), [dict(line) for line in body["lines"]]
    for key, value in json.loads(changes).items():
        index, _, plain = key.rpartition(".")
        assert plain in registry(), f"{plain} is not a variable"
        if registry()[plain].level is Level.JOINT:
            joint[plain] = value
        else:
            lines[int(index or 0)][plain] = value
    read = read_weld(joint, [line for line in lines if line.get("process") != "absent"], use, system)
    assert not read.problems, [p.message for p in read.problems]
    return read.weld, tuple(c.message for c in contradictions(read.weld, system))
