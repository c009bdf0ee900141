"""The cost of one coupon: worked by hand, and at least where something is not known."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qualification.rules.core.facts import Facts
from qualification.rules.entries.reading import read_weld
from qualification.rules.plan.costs import Rates
from qualification.rules.trials.pass_readings import PassReading, read_pass
from qualification.rules.variables.definition import RecordKind
from qualification.trials.coupon_cost import trial_cost

RATES = Rates(
    hour=Decimal(60),
    setup_hours=Decimal(1),
    kg_per_hour=Decimal("0.5"),
    filler_kg=Decimal(20),
    aluminum_kg=Decimal(10),
)


def facts(**line: str) -> Facts:
    entries = {
        "process": "GMAW",
        "filler_classification": "ER5356",
        "filler_diameter": "1.2 mm",
        "wire_feed": "10 m/min",
    }
    read = read_weld(
        {"base_metal_a": "6061", "thickness_a": "6 mm"}, [{**entries, **line}], RecordKind.TRIAL, "si"
    )
    assert read.problems == ()
    return read.weld.line_facts(0)


def weld_pass(**entries: str) -> PassReading:
    return read_pass({"pass_length": "200 mm", "arc_time": "60 s", **entries}, "si")[0]


def test_the_parts_by_hand() -> None:
    # 2 min at 10 m/min of 1.2 mm wire: 1.131 mm² x 20 m x 2.66 g/cm³ = 60.17 g; 0.06017/0.5 h at 60 = 7.22;
    # 0.06017 kg at 20 = 1.20; plate 200 x 300 x 6 mm x 2.70 g/cm³ = 0.972 kg at 10 = 9.72; set-up 60.
    cost = trial_cost(facts(), [weld_pass(), weld_pass()], RATES, "si")
    assert [str(part.money) for part in cost.parts] == ["60.00", "7.22", "1.20", "9.72"]
    assert (cost.words, cost.missing) == ("78.14", ())


def test_a_trial_in_inches_is_worked_out_in_pounds() -> None:
    # The pound is 0.45359237 kg and the inch 25.4 mm (NIST Handbook 44, appendix C): 60.17 g are 0.13 lb,
    # 0.5 kg 1.10 lb, 20 a kg 9.07 a lb, 300 mm 11.8 in.
    cost = trial_cost(facts(), [weld_pass(), weld_pass()], RATES, "us")
    assert [str(part.money) for part in cost.parts] == ["60.00", "7.22", "1.20", "9.72"]
    assert [part.how for part in cost.parts[1:]] == [
        "0.13 lb of wire at 1.1 lb an hour",
        "0.13 lb at 9.07 a lb",
        "2.1 lb, 11.8 in wide in all, at 4.54 a lb",
    ]


@pytest.mark.parametrize(
    ("line", "passes", "words"),
    [
        ({}, [weld_pass(), weld_pass(arc_time="")], "arc time of every pass"),
        ({}, [], "arc time of every pass"),
        ({"filler_diameter": ""}, [weld_pass()], "its size"),
        ({}, [weld_pass(pass_length="")], "length of a pass"),
    ],
)
def test_what_is_missing_is_named_and_the_sum_is_the_least(
    line: dict[str, str], passes: list[PassReading], words: str
) -> None:
    cost = trial_cost(facts(**line), passes, RATES, "si")
    assert any(words in each for each in cost.missing)
    assert cost.words.startswith("at least ")
