"""Three whole tables of the welder's side, written out by hand apart from the tables of the program.

Positions after QW-461.9 as a forum page prints it (source POS), the fillet
positions of pipe worked by us; F-Numbers after QW-433 (FN1, the columns without backing worked by us);
P-Numbers after QW-423.1. `failing` holds an edition against all of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.entries.derive import derive
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.limits import Limit

LETTERS = {"F": "flat", "H": "horizontal", "V": "vertical", "O": "overhead"}
# (product form, test positions): groove in plate and in pipe above 24 in, groove in pipe up to 24 in, fillet.
POSITIONS: dict[tuple[str, str], tuple[str, str, str]] = {
    ("plate", "1G"): ("F", "F", "F"),
    ("plate", "2G"): ("FH", "FH", "FH"),
    ("plate", "3G"): ("FV", "F", "FHV"),
    ("plate", "4G"): ("FO", "F", "FHO"),
    ("plate", "3G 4G"): ("FVO", "F", "FHVO"),
    ("plate", "2G 3G 4G"): ("FHVO", "FH", "FHVO"),
    ("pipe", "1G"): ("F", "F", "F"),
    ("pipe", "2G"): ("FH", "FH", "FH"),
    ("pipe", "5G"): ("FVO", "FVO", "FHVO"),
    ("pipe", "6G"): ("FHVO", "FHVO", "FHVO"),
    ("pipe", "2G 5G"): ("FHVO", "FHVO", "FHVO"),
    ("plate", "1F"): ("", "", "F"),
    ("plate", "2F"): ("", "", "FH"),
    ("plate", "3F"): ("", "", "FHV"),
    ("plate", "4F"): ("", "", "FHO"),
    ("plate", "3F 4F"): ("", "", "FHVO"),
    ("pipe", "1F"): ("", "", "F"),
    ("pipe", "2F"): ("", "", "FH"),
    ("pipe", "2FR"): ("", "", "FH"),
    ("pipe", "4F"): ("", "", "FHO"),
    ("pipe", "5F"): ("", "", "FHVO"),
}
# The welds of each column, one on either side of every limit.
COLUMNS: tuple[tuple[int, dict[str, str]], ...] = (
    (0, {"weld_type": "groove", "product_form": "plate"}),
    (0, {"weld_type": "groove", "product_form": "pipe", "diameter": "24.01 in"}),
    (0, {"weld_type": "groove", "product_form": "pipe", "diameter": "48 in"}),
    (1, {"weld_type": "groove", "product_form": "pipe", "diameter": "24 in"}),
    (1, {"weld_type": "groove", "product_form": "pipe", "diameter": "3 in OD"}),
    (2, {"weld_type": "fillet", "product_form": "plate"}),
    (2, {"weld_type": "fillet", "product_form": "pipe", "diameter": "3 in OD"}),
    (2, {"weld_type": "fillet", "product_form": "pipe", "diameter": "48 in"}),
)

# F-Number tested: what it covers with backing; without backing it covers itself if tested so.
WITH_BACKING = {"1": "1", "2": "1 2", "3": "1 2 3", "4": "1 2 3 4", "5": "1 5"}
ALIKE = ("6", "21 22 23 24 25 26", "34 41 42 43 44 45 46", "51 52 53 54 55")
ALONE = "31 32 33 35 36 37 56 61 71 72"

FERROUS_AND_NICKEL = (
    "1 3 4 5A 5B 5C 6 7 8 9A 9B 9C 10A 10B 10C 10H 10I 10J 10K 11A 11B 11C 15E 15F 34 41 42 43 44 45 46 49"
)
METALS = (FERROUS_AND_NICKEL, "21 22 23 25 26", "51 52 53 61 62", "31", "32", "33", "35")


def failing(edition: Edition) -> list[str]:
    """Every entry of the three tables that the edition does not answer as written here."""
    return [wrong for matrix in MATRICES for wrong in matrix(edition)]


def _read(joint: Mapping[str, object], line: Mapping[str, object], use: RecordKind) -> Weld:
    read = read_weld(joint, [line], use, "us")  # type: ignore[arg-type, list-item]
    assert not read.problems, read.problems
    return read.weld


@cache
def _coupon(joint: tuple[tuple[str, object], ...], line: tuple[tuple[str, object], ...]) -> Coupon:
    return Coupon("T1", _read(dict(joint), dict(line), RecordKind.WELDER_TEST))


def coupon(joint: Mapping[str, object], line: Mapping[str, object]) -> Coupon:
    """A welder's test of one line; entries are typed as a person types them."""
    return _coupon(tuple(joint.items()), tuple(line.items()))


@cache
def _weld(column: int, position: str) -> Weld:
    return _read({**COLUMNS[column][1], "position": LETTERS[position]}, {"process": "SMAW"}, RecordKind.PART)


def position_range(edition: Edition, form: str, tested: str) -> TestRange:
    """The range of a test in these positions; nothing but the position is on the record."""
    kind = "groove" if tested.split()[0].endswith("G") else "fillet"
    made = coupon(
        {"weld_type": kind, "product_form": form, "test_position": tuple(tested.split())}, {"process": "SMAW"}
    )
    return range_qualified(made, edition, Side.WELDER)


def _positions(edition: Edition) -> Iterator[str]:
    for (form, tested), columns in POSITIONS.items():
        limits = _limits(position_range(edition, form, tested), "position")
        for (number, (column, _)), position in product(enumerate(COLUMNS), LETTERS):
            facts = _weld(number, position).line_facts(0)
            verdicts = {limit.judge(facts).verdict for limit in limits} - {Verdict.NOT_APPLICABLE}
            expected = Verdict.COVERED if position in columns[column] else Verdict.NOT_COVERED
            if verdicts != {expected}:
                yield f"{form} {tested}, {COLUMNS[number][1]}, {position}: {verdicts}"


def _limits(tested: TestRange, variable: str) -> list[Limit]:
    return [limit for line in tested.lines for limit in line.limits if limit.variable == variable]


def _f_numbers(edition: Edition) -> Iterator[str]:
    groups = {number: set(group.split()) for group in ALIKE for number in group.split()}
    groups |= {number: {number} for number in ALONE.split()}
    for number, backing in product([*WITH_BACKING, *groups], ("none", "metal")):
        made = coupon(
            {"weld_type": "groove"},
            {"process": "SMAW", "operation": "manual", "f_number": number, "backing": backing},
        )
        limits = _limits(range_qualified(made, edition, Side.WELDER), "f_number")
        for kind, production in (("groove", "none"), ("groove", "metal"), ("fillet", "base_metal")):
            facts = _of_backing(kind, production)
            speaking = [limit for limit in limits if limit.judge(facts).verdict is not Verdict.NOT_APPLICABLE]
            if number in groups:
                expected = groups[number]
            elif production != "none":
                expected = set(WITH_BACKING[number].split())
            else:
                expected = {number} if backing == "none" else set()
            if [limit.allowed for limit in speaking] != [frozenset(expected)]:
                yield (
                    f"F-{number} tested with {backing}, {kind} with {production}:"
                    f" {[limit.allowed for limit in speaking]}"
                )


@cache
def _of_backing(kind: str, backing: str) -> Facts:
    weld = derive(
        _read({"weld_type": kind}, {"process": "SMAW", "backing": backing, "f_number": "6"}, RecordKind.PART)
    )
    return weld.line_facts(0)


def _p_numbers(edition: Edition) -> Iterator[str]:
    groups = [group.split() for group in METALS]
    for group in groups:
        for first, second in zip(group, [*group[1:], group[0]], strict=True):
            made = coupon(
                {"p_number_a": first, "p_number_b": second}, {"process": "SMAW", "operation": "manual"}
            )
            tested = range_qualified(made, edition, Side.WELDER)
            sides = [
                limit.allowed for side in ("p_number_a", "p_number_b") for limit in _limits(tested, side)
            ]
            pairs = [limit.allowed for limit in _limits(tested, "p_pair")]
            expected = (
                ([frozenset(group)] * 2, []) if len(group) > 1 else ([], [frozenset({f"{first}|{first}"})])
            )
            if (sides, pairs) != expected:
                yield f"P-{first} to P-{second}: {sides} {pairs}"


MATRICES = (_positions, _f_numbers, _p_numbers)
