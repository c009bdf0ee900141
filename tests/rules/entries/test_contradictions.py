"""Entries that cannot all be true: each check just met, well met and broken.

The facts checked are geometry and common practice of the trade, not rules of a code.
"""

import pytest

from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.quantities import SI, US, read_quantity
from qualification.rules.core.values import Stated
from qualification.rules.entries.contradictions import JOINT_CHECKS, LINE_CHECKS, contradictions
from qualification.rules.entries.derive import derive
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry

JOINT = {"weld_type": "groove", "thickness_a": "1/4 in", "thickness_b": "1/4 in"}


def facts(entries: dict[str, str]) -> Facts:
    return Facts({key: value(key, text) for key, text in entries.items()})


def value(key: str, text: str) -> Stated:
    definition = registry()[key]
    if definition.kind is ValueKind.NUMBER:
        return read_quantity(text, str(definition.dimension), US).interval
    assert not definition.choices or set(text.split(";")) <= {choice.key for choice in definition.choices}
    return frozenset(text.split(";"))


def weld(joint: dict[str, str], *lines: dict[str, str]) -> Weld:
    return Weld(facts(joint), tuple(facts(line) for line in lines))


JOINT_CASES = [
    # what is typed over a 1/4 in groove, and the field that gets the message
    ({"preheat_min": "100 F", "interpass_max": "100 F"}, None),
    ({"preheat_min": "100 F", "interpass_max": "250 F"}, None),
    ({"preheat_min": "100 F", "interpass_max": "99 F"}, "interpass_max"),
    ({"preheat_min": "100 F"}, None),
    ({"interpass_max": "99 F"}, None),
    ({"product_form": "pipe", "diameter": "2 in"}, None),
    ({"product_form": "pipe", "diameter": "0.501 in"}, None),
    ({"product_form": "pipe", "diameter": "1/2 in"}, "diameter"),
    ({"product_form": "pipe", "diameter": "0.4 in"}, "diameter"),
    ({"diameter": "2 in"}, None),
    ({"product_form": "plate", "diameter": "2 in"}, "diameter"),
    ({"product_form": "plate;pipe", "diameter": "2 in"}, None),
    ({"test_position": "1G;3G", "product_form": "plate"}, None),
    ({"test_position": "2G;5G", "product_form": "pipe"}, None),
    ({"test_position": "2F"}, "test_position"),
    ({"test_position": "2FR"}, "test_position"),
    ({"test_position": "3G;3F"}, "test_position"),
    ({"test_position": "2F", "weld_type": "fillet"}, None),
    ({"test_position": "2G", "weld_type": "fillet"}, "test_position"),
    ({"test_position": "5G", "product_form": "plate"}, "test_position"),
    ({"test_position": "6G", "product_form": "plate"}, "test_position"),
    ({"test_position": "5F", "weld_type": "fillet", "product_form": "plate"}, "test_position"),
    ({"test_position": "2FR", "weld_type": "fillet", "product_form": "plate"}, "test_position"),
    ({"test_position": "3G", "product_form": "pipe"}, "test_position"),
    ({"test_position": "4G", "product_form": "pipe"}, "test_position"),
    ({"test_position": "3F", "weld_type": "fillet", "product_form": "pipe"}, "test_position"),
    ({"root_face": "1/16 in"}, None),
    ({"root_face": "1/4 in"}, None),
    ({"root_face": "0.2501 in"}, "root_face"),
    ({"pwht": "none"}, None),
    ({"pwht": "none", "pwht_temperature": "1100 F"}, "pwht_temperature"),
    ({"pwht": "none", "pwht_time": "1 h"}, "pwht_time"),
    ({"pwht": "below_lower", "pwht_temperature": "1100 F", "pwht_time": "1 h"}, None),
    ({"pwht": "none;below_lower", "pwht_temperature": "1100 F"}, None),
]


@pytest.mark.parametrize(
    ("typed", "field"), JOINT_CASES, ids=[" ".join(map(str, t.values())) for t, _ in JOINT_CASES]
)
def test_the_joint(typed: dict[str, str], field: str | None) -> None:
    problems = contradictions(weld({**JOINT, **typed}, {"process": "GMAW"}))
    assert [(p.key, p.line) for p in problems] == ([(field, None)] if field else [])


LINE_CASES = [
    ({"deposit_thickness": "1/4 in", "max_pass_thickness": "1/8 in"}, None),
    ({"deposit_thickness": "1/4 in", "max_pass_thickness": "1/4 in"}, None),
    ({"deposit_thickness": "1/4 in", "max_pass_thickness": "0.2501 in"}, "max_pass_thickness"),
    ({"transfer_mode": "pulsed_spray", "current_programme": "pulsed"}, None),
    ({"transfer_mode": "pulsed_spray", "current_programme": "double_pulsed"}, None),
    ({"transfer_mode": "spray", "current_programme": "steady"}, None),
    ({"transfer_mode": "pulsed_spray", "current_programme": "steady"}, "current_programme"),
    ({"transfer_mode": "spray;pulsed_spray", "current_programme": "steady;pulsed"}, None),
    ({"amps": "221-251 A", "amps_mean": "221 A"}, None),
    ({"amps": "221-251 A", "amps_mean": "251 A"}, None),
    ({"amps": "221-251 A", "amps_mean": "251.1 A"}, "amps_mean"),
    ({"volts": "24-25 V", "volts_mean": "23.9 V"}, "volts_mean"),
    ({"slow_frequency": "2 Hz", "pulse_frequency": "120 Hz"}, None),
    ({"slow_frequency": "2 Hz", "pulse_frequency": "2.1 Hz"}, None),
    ({"slow_frequency": "2 Hz", "pulse_frequency": "2 Hz"}, "slow_frequency"),
    ({"slow_frequency": "1-5 Hz", "pulse_frequency": "4-200 Hz"}, "slow_frequency"),
    ({"process": "GMAW", "filler_form": "solid"}, None),
    ({"process": "GMAW", "filler_form": "metal_cored"}, None),
    ({"process": "GMAW", "filler_form": "flux_cored"}, "filler_form"),
    ({"process": "GMAW", "filler_form": "flux_coated"}, "filler_form"),
    ({"process": "FCAW", "filler_form": "flux_cored"}, None),
    ({"process": "FCAW", "filler_form": "solid"}, "filler_form"),
    ({"process": "FCAW", "filler_form": "metal_cored"}, "filler_form"),
    ({"process": "GTAW", "filler_form": "flux_coated"}, None),
    ({"process": "GTAW", "filler_used": "yes", "filler_classification": "ER4043"}, None),
    ({"process": "GTAW", "filler_used": "no"}, None),
    ({"process": "GTAW", "filler_used": "no", "filler_classification": "ER4043"}, "filler_classification"),
]


@pytest.mark.parametrize(
    ("typed", "field"), LINE_CASES, ids=[" ".join(map(str, t.values())) for t, _ in LINE_CASES]
)
def test_a_line(typed: dict[str, str], field: str | None) -> None:
    problems = contradictions(weld(JOINT, {"process": "SMAW"}, {"process": "GMAW", **typed}))
    assert [(p.key, p.line) for p in problems] == ([(field, 1)] if field else [])


@pytest.mark.parametrize(
    ("deposits", "line"),
    [
        (["1/8 in", "1/8 in"], None),
        (["0.2625 in"], None),  # 1.05 times the plate: measured over the reinforcement
        (["0.2626 in"], 0),
        (["1/8 in", "0.1375 in"], None),
        (["1/8 in", "0.1376 in"], 1),
        (["3/16 in", "1/8 in", ""], 1),
        (["1/8 in", "", "3/16 in"], 2),
        (["1/16-3/8 in", "1/16-3/8 in"], None),  # a procedure's box: its thin end fits
        (["1/4-3/8 in", "1/16 in"], 1),
    ],
)
def test_the_deposits_fit_into_the_joint(deposits: list[str], line: int | None) -> None:
    lines = [{"process": "GMAW", **({"deposit_thickness": text} if text else {})} for text in deposits]
    problems = contradictions(weld(JOINT, *lines))
    assert [(p.key, p.line) for p in problems] == ([("deposit_thickness", line)] if line is not None else [])


def test_the_thicker_side_counts_for_the_deposit() -> None:
    joint = {**JOINT, "thickness_b": "1/2 in"}
    assert contradictions(weld(joint, {"deposit_thickness": "1/2 in"})) == []


def test_a_fillet_may_be_thicker_than_the_plate() -> None:
    assert contradictions(weld({**JOINT, "weld_type": "fillet"}, {"deposit_thickness": "1/2 in"})) == []


@pytest.mark.parametrize("gone", ["thickness_a", "thickness_b"])
def test_without_the_thickness_nothing_is_said(gone: str) -> None:
    joint = {key: text for key, text in JOINT.items() if key != gone}
    typed = {**joint, "root_face": "1 in", "diameter": "1/2 in", "product_form": "pipe"}
    assert contradictions(weld(typed, {"deposit_thickness": "1 in"})) == []


def test_a_message_names_field_number_and_what_to_do_in_the_units_of_the_record() -> None:
    wrong = weld(JOINT, {"deposit_thickness": "1/2 in"})
    (in_us,), (in_si,) = contradictions(wrong, US), contradictions(wrong, SI)
    assert in_us.message == (
        "Deposit thickness: the deposits add up to 1/2 in, more than the joint's 1/4 in. "
        "Correct the deposit or the thickness."
    )
    assert "12.7 mm, more than the joint's 6.35 mm" in in_si.message


def test_a_message_opens_with_the_label_of_its_field() -> None:
    typed = [(joint, {}) for joint, field in JOINT_CASES if field] + [
        ({}, line) for line, field in LINE_CASES if field
    ]
    for joint, line in typed:
        for problem in contradictions(weld({**JOINT, **joint}, {"process": "GMAW", **line})):
            assert problem.message.startswith(f"{registry()[problem.key].label}: ")
            assert problem.message.endswith(".")


def test_an_empty_weld_contradicts_nothing() -> None:
    assert contradictions(Weld(Facts(), ())) == []


def test_every_check_is_broken_by_a_case_here() -> None:
    broken = [weld({**JOINT, **joint}, {"process": "GMAW"}) for joint, field in JOINT_CASES if field]
    broken += [weld(JOINT, {"process": "GMAW", **line}) for line, field in LINE_CASES if field]
    broken.append(weld(JOINT, {"deposit_thickness": "1 in"}))
    for check in JOINT_CHECKS:
        assert any(check(derive(each), US) for each in broken), check.__name__
    for line_check in LINE_CHECKS:
        assert any(line_check(each.line_facts(0), US) for each in broken), line_check.__name__
