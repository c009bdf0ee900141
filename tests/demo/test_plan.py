"""The demo job of 40 welds: its plan saves coupons, and no set of the coupons considered is cheaper."""

from __future__ import annotations

import tomllib

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.plan import coupons
from qualification.rules.plan.cheapest import cheapest
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.coupons import CoverageGap
from qualification.rules.ranges.inside_box import as_welded
from qualification.rules.variables.definition import RecordKind
from wps.demo.load import EDITION, FOLDER, _series


def _gaps() -> list[CoverageGap]:
    """Every third of the welds beyond 3/4 in, as AL-01 would make them: what is thinner stands on tests on
    file."""
    jobs = tomllib.loads((FOLDER / "jobs.toml").read_text("utf-8"))["job"]
    (stage,) = [job for job in jobs if job["number"] == "2131"]
    welds = [each for series in stage["series"] for each in _series(series)]
    assert len(welds) == 40
    procedures = tomllib.loads((FOLDER / "procedures.toml").read_text("utf-8"))["procedure"]
    al_01 = next(each for each in procedures if each["number"] == "AL-01")
    claim = read_weld(al_01["joint"], al_01["lines"], RecordKind.SPEC, "us").weld
    found = []
    for each in welds[16::3]:
        drawn = read_weld(each["joint"], each["lines"], RecordKind.PART, "us", each["mark"])
        assert not drawn.problems
        weld = as_welded(drawn.weld, claim)
        found += [CoverageGap(weld, 0, side, (each["mark"],), "us") for side in Side]
    return found


def _cheapest(costs: list[int], covers: list[frozenset[int]], gaps: frozenset[int], most: int) -> int:
    """Enumerated: whatever covers the first open gap is tried in turn, as long as it stays below `most`."""
    if not gaps:
        return 0
    first = min(gaps)
    for cost, covered in sorted(zip(costs, covers, strict=True), key=lambda pair: pair[0]):
        if first in covered and cost < most:
            most = min(most, cost + _cheapest(costs, covers, gaps - covered, most - cost))
    return most


def test_the_plan_of_the_demo_job_is_the_enumerated_optimum_and_saves_coupons(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    gaps, made, offered = _gaps(), edition(EDITION), []
    monkeypatch.setattr(coupons, "cheapest", lambda *asked: offered.append(asked[:2]) or cheapest(*asked))
    plan = coupons.plan_coupons(gaps, coupons.Codes(made, made), Rates())
    assert plan.choice.is_proven
    assert not plan.open_gaps
    count, cents = plan.one_by_one
    assert len(plan.chosen) < count
    assert plan.choice.cost < cents
    costs, covers = offered[-1]
    assert _cheapest(costs, covers, frozenset(range(len(gaps))), cents + 1) == plan.choice.cost
