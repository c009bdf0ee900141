"""A comparison sorted for its reader: what differs for a weld like the coupon first, and nothing left out."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Facts, Weld
from qualification.rules.core.findings import Citation, Provenance, VariableClass
from qualification.rules.core.values import Allowed, Anything, Interval, NotEncoded
from qualification.rules.editions.compare import Cell, EditionRow, Likeness, compare
from qualification.rules.editions.contrast import Contrast, Contrasted, _contrasted, contrasted
from qualification.rules.editions.loader import edition
from qualification.rules.variables.limits import Condition, Limit
from tests.rules.readers.case_files import base_case, bases

ASME, D12, ISO = "asme_ix_2023", "aws_d1_2_2014", "iso_15614_2_2005"
CITED = Citation("Invented code", "1", "1.1", Provenance.MEMORY)
GROOVE, FILLET = (Condition("weld_type", frozenset({kind})) for kind in ("groove", "fillet"))
FLAT, BOTH = frozenset({"flat"}), frozenset({"flat", "vertical"})


def limit(allowed: Allowed, *when: Condition, **more: object) -> Limit:
    settings_ = {
        "standing": VariableClass.ESSENTIAL,
        "citation": CITED,
        "because": "Invented.",
        "when": when,
        **more,
    }
    return Limit("position", allowed, **settings_)  # type: ignore[arg-type]


def row(
    first: tuple[Limit, ...], second: tuple[Limit, ...], likeness: Likeness = Likeness.DIFFERENT
) -> Contrasted:
    """A row of two editions, for a flat groove coupon."""
    cells = tuple(Cell(name, limits, ()) for name, limits in (("one", first), ("two", second)))
    joint = Facts({"weld_type": frozenset({"groove"}), "position": FLAT})

    class Line:
        line, facts = 0, joint

    class Range:
        lines = (Line,)

    class Compared:
        under = tuple(
            type("Under", (), {"edition": type("Edition", (), {"id": name}), "range": Range})
            for name in ("one", "two")
        )

    return _contrasted(EditionRow(0, "position", "Position", cells, likeness), Compared, "us")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("first", "second", "contrast", "here"),
    [
        ((limit(FLAT),), (limit(BOTH),), Contrast.DIFFERENT, ("Flat", "Flat; Vertical")),
        ((limit(FLAT, GROOVE),), (limit(FLAT),), Contrast.ELSEWHERE, ("Flat", "Flat")),
        ((limit(FLAT, FILLET),), (limit(FLAT),), Contrast.SOME, ("", "Flat")),
        ((limit(FLAT, FILLET),), (limit(BOTH, FILLET),), Contrast.ELSEWHERE, ("", "")),
        ((limit(Anything()),), (limit(FLAT),), Contrast.SOME, ("", "Flat")),
        ((limit(FLAT, standing=VariableClass.SUPPLEMENTARY),), (limit(FLAT),), Contrast.SOME, ("", "Flat")),
        (
            (limit(NotEncoded(), unless=((Condition("position", FLAT),),)),),
            (limit(FLAT),),
            Contrast.DIFFERENT,
            ("Flat; no rule encoded beyond", "Flat"),
        ),
        (
            (limit(NotEncoded(), unless=((Condition("position", BOTH), FILLET),)),),
            (limit(FLAT),),
            Contrast.DIFFERENT,
            ("No rule encoded", "Flat"),
        ),
        (
            (limit(FLAT, Condition("peening", frozenset({"yes"}))),),
            (limit(FLAT),),
            Contrast.DIFFERENT,
            ("Flat (peening: yes)", "Flat"),
        ),
    ],
)
def test_a_row_is_sorted_by_what_speaks_of_a_weld_like_the_coupon(
    first: tuple[Limit, ...], second: tuple[Limit, ...], contrast: Contrast, here: tuple[str, str]
) -> None:
    """Worked by us, on a flat groove coupon."""
    found = row(first, second)
    assert found.contrast is contrast
    assert tuple("; ".join(each.here) for each in found.said) == here


def test_rows_the_same_in_every_word_are_the_same() -> None:
    assert row((limit(FLAT, FILLET),), (limit(FLAT, FILLET),), Likeness.SAME).contrast is Contrast.SAME


def test_what_is_put_behind_keeps_its_circumstances() -> None:
    found = row((limit(FLAT, FILLET), limit(BOTH, GROOVE)), ())
    assert found.said[0].elsewhere == ("Flat (weld type: fillet)",)
    assert found.said[0].here == ("Flat; Vertical",)


def test_terms_that_cannot_be_compared_say_so() -> None:
    assert row((limit(FLAT),), (limit(BOTH),), Likeness.OTHER_TERMS).contrast is Contrast.OTHER_TERMS


def test_one_aluminium_coupon_under_three_codes_differs_in_thickness_first() -> None:
    """Thinner side of a 1/4 in coupon, as in test_one_coupon_three_codes."""
    case = base_case("al_gmaw")
    rows = contrasted(
        compare(case.coupons[0], [], [edition(key) for key in (ASME, D12, ISO)], case.side), "us"
    )
    order = list(Contrast)
    places = [order.index(each.contrast) for each in rows]
    assert places == sorted(places)
    thin = next(each for each in rows if each.row.label == "Thickness of the thinner side")
    assert thin.contrast is Contrast.DIFFERENT
    assert {each.contrast for each in rows} >= {Contrast.DIFFERENT, Contrast.OTHER_TERMS, Contrast.SOME}


@settings(max_examples=25, derandomize=True)
@given(
    st.sampled_from(sorted(name for name, base in bases().items() if base["side"] == "procedure")),
    st.sets(st.sampled_from([ASME, D12, ISO]), min_size=2),
)
def test_nothing_an_edition_says_is_left_out(name: str, keys: set[str]) -> None:
    """Every limit of every cell is said, here or elsewhere, unless it is no limit at all."""
    case = base_case(name)
    comparison = compare(case.coupons[0], [], [edition(key) for key in sorted(keys)], case.side)
    rows = contrasted(comparison, "us")
    assert sorted((r.line, r.subject) for r in comparison.rows) == sorted(
        (each.row.line, each.row.subject) for each in rows
    )
    for each in rows:
        for cell, said in zip(each.row.cells, each.said, strict=True):
            limiting = [x for x in cell.limits if not isinstance(x.allowed, Anything)]
            assert bool(said.here or said.elsewhere) or not limiting
            assert len(said.here) + len(said.elsewhere) <= len(cell.limits)


def test_a_coupon_whose_line_one_edition_does_not_know_is_said_without_it() -> None:
    case = base_case("al_gmaw")
    coupon = Coupon(
        "T1",
        Weld(
            case.coupons[0].weld.joint,
            (Facts({"process": frozenset({"GMAW"}), "amps": Interval.point(Decimal(150))}),),
        ),
    )
    assert contrasted(compare(replace(coupon), [], [edition(ASME), edition(D12)], case.side), "us")
