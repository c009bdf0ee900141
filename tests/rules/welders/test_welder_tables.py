"""The welder's side of Section IX as a whole: its matrix, its three large tables, and that nothing slips
through."""

from __future__ import annotations

from itertools import product

import pytest

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from tests.rules.readers.case_files import Case, base_case, bases, cases
from tests.rules.readers.welder_matrices import COLUMNS, LETTERS, POSITIONS, coupon, failing, position_range

SECTION_IX = "asme_ix_2023"

ALWAYS = {
    "process",
    "operation",
    "weld_type",
    "product_form",
    "diameter",
    "p_number_a",
    "p_number_b",
    "f_number",
    "deposit_thickness",
    "fillet_size",
    "position",
}
# QW-353 to QW-356, a groove test by hand: the matrix as the reference sheets print it (VW, AL213), the rest
# worked by us.
BY_HAND = {
    "SMAW": ALWAYS | {"backed", "progression"},
    "SAW": ALWAYS,
    "GMAW": ALWAYS | {"backed", "progression", "inert_backing", "transfer_mode"},
    "FCAW": ALWAYS | {"backed", "progression", "inert_backing", "transfer_mode"},
    "GTAW": ALWAYS
    | {
        "backed",
        "progression",
        "inert_backing",
        "filler_used",
        "consumable_insert",
        "filler_form",
        "current_type",
    },
}
# QW-361.2 (OP), a groove test by machine.
BY_MACHINE = {
    "process",
    "operation",
    "weld_type",
    "product_form",
    "diameter",
    "fillet_size",
    "position",
    "backed",
    "visual_control",
    "joint_tracking",
    "passes_per_side",
}
FULL_JOINT = {
    "weld_type": "groove",
    "product_form": "pipe",
    "diameter": "2 3/8 in",
    "p_number_a": "1",
    "p_number_b": "1",
    "test_position": ("6G",),
}
FULL_LINE = {
    "backing": "none",
    "f_number": "6",
    "deposit_thickness": "1/4 in",
    "layers": "3",
    "progression": "up",
    "transfer_mode": "spray",
    "backing_gas": "none",
    "filler_used": "yes",
    "consumable_insert": "no",
    "filler_form": "solid",
    "current_type": "DCEN",
    "visual_control": "direct",
    "joint_tracking": "yes",
    "arc_voltage_control": "yes",
    "passes_per_side": "single",
}


def _variables(process: str, operation: str) -> set[str]:
    made = coupon(FULL_JOINT, {**FULL_LINE, "process": process, "operation": operation})
    (line,) = range_qualified(made, edition(SECTION_IX), Side.WELDER).lines
    return {limit.variable for limit in line.limits}


@pytest.mark.parametrize("process", sorted(BY_HAND))
@pytest.mark.parametrize("operation", ["manual", "semiautomatic"])
def test_a_test_by_hand_limits_the_variables_of_its_matrix_and_no_others(
    process: str, operation: str
) -> None:
    assert _variables(process, operation) == BY_HAND[process]


@pytest.mark.parametrize("process", sorted(BY_HAND))
def test_a_test_by_machine_limits_the_operators_variables_and_no_others(process: str) -> None:
    more = {"arc_voltage_control", "consumable_insert"} if process == "GTAW" else set()
    assert _variables(process, "machine") == BY_MACHINE | more


def test_positions_f_numbers_and_p_numbers_are_those_written_by_hand() -> None:
    assert failing(edition(SECTION_IX)) == []


KINDS = ("groove", "fillet")
FORMS = ("plate", "pipe")
DIAMETERS = ("1/2 in", "1 in", "2-7/8 in", "12 in", "24 in", "24.001 in", "100 in", None)


@pytest.mark.parametrize(("form", "tested"), sorted(POSITIONS))
def test_some_position_limit_speaks_to_every_weld(form: str, tested: str) -> None:
    """A weld no limit speaks to would be covered in silence."""
    (line,) = position_range(edition(SECTION_IX), form, tested).lines
    limits = [limit for limit in line.limits if limit.variable == "position"]
    for kind, production, diameter in product(KINDS, FORMS, DIAMETERS):
        joint = {"weld_type": kind, "product_form": production, "position": "overhead"}
        if diameter is not None and production == "pipe":
            joint["diameter"] = diameter
        facts = read_weld(joint, [{"process": "SMAW"}], RecordKind.PART, "us").weld.line_facts(0)
        verdicts = [limit.judge(facts).verdict for limit in limits]
        assert any(verdict is not Verdict.NOT_APPLICABLE for verdict in verdicts), (
            kind,
            production,
            diameter,
        )


def test_the_columns_of_the_position_table_hold_every_kind_of_weld() -> None:
    told = {(joint["weld_type"], joint["product_form"]) for _, joint in COLUMNS}
    assert told == set(product(KINDS, FORMS))
    assert set(LETTERS.values()) == {c.key for c in registry()["position"].choices}


@pytest.mark.parametrize("number", [c.key for c in registry()["f_number"].choices])
def test_every_f_number_is_limited_for_grooves_and_fillets_with_and_without_backing(number: str) -> None:
    made = coupon(
        {"weld_type": "groove"},
        {"process": "SMAW", "operation": "manual", "f_number": number, "backing": "none"},
    )
    (line,) = range_qualified(made, edition(SECTION_IX), Side.WELDER).lines
    limits = [limit for limit in line.limits if limit.variable == "f_number"]
    for kind, backing in product(KINDS, ("none", "metal")):
        weld = read_weld(
            {"weld_type": kind},
            [{"process": "SMAW", "f_number": "61", "backing": backing}],
            RecordKind.PART,
            "us",
        ).weld
        report = coverage(weld, [made], edition(SECTION_IX), Side.WELDER)
        told = [
            f for f in report.findings if f.variable == "f_number" and f.verdict is not Verdict.NOT_APPLICABLE
        ]
        assert limits
        assert [f.verdict for f in told] == [Verdict.COVERED if number == "61" else Verdict.NOT_COVERED]


WELDER_CASES = [case for case in cases(SECTION_IX) if case.side is Side.WELDER]
REFUSED = [case for case in WELDER_CASES if case.expect is Verdict.NOT_COVERED]


@pytest.mark.parametrize("case", REFUSED, ids=[c.name for c in REFUSED])
def test_leaving_an_entry_out_never_covers_what_was_not_covered(case: Case) -> None:
    """Missing stays missing: neither the test's record nor the weld gains by saying less."""
    for coupons, weld in _poorer(case):
        report = coverage(weld, coupons, edition(SECTION_IX), Side.WELDER)
        assert report.verdict > Verdict.COVERED, (coupons, weld)


def _poorer(case: Case) -> list[tuple[tuple[Coupon, ...], Weld]]:
    """The case with one entry less, on the weld or on every test."""
    found = [(case.coupons, weld) for weld in _each_without_one(case.weld)]
    if len(case.coupons) == 1:
        found += [
            ((Coupon("T1", weld, case.coupons[0].system, case.coupons[0].refusals),), case.weld)
            for weld in _each_without_one(case.coupons[0].weld)
        ]
    return found


def _each_without_one(weld: Weld) -> list[Weld]:
    found = [Weld(_without(weld.joint, key), weld.lines) for key in weld.joint]
    for index, line in enumerate(weld.lines):
        found += [
            Weld(weld.joint, (*weld.lines[:index], _without(line, key), *weld.lines[index + 1 :]))
            for key in line
        ]
    return found


def _without(facts: Facts, key: str) -> Facts:
    return Facts({name: facts[name] for name in facts if name != key})


@pytest.mark.parametrize("name", sorted(name for name, body in bases().items() if body["side"] == "welder"))
def test_a_test_without_results_covers_nothing(name: str) -> None:
    case = base_case(name)
    refused = [Coupon(c.record, c.weld, c.system, ("A bend is missing.",)) for c in case.coupons]
    report = coverage(case.weld, refused, edition(SECTION_IX), Side.WELDER)
    assert report.verdict is Verdict.NOT_COVERED
    assert report.refusals == ("T1: A bend is missing.",)


def _procedure_coupon() -> Coupon:
    """A procedure coupon as its record states it, with entries a welder's test does not have."""
    read = read_weld(
        {
            "weld_type": "groove",
            "joint_form": "butt",
            "groove_type": "v",
            "product_form": "plate",
            "p_number_a": "23",
            "p_number_b": "23",
            "thickness_a": "1/4 in",
            "thickness_b": "same",
            "test_position": ["3G"],
            "preheat_min": "60 °F",
            "pwht": "none",
        },
        [
            {
                "process": "GMAW",
                "operation": "semiautomatic",
                "backing": "metal",
                "transfer_mode": "pulsed_spray",
                "f_number": "22",
                "filler_form": "solid",
                "deposit_thickness": "1/4 in",
                "layers": "3",
                "progression": "up",
                "shielding_gas": "100Ar",
                "backing_gas": "none",
                "amps": "150",
                "volts": "22",
                "travel_speed": "20 ipm",
            }
        ],
        RecordKind.TEST,
        "us",
    )
    assert not read.problems
    return Coupon("PT-1", read.weld)


def _by_procedure_coupon(**changes: str) -> Report:
    line = {
        "process": "GMAW",
        "operation": "semiautomatic",
        "backing": "metal",
        "transfer_mode": "spray",
        "f_number": "22",
        "filler_form": "solid",
        "deposit_thickness": "1/2 in",
        "progression": "up",
        "backing_gas": "none",
    }
    joint = {
        "weld_type": "groove",
        "product_form": "plate",
        "p_number_a": "25",
        "p_number_b": "23",
        "position": "vertical",
    }
    for key, value in changes.items():
        (joint if key in joint else line)[key] = value
    return coverage(
        read_weld(joint, [line], RecordKind.PART, "us").weld,
        [_procedure_coupon()],
        edition(SECTION_IX),
        Side.WELDER,
    )


def test_the_welder_of_a_passing_procedure_coupon_is_qualified_by_it() -> None:
    """QW-301.2 (UF, WI2): the same record read for the welder."""
    assert _by_procedure_coupon().verdict is Verdict.COVERED


@pytest.mark.parametrize(
    ("key", "value", "obstacle"),
    [
        ("position", "overhead", "position"),
        ("deposit_thickness", "0.502 in", "deposit_thickness"),
        ("progression", "down", "progression"),
        ("transfer_mode", "short_circuit", "transfer_mode"),
        ("f_number", "6", "f_number"),
        ("backing", "none", "backed"),
        ("p_number_a", "8", "p_number_a"),
    ],
)
def test_a_procedure_coupon_limits_its_welder_like_a_welders_test(
    key: str, value: str, obstacle: str
) -> None:
    report = _by_procedure_coupon(**{key: value})
    assert report.verdict is Verdict.NOT_COVERED
    assert {f.variable for f in report.obstacles} == {obstacle}
