"""No everyday weld ends in "no rule" unless the list of accepted gaps says why, and may only shrink."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import edition, editions
from tests.rules.readers import everyday
from tests.rules.readers.ruled import RULED

GAPS = Path(__file__).parents[1] / "cases" / "editions" / "everyday_gaps.toml"
ACCEPTED = tomllib.loads(GAPS.read_text("utf-8"))
SIDES = [
    f"{name} {side.value}"
    for name in editions()
    for side, rows in ((Side.PROCEDURE, edition(name).procedure), (Side.WELDER, edition(name).welder))
    if rows
]


@cache
def found() -> dict[str, dict[str, list[str]]]:
    return everyday.found()


@pytest.mark.parametrize("of_side", SIDES)
def test_what_stays_open_is_accepted_with_a_reason(of_side: str) -> None:
    met, accepted = found().get(of_side, {}), ACCEPTED.get(of_side, {})
    assert {variable: scenes for variable, scenes in met.items() if variable not in accepted} == {}
    assert all(reason.strip().endswith(".") for reason in accepted.values())


@pytest.mark.parametrize("of_side", sorted(ACCEPTED))
def test_a_gap_that_is_closed_leaves_the_list(of_side: str) -> None:
    assert of_side in SIDES
    assert sorted(set(ACCEPTED[of_side]) - set(found().get(of_side, {}))) == []


def test_every_edition_is_asked_and_most_answers_are_covered() -> None:
    asked = {name for scene in everyday.scenes() for name in scene.editions}
    assert asked == set(RULED)
    verdicts = [
        everyday.gaps(scene, edition(name), side)[0]
        for scene in everyday.scenes()
        for name in scene.editions
        for side in scene.sides
        if (edition(name).procedure if side is Side.PROCEDURE else edition(name).welder)
    ]
    assert verdicts.count(Verdict.COVERED) > len(verdicts) / 2
