"""Reads the cases under `cases/testing/` and holds each against an edition.

A case changes a few entries of a named base (a coupon and results that pass) and states what becomes of it.
Entries are typed as a person types them, so every case also passes through the reading of units and results.

Keys of a case, beside title, clause, source and base:
  joint, line, particulars   entries changed on the coupon (`line` on its first line; `lines` replaces all)
  results, add, drop         replace all results, add some, leave some out by name
  change                     fields of results, as `NAME.field`; `@` stands for each name in `each`, here and
                             in drop
  vary, on, inside, outside  one case per value of `joint.key`, `line.key`, `particulars.key` or `NAME.field`;
                             values under `outside` are held against `otherwise`, the others against the case
Expectations: expect (passed, failed, incomplete), standings by group, marks by specimen name, requires by
group, bend (what the bend specimens of the coupon look like), needs, says (fragments of the refusals),
clauses (of the checks that stand in the way), misfit (field of the first result that does not fit).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.quantities import read_quantity, show
from qualification.rules.entries.reading import read_weld
from qualification.rules.tabular.edition import Edition
from qualification.rules.testing.acceptance.check import ResultMark
from qualification.rules.testing.outcome import judge, refusals
from qualification.rules.testing.outcome_parts import Outcome
from qualification.rules.testing.requirements import Requirements, Specimen
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.results import BENDS, Result
from qualification.rules.testing.test_options import Particulars, read_particulars
from qualification.rules.variables.definition import RecordKind

FOLDER = Path(__file__).parents[1] / "cases" / "testing"
EXPECTATIONS = {"expect", "standings", "marks", "requires", "bend", "needs", "says", "clauses", "misfit"}
KEYS = EXPECTATIONS | {
    "title",
    "clause",
    "source",
    "base",
    "joint",
    "line",
    "lines",
    "particulars",
    "results",
    "add",
    "drop",
    "change",
    "each",
    "vary",
    "on",
    "inside",
    "outside",
    "otherwise",
}


@dataclass(frozen=True)
class OutcomeCase:
    name: str
    source: str
    clause: str
    edition: str
    side: Side
    coupon: Coupon
    particulars: Particulars
    results: tuple[Result, ...]
    wanted: Mapping[str, Any]


@lru_cache(maxsize=1)
def outcome_bases() -> dict[str, dict[str, Any]]:
    """The bases of every edition, by name; one without `edition` is of Section IX. `comes_out` is for a code
    whose tables leave out what it would take to pass."""
    found: dict[str, dict[str, Any]] = {}
    for path in sorted(FOLDER.glob("bases*.toml")):
        for name, body in tomllib.loads(path.read_text("utf-8")).items():
            assert name not in found, f"base {name} is written twice"
            found[name] = {"edition": "asme_ix_2023", **body}
    return found


@lru_cache(maxsize=8)
def outcome_cases(edition: str) -> tuple[OutcomeCase, ...]:
    """All cases of one edition, shorthand expanded."""
    found: list[OutcomeCase] = []
    for path in sorted((FOLDER / edition).glob("*.toml")):
        for item in tomllib.loads(path.read_text("utf-8"))["case"]:
            found += _expand(item, path.stem, edition)
    found += [
        _case(
            {
                "title": f"base {name}",
                "base": name,
                "source": "worked by us",
                "clause": "-",
                "expect": base.get("comes_out", "passed"),
            },
            "bases",
            edition,
        )
        for name, base in outcome_bases().items()
        if base["edition"] == edition
    ]
    names = [case.name for case in found]
    repeated = {name for name in names if names.count(name) > 1}
    assert not repeated, f"cases with the same title: {sorted(repeated)}"
    return tuple(found)


def _expand(item: Mapping[str, Any], file: str, edition: str) -> Iterator[OutcomeCase]:
    strange = set(item) - KEYS
    assert not strange, f"{file}: {item.get('title')}: unknown keys {sorted(strange)}"
    assert item.get("source"), f"{file}: {item.get('title')}: needs a source"
    assert item.get("clause"), f"{file}: {item.get('title')}: needs a clause"
    for name in item.get("each", [""]):
        one = {**item, "change": {k.replace("@", name): v for k, v in item.get("change", {}).items()}}
        one["marks"] = {k.replace("@", name): v for k, v in item.get("marks", {}).items()}
        one["drop"] = [specimen.replace("@", name) for specimen in item.get("drop", [])]
        one["title"] = f"{item['title']} [{name}]" if name else item["title"]
        if "vary" not in one:
            yield _case(one, file, edition)
            continue
        key = one["vary"].replace("@", name)
        for place in ("on", "inside", "outside"):
            for value in one.get(place, []):
                varied = {k: v for k, v in one.items() if place != "outside" or k not in EXPECTATIONS}
                if place == "outside":
                    varied |= {k: _named(v, name) for k, v in one["otherwise"].items()}
                yield _case(
                    _with(varied, key, value) | {"title": f"{one['title']} [{place}: {value}]"}, file, edition
                )


def _named(value: Any, name: str) -> Any:
    return {k.replace("@", name): v for k, v in value.items()} if isinstance(value, dict) else value


def _with(item: Mapping[str, Any], key: str, value: str) -> dict[str, Any]:
    part, _, field = key.partition(".")
    if part in ("joint", "line", "particulars"):
        keys = field.split("+")
        return {**item, part: {**item.get(part, {}), **dict.fromkeys(keys, value)}}
    return {**item, "change": {**item.get("change", {}), key: value}}


def _case(item: Mapping[str, Any], file: str, edition: str) -> OutcomeCase:
    base = outcome_bases()[item["base"]]
    side, system, name = Side(base["side"]), base["units"], f"{file}: {item['title']}"
    lines = [dict(line) for line in item.get("lines", base["lines"])]
    if lines:
        lines[0] |= item.get("line", {})
    use = RecordKind.TEST if side is Side.PROCEDURE else RecordKind.WELDER_TEST
    read = read_weld({**base["joint"], **item.get("joint", {})}, lines, use, system)
    assert not read.problems, f"{name}: {[p.message for p in read.problems]}"
    particulars, problems = read_particulars(
        {**base.get("particulars", {}), **item.get("particulars", {})}, system
    )
    assert not problems, f"{name}: {[p.message for p in problems]}"
    results, problems = read_results(_entries(base, item, name), system)
    assert not problems, f"{name}: {[p.message for p in problems]}"
    wanted = {key: item[key] for key in EXPECTATIONS if item.get(key) not in (None, {})}
    assert wanted, f"{name}: expects nothing"
    return OutcomeCase(
        name,
        item["source"],
        item["clause"],
        edition,
        side,
        Coupon("T1", read.weld, system),
        particulars,
        results,
        wanted,
    )


def _entries(base: Mapping[str, Any], item: Mapping[str, Any], name: str) -> list[dict[str, str]]:
    if "results" in item:
        entries = [dict(entry) for entry in item["results"]]
    else:
        entries = [{**kind, "specimen": specimen} for kind in base["results"] for specimen in kind["names"]]
        entries = [{k: v for k, v in entry.items() if k != "names"} for entry in entries]
    entries = [entry for entry in entries if entry["specimen"] not in item.get("drop", [])]
    entries += [dict(entry) for entry in item.get("add", [])]
    for key, value in item.get("change", {}).items():
        specimen, _, field = key.partition(".")
        found = [entry for entry in entries if entry["specimen"] == specimen or specimen == "*"]
        assert found, f"{name}: there is no result {specimen}"
        for entry in found:
            entry[field] = value
    return entries


def outcome_of(case: OutcomeCase, edition: Edition) -> Outcome:
    return judge(case.coupon, case.results, edition, case.side, case.particulars)


def complaint_of(case: OutcomeCase, outcome: Outcome) -> str:
    """Why the case does not come out as stated; empty when it does."""
    for key, wanted in case.wanted.items():
        found = _LOOK[key](outcome, wanted, case.coupon.system)
        if found != wanted:
            return f"{case.name}: {key}: expected {wanted!r}, found {found!r}; {refusals(outcome)}"
    if (outcome.overall == "passed") is bool(refusals(outcome)):
        return f"{case.name}: {outcome.overall} with refusals {refusals(outcome)}"
    return ""


def _standings(outcome: Outcome, wanted: Mapping[str, str], system: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for line in outcome.lines:
        group = line.requirement.group if line.requirement else "further"
        name = f"{group} {line.requirement.position}".strip() if line.requirement else group
        found[name] = line.standing.value
    return {key: found.get(key, "absent") for key in wanted}


def _marks(outcome: Outcome, wanted: Mapping[str, str], system: str) -> dict[str, str]:
    found = {j.result.specimen: j.mark.name.lower() for line in outcome.lines for j in line.judged}
    return {key: found.get(key, "absent") for key in wanted}


def _requires(outcome: Outcome, wanted: Mapping[str, str], system: str) -> dict[str, str]:
    found = {f"{r.group} {r.position}".strip(): r.words for r in outcome.requirements.requirements}
    return {key: found.get(key, "absent") for key in wanted}


def _as_shown(wanted: Any, system: str) -> Any:
    """A length as the program shows it, whichever way the case writes it: `0.125 in` is `1/8 in`."""
    if isinstance(wanted, str) and re.fullmatch(r"[\d./ ]+ (in|mm)", wanted):
        low = read_quantity(wanted, "length", system, many=False).interval.low
        assert low is not None
        return show(low, "length", system)
    return wanted


def _bend(outcome: Outcome, wanted: Mapping[str, Any], system: str) -> dict[str, Any]:
    """The stated properties of every bend specimen of the coupon (of the kinds in `kinds`); they have to
    agree."""
    specimens = [
        s for s in _bends(outcome.requirements) if s.kind.value in wanted.get("kinds", [s.kind.value])
    ]
    kinds = sorted({s.kind.value for s in specimens})
    found: dict[str, Any] = {"kinds": kinds} if "kinds" in wanted else {}
    for key in wanted:
        if key == "because":
            found[key] = (
                wanted[key]
                if all(any(wanted[key] in b for b in s.because) for s in specimens)
                else [s.because for s in specimens]
            )
        elif key != "kinds":
            values = {_show(s, key, system) for s in specimens}
            same = values == {_as_shown(wanted[key], system)}
            found[key] = wanted[key] if same else values.pop() if len(values) == 1 else sorted(values)
    return found


def _bends(requirements: Requirements) -> list[Specimen]:
    return [
        s for r in requirements.requirements for a in r.alternatives for s in a.specimens if s.kind in BENDS
    ]


def _show(specimen: Specimen, key: str, system: str) -> str:
    value = getattr(specimen.die, key, None) if key in "abcd" else getattr(specimen, key)
    return "none" if value is None else show(value, "length", system)


def _says(outcome: Outcome, wanted: list[str], system: str) -> list[str]:
    said = " ".join(refusals(outcome))
    return [fragment for fragment in wanted if fragment in said] + [said] * any(
        fragment not in said for fragment in wanted
    )


def _clauses(outcome: Outcome, wanted: list[str], system: str) -> list[str]:
    return sorted(
        {
            c.citation.clause
            for line in outcome.lines
            for j in line.judged
            for c in j.checks
            if c.answer.mark is not ResultMark.PASSED or c.answer.relieved
        }
    )


_LOOK = {
    "expect": lambda outcome, wanted, system: outcome.overall.value,
    "standings": _standings,
    "marks": _marks,
    "requires": _requires,
    "bend": _bend,
    "says": _says,
    "clauses": _clauses,
    "needs": lambda outcome, wanted, system: sorted(outcome.requirements.needs),
    "misfit": lambda outcome, wanted, system: outcome.misfits[0].field if outcome.misfits else "",
}
