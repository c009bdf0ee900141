"""Special welds: no butt or fillet coupon speaks for one, and no coupon of one is read by rows for others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import build, edition, editions
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.prequalified import has_prequalified, prequalified
from qualification.rules.ranges.special_rules import kinds_of_coupon
from qualification.rules.tabular.edition import Edition, read_files
from qualification.rules.tabular.rulebook import RuleRow
from qualification.rules.testing.outcome import judge, refusals
from qualification.rules.variables.special_welds import SPECIAL
from tests.rules.editions.test_adding_an_edition import FOLDER
from tests.rules.readers.case_files import Case, base_case, bases, cases
from tests.rules.readers.prequalified_cases import cases as prequalified_cases

BASES = [base_case(name) for name in bases()]
OF_BASE = dict(zip(bases(), BASES, strict=True))
ASME = "asme_ix_2023"


def as_kind(weld: Weld, *kinds: str) -> Weld:
    return replace(weld, joint=weld.joint.including({"weld_type": frozenset(kinds)}))


def edition_of(base: str) -> Edition:
    return edition(bases()[base].get("edition", ASME))


def rows_of(made: Edition, side: Side) -> tuple[RuleRow, ...]:
    return made.procedure if side is Side.PROCEDURE else made.welder


def covered_beside(case: Case, rows: tuple[RuleRow, ...]) -> frozenset[str]:
    """Special welds that a row says a coupon of this weld type covers, such as tacks by a welder's groove."""
    tested = case.coupons[0].weld.joint["weld_type"]
    return frozenset(
        kind
        for row in rows
        if row.variable == "weld_type" and any(spec.of("us").allowed & tested for spec in row.test_when)  # type: ignore[operator]
        for kind in row.params.get("allowed", ())
    )


def processes(case: Case) -> list[str]:
    return [str(*line["process"]) for line in case.weld.lines]  # type: ignore[misc]


def kinds_for(base: str) -> list[str]:
    """Every special weld for the first base of each edition and side, one in turn for the rest."""
    alike = [
        b for b in OF_BASE if edition_of(b) is edition_of(base) and OF_BASE[b].side is OF_BASE[base].side
    ]
    at = alike.index(base)
    return sorted(SPECIAL) if at == 0 else [sorted(SPECIAL)[at % len(SPECIAL)]]


@pytest.mark.parametrize("base", OF_BASE)
def test_a_butt_or_fillet_coupon_covers_no_special_weld(base: str) -> None:
    """Each special weld in place of a weld that its coupon covers."""
    case, made = OF_BASE[base], edition_of(base)
    ruled = covered_beside(case, rows_of(made, case.side))
    for kind in (each for each in kinds_for(base) if each not in ruled):
        report = coverage(as_kind(case.weld, kind), case.coupons, made, case.side)
        assert report.verdict > Verdict.COVERED, kind
        assert {f.verdict for f in report.obstacles if f.variable == "weld_type"} == {Verdict.NO_RULE}, kind


@pytest.mark.parametrize("base", OF_BASE)
def test_a_coupon_of_a_special_weld_is_never_read_by_the_rows_for_others(base: str) -> None:
    case, made = OF_BASE[base], edition_of(base)
    named = [kinds_of_coupon(rows_of(made, case.side), process) for process in processes(case)]
    for kind in (each for each in kinds_for(base) if not any(each in some for some in named)):
        coupons = [replace(coupon, weld=as_kind(coupon.weld, kind)) for coupon in case.coupons]
        for asked in (case.weld, as_kind(case.weld, kind)):
            assert coverage(asked, coupons, made, case.side).verdict > Verdict.COVERED, kind


def test_a_claim_of_a_groove_and_a_special_weld_is_not_covered_as_a_whole() -> None:
    for base in ("al_gmaw", "d12_6061_gmaw", "d12w_plate"):
        case, made = OF_BASE[base], edition_of(base)
        claim = as_kind(case.weld, *case.weld.joint["weld_type"], "stud")  # type: ignore[misc]
        report = coverage(claim, case.coupons, made, case.side)
        assert report.verdict is Verdict.NO_RULE
        assert any("no rule" in f.note for f in report.obstacles)


def test_a_procedure_without_a_test_covers_no_special_weld() -> None:
    for name in (each for each in editions() if has_prequalified(edition(each))):
        made = edition(name)
        covered = [c for c in prequalified_cases(name) if c.expect is Verdict.COVERED]
        assert covered
        for case in covered[:6]:
            for kind in sorted(SPECIAL):
                report = prequalified(as_kind(case.weld, kind), made)
                assert report.verdict > Verdict.COVERED, (case.name, kind)


def test_an_edition_without_a_row_on_the_weld_type_has_no_rule_for_them() -> None:
    """A small edition that never names the weld type leaves it free for grooves, not for overlays."""
    files = read_files(FOLDER)
    for name in ("procedure.toml", "welder.toml"):
        files[name]["row"] = [row for row in files[name]["row"] if row["variable"] != "weld_type"]
    made = build("invented", files)
    case = next(c for c in cases(ASME) if c.side is Side.PROCEDURE and c.expect is Verdict.COVERED)
    coupon = case.coupons[0]
    process = next(iter(made.processes))
    weld = Weld(
        coupon.weld.joint, tuple(x.including({"process": frozenset({process})}) for x in coupon.weld.lines)
    )
    report = coverage(as_kind(weld, "overlay"), [Coupon("T", weld, "us")], made, Side.PROCEDURE)
    said = [f for f in report.obstacles if f.variable == "weld_type"]
    assert [f.verdict for f in said] == [Verdict.NO_RULE]


@pytest.mark.parametrize("name", editions())
def test_a_special_coupon_without_encoded_tests_says_so_and_qualifies_nothing(name: str) -> None:
    made = edition(name)
    for side in Side:
        if not rows_of(made, side) or not made.has("specimens"):
            continue
        base = next(b for b in OF_BASE if edition_of(b) is made and OF_BASE[b].side is side)
        coupon = OF_BASE[base].coupons[0]
        for kind in sorted(SPECIAL):
            outcome = judge(replace(coupon, weld=as_kind(coupon.weld, kind)), (), made, side)
            assert refusals(outcome), (side, kind)
