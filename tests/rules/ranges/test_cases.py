"""There are enough cases under `cases/ranges/`, and each names its source. That each comes out as stated is
asked in `test_mutations.py`, of the tables as they are and with each change of them."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from qualification.rules.editions.loader import edition, editions
from tests.rules.readers.case_files import cases

ENOUGH = {"asme_ix_2023": {"procedure": 80, "welder": 60}}
"""Cases an edition has at least; others, on the sides they have rules for, 60 and 40."""


@pytest.mark.parametrize("name", editions())
def test_each_edition_has_enough_cases_and_each_names_its_source(name: str) -> None:
    made, listed = edition(name), cases(name)
    sides = Counter(case.side.value for case in listed)
    wanted = ENOUGH.get(name, {"procedure": 60, "welder": 40})
    assert not made.procedure or sides["procedure"] >= wanted["procedure"], sides
    assert not made.welder or sides["welder"] >= wanted["welder"], sides
    for case in listed:
        plain = case.source in ("worked by us", "common practice", "memory")
        named = re.fullmatch(r"published: (.+)", case.source)
        assert plain or (named and named[1] in made.sources), f"{case.name}: {case.source!r}"
