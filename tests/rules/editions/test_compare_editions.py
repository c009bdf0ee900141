"""One coupon under several editions: ranges side by side, differences marked, and what is wanting for each to
count.

The ranges themselves are held by each edition's cases; here they are worked by us from those tables.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.quantities import SI, US
from qualification.rules.editions.compare import (
    EditionComparison,
    EditionRow,
    Likeness,
    UnderEdition,
    WantKind,
    compare,
)
from qualification.rules.editions.loader import build, edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.tabular.edition import Edition, read_files
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.results import ResultKind
from qualification.rules.variables.definition import RecordKind

IX, D12, ISO = "asme_ix_2023", "aws_d1_2_2014", "iso_15614_2_2005"
FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_code"
FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_code"
FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_code"
FOLDER = Path(__file__).parents[1] / "cases" / "editions" / "invented_code"
GATE = build("invented_code", read_files(FOLDER))
JOINT = {
    "weld_type": "groove",
    "groove_type": "v",
    "groove_angle": "60",
    "root_face": "1/16 in",
    "root_opening": "1/16 in",
    "penetration": "complete",
    "back_gouging": "none",
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "temper_a": "T6",
    "temper_b": "T6",
    "thickness_a": "1/4 in",
    "thickness_b": "1/4 in",
    "product_form": "plate",
    "test_position": "3G",
    "preheat_min": "70 °F",
    "interpass_max": "200 °F",
    "pwht": "none",
    "impact_tested": "no",
}
LINE = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "backing": "metal",
    "backing_material": "6061",
    "transfer_mode": "spray",
    "current_programme": "steady",
    "filler_classification": "ER5356",
    "filler_diameter": "3/64 in",
    "shielding_gas": "100Ar",
    "shielding_flow": "40 cfh",
    "current_type": "DCEP",
    "amps": "200 A",
    "volts": "24 V",
    "wire_feed": "400 ipm",
    "travel_speed": "24 ipm",
    "progression": "up",
    "passes_per_side": "multiple",
    "deposit_thickness": "1/4 in",
    "max_pass_thickness": "1/8 in",
    "supplemental_filler": "no",
    "electrodes": "single",
}
BEND = {"thickness": "1/8", "former": "2-1/16", "weld_in_bend": "yes", "broken": "no", "openings": "none"}
TENSION = {"kind": "tension", "width": ".750", "thickness": ".250", "load": "4950", "broke": "weld"}
VISUAL = {
    "kind": "visual",
    "specimen": "VT",
    "cracks": "no",
    "complete_fusion": "yes",
    "complete_penetration": "yes",
    "craters_filled": "yes",
    "undercut": "0",
    "reinforcement": "1/16",
}
RESULTS = [
    VISUAL, *({**TENSION, "specimen": name} for name in ("T1", "T2")),
    *({**BEND, "kind": kind, "specimen": name} for kind, name in (
        ("face_bend", "FB1"), ("face_bend", "FB2"), ("root_bend", "RB1"), ("root_bend", "RB2"))),
]  # fmt: skip


def compared(
    names: list[str | Edition],
    joint: dict[str, str] | None = None,
    line: dict[str, str] | None = None,
    results: list[dict[str, str]] | None = None,
    side: Side = Side.PROCEDURE,
    system: str = US,
) -> EditionComparison:
    use = RecordKind.TEST if side is Side.PROCEDURE else RecordKind.WELDER_TEST
    read = read_weld({**JOINT, **(joint or {})}, [{**LINE, **(line or {})}], use, system)
    assert read.problems == () or side is Side.WELDER
    made, problems = read_results(RESULTS if results is None else results, system)
    assert problems == ()
    editions = [edition(name) if isinstance(name, str) else name for name in names]
    return compare(Coupon("PT-1", read.weld, system), made, editions, side)


def row(found: EditionComparison, subject: str) -> EditionRow:
    (one,) = [r for r in found.rows if r.subject == subject]
    return one


def under(found: EditionComparison, name: str) -> UnderEdition:
    (one,) = [u for u in found.under if u.edition.id == name]
    return one


def test_one_coupon_counts_under_two_codes_with_ranges_of_their_own() -> None:
    found = compared([IX, D12])
    assert [(u.edition.id, u.counts, u.wants) for u in found.under] == [(IX, True, ()), (D12, True, ())]
    thickness = row(found, "thickness_thinner")
    assert thickness.likeness is Likeness.DIFFERENT
    # Section IX, QW-451.1: 1/16 in to 2T; the aluminium code: 1/8 in to 2T
    assert any(": 1/16 to 1/2 in" in words for words in thickness.cells[0].words)
    assert any(": 1/8 to 1/2 in" in words for words in thickness.cells[1].words)


def test_what_only_one_code_limits_is_marked() -> None:
    found = compared([IX, D12])
    for subject in ("position", "amps", "filler_diameter"):
        one = row(found, subject)
        assert one.likeness is Likeness.DIFFERENT
        assert one.cells[0].words == ("No limit",)
        assert one.cells[1].words != ("No limit",)
    assert {"position", "amps", "thickness_thinner"} <= {r.subject for r in found.differing}


def test_codes_that_group_metals_in_their_own_way_are_told_apart() -> None:
    metals = row(compared([IX, D12]), "metals")
    assert (metals.label, metals.likeness) == ("Base metals", Likeness.OTHER_TERMS)
    assert {limit.variable for limit in metals.cells[0].limits} & {"p_pair", "p_number_a", "p_number_b"}
    assert {limit.variable for limit in metals.cells[1].limits} >= {"m_pair", "base_metal_a", "temper_a"}
    assert not {limit.variable for limit in metals.cells[1].limits} & {"p_pair", "p_number_a"}


def test_what_two_editions_say_alike_is_not_marked() -> None:
    found = compared([D12, D12])
    assert found.differing == ()
    assert all(r.likeness is Likeness.SAME for r in found.rows)


@pytest.mark.parametrize(
    ("dropped", "name", "sentence", "specimens"),
    [
        ("VT", D12, "Make 1 visual examination, 3 Part C (AWS D1.2/D1.2M, 2014).", ((ResultKind.VISUAL, 1),)),
        (
            "T2",
            D12,
            "Make 1 tension test, 3 Part C, Table 3.4 (AWS D1.2/D1.2M, 2014).",
            ((ResultKind.TENSION, 1),),
        ),
        (
            "RB1",
            D12,
            "Make 1 root bend, 3 Part C, Table 3.4 (AWS D1.2/D1.2M, 2014).",
            ((ResultKind.ROOT_BEND, 1),),
        ),
    ],
)
def test_a_missing_specimen_is_named(
    dropped: str, name: str, sentence: str, specimens: tuple[tuple[ResultKind, int], ...]
) -> None:
    found = under(compared([IX, D12], results=[r for r in RESULTS if r["specimen"] != dropped]), name)
    assert not found.counts
    assert [(w.kind, w.sentence, w.specimens) for w in found.wants] == [
        (WantKind.SPECIMEN, sentence, specimens)
    ]
    assert found.range.lines  # what it would qualify is shown all the same


def test_a_coupon_made_for_one_code_lacks_what_the_other_asks_besides() -> None:
    found = compared([IX, D12], results=RESULTS[1:])
    assert under(found, IX).counts
    assert not under(found, D12).counts
    assert [w.specimens for w in under(found, D12).wants] == [((ResultKind.VISUAL, 1),)]


def test_a_reading_the_record_leaves_out_is_named_with_what_turns_on_it() -> None:
    found = compared([IX, D12], line={"amps": "100-200 A"})
    wants = under(found, D12).wants
    assert [(w.kind, w.variables) for w in wants] == [(WantKind.READING, ("amps_mean",))]
    assert (
        wants[0].sentence
        == "State mean current of the passes: what is qualified of current depends on it (3 Part C, Table"
        " 3.1)."
    )
    assert not any("amps" in w.variables for w in under(found, IX).wants)


def test_a_result_that_does_not_serve_is_said() -> None:
    bent_wide = [{**r, "former": "3"} if r["specimen"] == "FB1" else r for r in RESULTS]
    found = under(compared([D12], results=bent_wide), D12)
    assert not found.counts
    assert any(
        w.kind is WantKind.RESULT and "3 in; at most 2 1/16 in is asked" in w.sentence for w in found.wants
    )
    assert any(w.specimens == ((ResultKind.FACE_BEND, 1),) for w in found.wants)


def test_a_failed_result_is_said() -> None:
    weak = [{**r, "load": "4000"} if r["specimen"] == "T1" else r for r in RESULTS]
    found = compared([IX, D12], results=weak)
    for each in found.under:
        assert not each.counts
        assert any(w.kind is WantKind.RESULT and w.sentence.startswith("Failed.") for w in each.wants)


def test_a_result_a_code_has_no_place_for_is_set_aside_and_shown() -> None:
    fracture = {
        "kind": "fracture",
        "specimen": "F1",
        "bent_flat": "no",
        "cracks": "no",
        "incomplete_root_fusion": "no",
        "flaws": "none",
    }
    found = compared([IX, D12], results=[*RESULTS, fracture])
    assert [(u.counts, [r.specimen for r in u.set_aside]) for u in found.under] == [
        (True, ["F1"]),
        (True, ["F1"]),
    ]


def test_a_rule_the_tables_do_not_hold_is_said() -> None:
    found = under(compared([D12], joint={"base_metal_a": "2219", "temper_a": "T87", "temper_b": "T87"}), D12)
    assert not found.counts
    welder = compared([D12], results=[VISUAL], side=Side.WELDER)
    wants = under(welder, D12).wants
    assert any(w.kind is WantKind.RULE and w.variables == ("thickness_thinner",) for w in wants)


def test_an_edition_without_required_tests_issues_a_range_that_does_not_count() -> None:
    found = under(compared([GATE]), "invented_code")
    assert (found.counts, bool(found.range.lines)) == (False, True)
    assert [w.kind for w in found.wants] == [WantKind.RULE]


def test_a_side_an_edition_has_no_rules_for_is_said() -> None:
    files = {name: body for name, body in read_files(FOLDER).items() if name != "procedure.toml"}
    head = files["edition.toml"]
    files["edition.toml"] = {**head, "without": [*head["without"], "procedure.toml"]}
    found = compare_one(build("invented_code", files))
    assert (found.counts, found.range.lines) == (False, ())
    assert any("has no rules for a procedure test" in w.sentence for w in found.wants)


def compare_one(made: Edition) -> UnderEdition:
    return compared([made]).under[0]


def test_each_line_has_rows_of_its_own_and_every_edition_a_cell() -> None:
    found = compared([IX, D12, GATE])
    assert {r.line for r in found.rows} == {0}
    assert all([cell.edition for cell in r.cells] == [IX, D12, "invented_code"] for r in found.rows)
    assert len({(r.line, r.subject) for r in found.rows}) == len(found.rows)


def test_metric_records_are_compared_by_metric_limits() -> None:
    joint = {
        "thickness_a": "6 mm",
        "thickness_b": "6 mm",
        "root_face": "1 mm",
        "root_opening": "1 mm",
        "preheat_min": "20 °C",
        "interpass_max": "90 °C",
    }
    line = {
        "filler_diameter": "1.2 mm",
        "shielding_flow": "18 L/min",
        "wire_feed": "10 m/min",
        "travel_speed": "600 mm/min",
        "deposit_thickness": "6 mm",
        "max_pass_thickness": "3 mm",
    }
    thickness = row(compared([IX, D12], joint, line, [], system=SI), "thickness_thinner")
    # Section IX, QW-451.1: 1.5 mm to 2T; the aluminium code: 3 mm to 2T
    assert any(": 1.5 to 12 mm" in words for words in thickness.cells[0].words)
    assert any(": 3 to 12 mm" in words for words in thickness.cells[1].words)


@pytest.mark.parametrize(
    ("thickness", "spans"),
    [
        # QW-451.1 above 10 mm; half the coupon; 3 mm for 3 to 20 mm: each to twice the coupon
        ("12 mm", (": 5 to 24 mm", ": 6 to 24 mm", ": 3 to 24 mm")),
        # QW-451.1 above 38 mm, 5 to 200 mm, its upper end free for some welds; from 25 mm on half the coupon
        # without limit; above 20 mm from 0.8 times the coupon
        ("40 mm", (": up to 200 mm", ": 20 mm or more", ": 32 mm or more")),
    ],
)
def test_one_aluminium_coupon_has_three_ranges_under_three_codes(
    thickness: str, spans: tuple[str, str, str]
) -> None:
    joint = {"thickness_a": thickness, "thickness_b": thickness}
    one = row(
        compared([IX, D12, ISO], joint, {"deposit_thickness": thickness}, [], system=SI), "thickness_thinner"
    )
    assert one.likeness is Likeness.DIFFERENT
    for cell, span in zip(one.cells, spans, strict=True):
        assert any(span in words for words in cell.words), (cell.edition, cell.words)


def test_three_codes_put_one_alloy_into_groups_of_their_own() -> None:
    metals = row(compared([IX, D12, ISO]), "metals")
    said = [" ".join(cell.words) for cell in metals.cells]
    assert [word in words for word, words in zip(("P-23", "M-23", "Group 23.1"), said, strict=True)] == [
        True,
        True,
        True,
    ]
    assert metals.likeness is Likeness.OTHER_TERMS
