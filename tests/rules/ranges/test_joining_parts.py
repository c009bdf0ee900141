"""How far a box is cut: only where a limit tells its parts apart, and never into a no for want of time."""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations
from typing import Any

import pytest

from qualification.rules.core.findings import Verdict
from qualification.rules.interface.questions import coverage_document
from qualification.rules.ranges import joining
from tests.rules.ranges.test_coverage import FULL, TEST, judge, span
from tests.rules.readers.case_files import bases
from tests.work import A_SECOND, calls_of

D = Decimal
Document = dict[str, Any]


def body(base: Document) -> Document:
    return {
        "joint": {k: v for k, v in base["joint"].items() if v != ""},
        "lines": [{k: v for k, v in line.items() if v != ""} for line in base["lines"]],
    }


def asked(base: str, tests: list[Document], weld: Document) -> Document:
    """A question about a base with other entries; keys are found on joint or first line."""
    found = bases()[base]
    units = found.get("units", "us")

    def changed(raw: Document, changes: Document) -> Document:
        made = body(raw)
        for key, value in ({"max_pass_thickness": "1/16 in"} | changes).items():
            level = made["joint"] if key in made["joint"] or key in JOINT else made["lines"][0]
            level[key] = value
        return made

    return {
        "edition": found.get("edition", "asme_ix_2023"),
        "side": found["side"],
        "tests": [
            {"record": f"T{n}", "units": units, "results_passed": True, **changed(found["coupon"], test)}
            for n, test in enumerate(tests, start=1)
        ],
        "weld": {"units": units, **changed(found["weld"], weld)},
    }


JOINT = frozenset({"penetration", "purpose", "thickness_a", "thickness_b", "pwht", "weld_type", "position"})


def test_past_the_most_parts_the_answer_is_unknown_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    tests = [{**TEST, "amps": span(1, 5)}, {**TEST, "amps": span(5, 8)}]
    wide = {**FULL, "amps": span(2, 8)}
    assert judge(wide, tests).verdict is Verdict.COVERED
    monkeypatch.setattr(joining, "MOST_CELLS", 2)
    report = judge(wide, tests)
    assert report.verdict is Verdict.UNKNOWN
    (obstacle,) = report.obstacles
    assert (obstacle.variable, obstacle.note) == ("amps", joining.TOO_MANY)
    # One test alone is asked without any parts, and what no part of any test takes stays a no.
    assert judge(FULL, [TEST, *tests]).verdict is Verdict.COVERED
    assert judge({**wide, "volts": span(2, 8)}, tests).verdict is Verdict.NOT_COVERED


def test_a_choice_that_no_limit_tells_apart_cuts_nothing() -> None:
    """Every choice alone is covered, so both are, however many more tests there are."""
    thick = ["1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in"]
    tests = [{"thickness_a": t, "thickness_b": "same", "deposit_thickness": t} for t in thick]
    wide = {
        "thickness_a": "1/16 in to 3/4 in",
        "thickness_b": "same",
        "deposit_thickness": "1/16 in to 3/4 in",
    }
    one, other = (coverage_document(asked("al_gmaw", tests, {**wide, "penetration": p})) for p in CHOICES)
    both = coverage_document(asked("al_gmaw", tests, {**wide, "penetration": list(CHOICES)}))
    assert (one["verdict"], other["verdict"], both["verdict"]) == ("covered",) * 3


CHOICES = ("complete", "partial")


@pytest.mark.parametrize("count", range(2, 9))
def test_one_more_test_never_takes_what_the_others_cover(count: int) -> None:
    thick = ["1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in", "5/8 in", "3/4 in", "1 in"][:count]
    tests = [{"thickness_a": t, "thickness_b": "same", "deposit_thickness": t} for t in thick]
    weld = {
        "thickness_a": "1/16 in to 3/8 in",
        "thickness_b": "same",
        "deposit_thickness": "1/16 in to 3/8 in",
        "penetration": list(CHOICES),
        "purpose": ["new", "repair"],
    }
    few = coverage_document(asked("al_gmaw", tests[:2], weld))["verdict"]
    many = coverage_document(asked("al_gmaw", tests, weld))["verdict"]
    assert (few, many) == ("covered", "covered")


def test_forty_tests_answer_within_a_second() -> None:
    """Judged by the calls made, since a busy machine takes longer for each."""
    thick = [D("1.6") + D(n) * D("0.37") for n in range(40)]
    tests = [{"thickness_a": f"{t} mm", "thickness_b": "same", "deposit_thickness": f"{t} mm"} for t in thick]
    weld = {
        "thickness_a": "1.5 mm to 60 mm",
        "thickness_b": "1.5 mm to 60 mm",
        "deposit_thickness": "1 mm to 60 mm",
        "penetration": list(CHOICES),
        "purpose": ["new", "repair", "build_up"],
        "transfer_mode": ["spray", "pulsed_spray", "globular"],
    }
    question = asked("al_gmaw", tests, weld)
    coverage_document(question)
    assert calls_of(lambda: coverage_document(question)) < A_SECOND


D12 = "d12_6061_gmaw"


def test_sides_that_are_the_same_over_a_range_are_one_thickness() -> None:
    """D1.2 limits the thinner and the thicker side: two coupons cover each equal pair, and no unequal one
    beyond either of them."""
    tests = [{"thickness_a": t, "thickness_b": "same"} for t in ("1/8 in", "3/8 in")]

    def verdict(side_a: str, side_b: str) -> str:
        return str(
            coverage_document(asked(D12, tests, {"thickness_a": side_a, "thickness_b": side_b}))["verdict"]
        )

    for equal in ("1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in", "3/4 in"):
        assert verdict(equal, "same") == "covered"
    assert verdict("1/8 in", "3/4 in") == "not_covered"
    assert verdict("1/8 in to 3/4 in", "same") == "covered"
    assert verdict("1/8 in to 3/4 in", "1/8 in to 3/4 in") == "not_covered"
    assert verdict("1/8 in to 0.76 in", "same") == "not_covered"


def test_what_stands_in_the_way_of_tests_together_does_not_hang_on_their_order() -> None:
    """Of two tests that leave something open for a part, one that lacks no entry is named."""
    base = bases()["al_131_plate"]
    other_metals = ("same", "7020", None)
    tests = []
    for number, metal in enumerate(other_metals, start=1):
        made = {"record": f"T{number}", "units": "si", "results_passed": True, **body(base["coupon"])}
        made["joint"].pop("base_metal_b", None)
        made["joint"] |= {"base_metal_b": metal} if metal else {}
        tests.append(made)
    weld = {"units": "si", **body(base["weld"])}
    weld["joint"] |= {"base_metal_a": "5754", "base_metal_b": "5083", "position": ["flat", "vertical"]}
    weld["lines"][0] |= {"backing_gas": ["75Ar/25He", "none"], "deposit_thickness": "7.60 mm to 8.40 mm"}
    for key in ("thickness_a", "thickness_b"):
        weld["joint"].pop(key, None)
    asked = {"edition": base["edition"], "side": base["side"], "weld": weld}
    verdicts = {coverage_document({**asked, "tests": list(each)})["verdict"] for each in permutations(tests)}
    assert verdicts == {"no_rule"}
