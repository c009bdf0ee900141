"""Every case under `cases/` comes out as stated, and there are enough of them."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from qualification.rules.tables import edition, editions
from tests.rules.case_files import Case, base_case, bases, cases, complaint

ALL = [(name, case) for name in editions() for case in cases(name)]


@pytest.mark.parametrize("name", sorted(bases()))
def test_each_base_weld_is_covered_by_its_coupon(name: str) -> None:
    assert complaint(base_case(name), edition(bases()[name].get("edition", "asme_ix_2023"))) == ""


@pytest.mark.parametrize(("name", "case"), ALL, ids=[f"{n}: {c.name}" for n, c in ALL])
def test_case_comes_out_as_stated(name: str, case: Case) -> None:
    assert complaint(case, edition(name)) == ""


def test_section_ix_has_at_least_120_cases_and_each_names_its_source() -> None:
    listed = cases("asme_ix_2023")
    sides = Counter(case.side.value for case in listed)
    assert sides["procedure"] >= 80 and sides["welder"] >= 60, sides
    known = edition("asme_ix_2023").sources
    for case in listed:
        plain = case.source in ("worked by us", "common practice", "memory")
        named = re.fullmatch(r"published: (.+)", case.source)
        assert plain or (named and named[1] in known), f"{case.name}: {case.source!r}"
