"""A procedure that claims several fillers or metals is covered where the tests cover the weld of each: the
box they span holds pairs of groups that no weld has."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from qualification.rules.laws.documents import answer

Document = dict[str, Any]
JOINT = {
    "weld_type": "groove",
    "base_metal_a": "A36",
    "base_metal_b": "A36",
    "thickness_a": "1/2",
    "thickness_b": "1/2",
    "product_form": "plate",
    "penetration": "complete",
    "pwht": "none",
    "preheat_min": "60 F",
    "interpass_max": "300 F",
}
LINE = {
    "process": "SMAW",
    "operation": "manual",
    "deposit_thickness": "1/2",
    "backing": "metal",
    "current_type": "DCEP",
    "passes_per_side": "multiple",
}


def coupon(record: str, filler: str, **joint: str) -> Document:
    return {
        "record": record,
        "units": "us",
        "results_passed": True,
        "joint": JOINT | {"test_position": "1G", "impact_tested": "no"} | joint,
        "lines": [LINE | {"filler_classification": filler}],
    }


def asked(tests: list[Document], fillers: list[str], **joint: Any) -> Document:
    found = answer(
        {
            "edition": "asme_ix_2023",
            "side": "procedure",
            "tests": copy.deepcopy(tests),
            "weld": {
                "units": "us",
                "joint": JOINT | {"toughness_required": "no"} | joint,
                "lines": [LINE | {"filler_classification": fillers}],
            },
        }
    )
    assert found is not None
    return found


CARBON, STAINLESS = coupon("T1", "E7018"), coupon("T2", "E308L-16")


def test_fillers_whose_groups_go_together_are_covered_by_a_test_of_each() -> None:
    """E7018 is F-4 with A-1, E308L-16 is F-5 with A-8 (both numbers: Section IX, QW-432 and QW-442); F-4 with
    A-8 is no filler of the weld."""
    found = asked([CARBON, STAINLESS], ["E7018", "E308L-16"])
    alone = [asked([CARBON, STAINLESS], [each])["verdict"] for each in ("E7018", "E308L-16")]
    assert (found["verdict"], alone) == ("covered", ["covered", "covered"])


@pytest.mark.parametrize("tests", [[CARBON], [STAINLESS]])
def test_a_filler_that_no_test_covers_is_not_carried_by_the_others(tests: list[Document]) -> None:
    assert asked(tests, ["E7018", "E308L-16"])["verdict"] == "not_covered"


def test_a_box_of_names_is_judged_as_the_worst_of_them_in_any_order_of_the_tests() -> None:
    """The A-Number of the others is not in the tables, so that they wait for it."""
    order = {"covered": 1, "unknown": 3, "not_covered": 4}
    names = ["E7018", "E308L-16", "E7016", "E308L-15"]
    for tests in ([CARBON, STAINLESS], [STAINLESS, CARBON]):
        alone = [asked(tests, [each])["verdict"] for each in names]
        assert asked(tests, names)["verdict"] == max(alone, key=order.__getitem__)


def test_a_group_that_is_stated_besides_keeps_the_box_whole() -> None:
    """Who claims an A-Number no filler named has claims more than the fillers."""
    document = copy.deepcopy(CARBON)
    found = answer(
        {
            "edition": "asme_ix_2023",
            "side": "procedure",
            "tests": [document, copy.deepcopy(STAINLESS)],
            "weld": {
                "units": "us",
                "joint": JOINT | {"toughness_required": "no"},
                "lines": [
                    LINE | {"filler_classification": ["E7018", "E308L-16"], "a_number": ["1", "8", "9"]}
                ],
            },
        }
    )
    assert found is None or not found["covered"]
