"""Whether a weld lies inside what a procedure claims. All cases worked by us: this is no rule of a code."""

import pytest

from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import MISSING
from qualification.rules.editions import loader
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.wording import say_value
from qualification.rules.ranges.inside_box import ONLY_DRAWN, BoxFinding, as_welded, inside_box, verdict_of
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

EDITION = loader.edition("asme_ix_2023")
SPEC_JOINT = {
    "weld_type": "groove",
    "base_metal_a": "6061",
    "base_metal_b": "6061",
    "thickness_a": "1/8-1/2",
    "thickness_b": "1/8-1/2",
    "product_form": "plate",
    "diameter": "n/a",
    "position": ["flat", "vertical"],
    "toughness_required": "no",
    "preheat_min": "60 °F",
    "pwht": "none",
}
SPEC_LINE = {
    "process": "GMAW",
    "transfer_mode": ["spray", "pulsed_spray"],
    "deposit_thickness": "1/8-1/2",
    "filler_classification": "ER5356",
}
PART_JOINT = {
    "weld_type": "groove",
    "base_metal_a": "6061",
    "base_metal_b": "6061",
    "thickness_a": "1/4",
    "thickness_b": "1/4",
    "product_form": "plate",
    "diameter": "n/a",
    "position": "vertical",
    "toughness_required": "no",
}
COVERED, UNKNOWN, NOT_COVERED = Verdict.COVERED, Verdict.UNKNOWN, Verdict.NOT_COVERED


def spec(joint: dict | None = None, *lines: dict) -> Weld:
    return _read({**SPEC_JOINT, **(joint or {})}, list(lines) or [SPEC_LINE], RecordKind.SPEC)


def part(joint: dict | None = None, *lines: dict) -> Weld:
    return _read({**PART_JOINT, **(joint or {})}, list(lines), RecordKind.PART)


def _read(joint: dict, lines: list[dict], use: RecordKind) -> Weld:
    read = read_weld(joint, lines, use, "us")
    assert read.problems == ()
    return read.weld


def findings(drawn: Weld, written: Weld) -> dict[str, BoxFinding]:
    return {f.variable: f for f in inside_box(drawn, written, EDITION)}


def worse(drawn: Weld, written: Weld) -> dict[str, Verdict]:
    return {key: f.verdict for key, f in findings(drawn, written).items() if f.verdict > COVERED}


def test_a_weld_inside_in_everything_is_inside() -> None:
    assert worse(part(), spec()) == {}
    assert verdict_of(inside_box(part(), spec(), EDITION)) is COVERED


@pytest.mark.parametrize(
    ("change", "outside"),
    [
        ({"thickness_a": "5/8"}, {"thickness_a"}),
        ({"thickness_a": "1/2"}, set()),
        ({"thickness_a": "0.5001"}, {"thickness_a"}),
        ({"thickness_a": "1/8"}, set()),
        ({"thickness_a": "0.1249"}, {"thickness_a"}),
        ({"thickness_a": "1/4-5/8"}, {"thickness_a"}),
        ({"position": "overhead"}, {"position"}),
        ({"position": ["flat", "overhead"]}, {"position"}),
        ({"position": ["flat", "vertical"]}, set()),
        ({"weld_type": ["groove", "fillet"]}, {"weld_type"}),
        ({"base_metal_a": "5083"}, {"base_metal_a"}),
        ({"product_form": "pipe", "diameter": "3 OD"}, {"product_form", "diameter"}),
        ({"toughness_required": "yes"}, {"toughness_required"}),
    ],
)
def test_each_variable_is_held_against_the_claim(change: dict, outside: set[str]) -> None:
    assert worse(part(change), spec()) == dict.fromkeys(outside, NOT_COVERED)


def test_a_procedure_written_for_toughness_serves_work_without() -> None:
    assert worse(part({"toughness_required": "no"}), spec({"toughness_required": "yes"})) == {}


@pytest.mark.parametrize("key", sorted(ONLY_DRAWN - {"diameter"}))
def test_what_only_a_drawing_can_say_has_to_be_said(key: str) -> None:
    found = findings(part({key: ""}), spec())
    assert (found[key].verdict, found[key].found) == (UNKNOWN, MISSING)
    assert found[key].because == "The weld does not state it, and only its drawing can."


def test_a_pipe_has_to_state_its_diameter_and_a_plate_none() -> None:
    pipes = spec({"product_form": "pipe", "diameter": "2-6 OD"})
    assert worse(part({"product_form": "pipe", "diameter": ""}), pipes) == {"diameter": UNKNOWN}
    assert worse(part({"product_form": "pipe", "diameter": "3 OD"}), pipes) == {}
    assert "diameter" not in findings(part({"diameter": ""}), spec())


def test_a_position_need_not_be_drawn_where_the_procedure_claims_all() -> None:
    everywhere = spec({"position": [c.key for c in registry()["position"].choices]})
    assert worse(part({"position": ""}), everywhere) == {}


def test_what_the_procedure_chooses_may_be_left_open() -> None:
    assert "preheat_min" not in findings(part(), spec())
    assert "transfer_mode" not in findings(part(None, {"process": "GMAW"}), spec())


def test_what_the_drawing_asks_and_the_procedure_does_not_state_is_unknown() -> None:
    assert worse(part({"pwht": "none"}), spec({"pwht": ""})) == {"pwht": UNKNOWN}
    assert worse(part({"pwht": "none"}), spec({"pwht": "n/a"})) == {"pwht": NOT_COVERED}


def test_which_side_is_called_a_does_not_matter() -> None:
    unlike = spec(
        {"thickness_a": "1/4-1/2", "thickness_b": "1/8-3/16", "base_metal_a": "6061", "base_metal_b": "5083"}
    )
    drawn = {"thickness_a": "1/8", "base_metal_a": "5083", "thickness_b": "3/8", "base_metal_b": "6061"}
    assert worse(part(drawn), unlike) == {}
    assert worse(part({**drawn, "base_metal_a": "6061", "base_metal_b": "5083"}), unlike) != {}


def test_a_procedure_that_claims_a_p_number_takes_every_metal_of_it() -> None:
    broad = spec({"base_metal_a": "6061", "base_metal_b": "6061", "p_number_a": "P-23", "p_number_b": "P-23"})
    assert worse(part({"base_metal_a": "6063"}), broad) == {}
    assert worse(part({"base_metal_a": "5083"}), broad) == {"p_number_a": NOT_COVERED}
    assert worse(part({"base_metal_a": "6063"}), spec()) == {"base_metal_a": NOT_COVERED}


def test_processes_have_to_be_those_of_the_procedure_in_its_order() -> None:
    both = spec(None, {"process": "GTAW"}, SPEC_LINE)
    assert worse(part(None, {"process": "GTAW"}, {"process": "GMAW"}), both) == {}
    for lines in (
        [{"process": "GMAW"}],
        [{"process": "GMAW"}, {"process": "GTAW"}],
        [{"process": "SMAW"}, {"process": "GMAW"}],
    ):
        assert worse(part(None, *lines), both) == {"process": NOT_COVERED}
    assert (
        findings(part(None, {"process": "GMAW"}), both)["process"].because
        == "The weld asks for GMAW, the WPS is written for GTAW and GMAW."
    )


def test_a_drawing_that_names_no_process_leaves_it_to_the_procedure() -> None:
    assert "process" not in findings(part(), spec())


@pytest.mark.parametrize(
    ("line", "outside"),
    [
        ({"transfer_mode": "spray"}, {}),
        ({"transfer_mode": "short_circuit"}, {"transfer_mode": NOT_COVERED}),
        ({"filler_classification": "ER4043"}, {"filler_classification": NOT_COVERED}),
        ({"backing": "metal"}, {"backing": UNKNOWN}),
    ],
)
def test_lines_are_held_against_the_claim_too(line: dict, outside: dict) -> None:
    assert worse(part(None, {"process": "GMAW", **line}), spec()) == outside


def test_an_empty_weld_is_unknown_never_inside() -> None:
    assert verdict_of(inside_box(Weld(part().joint.__class__(), ()), spec(), EDITION)) is UNKNOWN
    assert verdict_of(()) is UNKNOWN


def test_as_welded_takes_the_drawing_first_and_the_procedure_for_the_rest() -> None:
    made = as_welded(part({"preheat_min": "100 °F"}, {"process": "GMAW", "transfer_mode": "spray"}), spec())
    assert say_value("preheat_min", made.joint["preheat_min"], "us") == "100 °F (38 °C)"
    assert say_value("thickness_a", made.joint["thickness_a"], "us") == "1/4 in (6.35 mm)"
    assert made.lines[0]["transfer_mode"] == frozenset({"spray"})
    assert made.lines[0]["filler_classification"] == frozenset({"ER5356"})


def test_a_deposit_left_open_is_no_thicker_than_the_joint() -> None:
    assert (
        say_value("deposit_thickness", as_welded(part(), spec()).lines[0]["deposit_thickness"], "us")
        == "1/8 to 1/4 in (3.18 to 6.35 mm)"
    )
    stated = as_welded(part(None, {"process": "GMAW", "deposit_thickness": "3/16"}), spec())
    assert say_value("deposit_thickness", stated.lines[0]["deposit_thickness"], "us") == "3/16 in (4.76 mm)"
    thin = as_welded(part({"thickness_a": "1/16", "thickness_b": "1/16"}), spec())
    assert (
        say_value("deposit_thickness", thin.lines[0]["deposit_thickness"], "us")
        == "1/8 to 1/2 in (3.18 to 12.7 mm)"
    )
