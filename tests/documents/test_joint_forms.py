"""What a joint is drawn with beyond its groove: passes of a log, fillets over grooves, branches, inserts,
backing of every kind; and geometry that cannot be."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from qualification.rules.arithmetic.grooves import Groove, GrooveError, Lacking, groove_area, section_from
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from wps.documents.branch_sections import at_flank
from wps.documents.joint_drawn import Drawn
from wps.documents.joint_geometry import area_of
from wps.documents.joint_sections import turned
from wps.documents.pass_layers import Pass, Passes
from wps.documents.sketch import AT_THE_MIDDLE, joints_drawn, sketch_of, sketches_of

BUTT = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "root_opening": "2 mm",
    "root_face": "1 mm",
    "thickness_a": "20 mm",
    "thickness_b": "same",
    "sides_welded": "one",
    "penetration": "complete",
}
TEE = {**BUTT, "joint_form": "tee", "groove_type": "bevel", "groove_angle": "45"}
PIPE = {**TEE, "product_form": "pipe", "diameter": "60 mm", "run_diameter": "114 mm", "branch": "set_on"}
PIPE |= {"thickness_a": "8 mm", "thickness_b": "5 mm"}
WIRE = {"process": "GMAW", "filler_diameter": "1.2 mm", "backing": "none"}
ONE = Passes((Pass(1, 0, layer=1),))


def drawn(joint: dict[str, str], line: dict[str, str] = WIRE, **more: Any) -> Drawn:
    found = joints_drawn(joint, "si", [line], **more)
    assert len(found) == 1
    return found[0]


def log(*names: str, feeds: tuple[str, ...] = ()) -> list[dict[str, str]]:
    fed = feeds or ("10 m/min",) * len(names)
    return [
        {"pass": name, "process": "GMAW", "wire_feed": feed, "travel_speed": "500 mm/min"}
        for name, feed in zip(names, fed, strict=True)
    ]


def area(each: Drawn) -> float:
    assert each.section is not None
    return each.section.filler_area


@pytest.mark.parametrize("shape", ["v", "u"])
def test_a_corner_prepared_on_both_members_has_the_groove_of_a_butt_joint(shape: str) -> None:
    """Single V and single U grooves of corners are among the prequalified joints of AWS D1.1 (C-U2, C-U6;
    from memory)."""
    entries = {**BUTT, "groove_type": shape, "groove_radius": "6 mm" if shape == "u" else ""}
    flat, each = drawn(entries), drawn({**entries, "joint_form": "corner"})
    assert each.section is not None
    assert flat.section is not None
    assert area(each) == pytest.approx(area(flat))
    assert each.section.members[0] == flat.section.members[0]
    low, high = (extreme(y for _, y in each.section.members[1]) for extreme in (min, max))
    assert low < 0
    assert high == 20
    wide = [x for x, y in each.section.members[1] if y == low]
    assert max(wide) - min(wide) == pytest.approx(20)


def test_passes_of_the_log_lie_side_by_side_and_fill_the_groove() -> None:
    each = drawn(BUTT, log=log(*"123456789"))
    assert each.section is not None
    assert [bead.number for bead in each.section.beads] == list(range(1, 10))
    floors = [round(min(y for _, y in bead.outline), 6) for bead in each.section.beads]
    assert floors == sorted(floors)
    assert 2 <= len(set(floors)) < 9  # some share a layer, the root stands alone
    assert floors.count(0.0) == 1
    assert area(each) == pytest.approx(groove_area(Groove("v", 20, 2, 1, 60)), rel=0.005)
    assert each.notes[-1] == "1–9 GMAW"


def test_each_pass_has_the_area_its_wire_gives() -> None:
    each = drawn(BUTT, log=log("1", "2", "3", feeds=("5 m/min", "10 m/min", "15 m/min")))
    assert each.section is not None
    found = [area_of(bead.outline) for bead in each.section.beads]
    assert [part / found[0] for part in found] == pytest.approx([1, 2, 3], rel=1e-6)


def test_the_names_of_passes_tell_their_layers() -> None:
    each = drawn(BUTT, log=log("1", "2a", "2b", "3a", "3b", "3c"))
    assert each.section is not None
    floors = [round(min(y for _, y in bead.outline), 6) for bead in each.section.beads]
    assert [floors.count(floor) for floor in sorted(set(floors))] == [1, 2, 3]
    several = drawn(BUTT, log=log("1", "2-5"))
    assert several.section is not None
    assert [bead.number for bead in several.section.beads] == [1, 2, 3, 4, 5]


def test_layers_the_record_states_hold_the_passes_of_its_log() -> None:
    each = drawn(BUTT, {**WIRE, "layers": "2"}, use=RecordKind.TEST, log=log("1", "2", "3"))
    assert each.section is not None
    floors = [round(min(y for _, y in bead.outline), 6) for bead in each.section.beads]
    assert [floors.count(floor) for floor in sorted(set(floors))] == [1, 2]


def test_the_second_side_of_a_double_groove_is_laid_after_the_first_and_downwards() -> None:
    joint = {**BUTT, "groove_type": "double_v", "sides_welded": "both", "root_face": "2 mm"}
    each = drawn(joint, {**WIRE, "backing": "both_sides"}, log=log(*"123456"))
    assert each.section is not None
    middles = [sum(y for _, y in bead.outline) / len(bead.outline) for bead in each.section.beads]
    upper = [middle > 9 for middle in middles]
    assert upper == sorted(upper, reverse=True)
    assert {True, False} == set(upper)
    assert middles[upper.index(False) :] == sorted(middles[upper.index(False) :], reverse=True)
    assert area(each) == pytest.approx(groove_area(Groove("double_v", 20, 2, 2, 60)), rel=0.005)


def test_a_taper_has_the_slope_the_record_states() -> None:
    joint = {**BUTT, "thickness_a": "10 mm", "thickness_b": "16 mm"}
    for stated, run in (({}, 18.0), ({"taper": "4"}, 24.0), ({"taper": "2.5"}, 15.0)):
        each = drawn({**joint, **stated})
        assert each.section is not None
        high = [x for x, y in each.section.members[1] if y == pytest.approx(16)]
        top = max(x for bead in each.section.beads for x, _ in bead.outline)
        assert min(high) - top == pytest.approx(run)
        assert any("taper" in note and ("not stated" in note) is (not stated) for note in each.notes)


def test_a_fillet_over_a_groove_adds_its_triangle() -> None:
    groove = Groove("bevel", 20, 2, 1, 45)
    mouth = 2 + 19  # root opening, and the bevel's set-back at 45°
    plain = drawn({**TEE, "root_face": "1 mm"})
    for leg in (10, mouth, 25):
        each = drawn({**TEE, "fillet_over_groove": f"{leg} mm"}, log=log(*"12345"))
        assert area(each) == pytest.approx(groove_area(groove) + leg * max(leg, mouth) / 2, rel=1e-6)
    assert area(plain) == pytest.approx(groove_area(groove), rel=1e-6)
    both = turned(Groove("double_bevel", 20, 2, 2, 45), 20, ONE, False, leg=8)
    assert both.filler_area == pytest.approx(
        groove_area(Groove("double_bevel", 20, 2, 2, 45)) + 2 * 8 * 11 / 2
    )


@pytest.mark.parametrize(
    "joint",
    [
        {"thickness_a": "16 mm", "thickness_b": "12 mm"},
        {**TEE, "thickness_a": "20 mm", "thickness_b": "12 mm"},
        {**TEE, "fillet_over_groove": "8 mm"},
        {**TEE, "fillet_over_groove": "25 mm", "sides_welded": "both"},
        {**TEE, "groove_type": "double_bevel", "fillet_over_groove": "8 mm", "sides_welded": "both"},
        {**TEE, "groove_type": "j", "groove_radius": "5 mm", "fillet_over_groove": "8 mm"},
        {**TEE, "groove_type": "flare_bevel", "groove_radius": "24 mm", "fillet_over_groove": "8 mm"},
        {**TEE, "groove_type": "square", "fillet_over_groove": "8 mm"},
    ],
)
def test_filler_is_reckoned_from_the_area_that_is_drawn(joint: dict[str, str]) -> None:
    entries = {**BUTT, **joint}
    facts = read_weld(entries, [WIRE], RecordKind.TEST, "si").weld.joint
    assert area(drawn(entries, use=RecordKind.TEST)) == pytest.approx(section_from(facts), rel=0.005)


def test_no_filler_is_reckoned_where_the_section_changes_or_is_not_one() -> None:
    for entries, use in ((PIPE, RecordKind.TEST), ({**TEE, "fillet_over_groove": "6-8 mm"}, RecordKind.SPEC)):
        with pytest.raises(Lacking):
            section_from(read_weld(entries, [WIRE], use, "si").weld.joint)


def test_a_branch_set_on_is_drawn_at_crotch_and_flank_and_one_set_in_at_the_crotch() -> None:
    on = joints_drawn(PIPE, "si", [WIRE])
    assert [each.joint.words for each in on] == [
        "Branch set on, crotch, single bevel",
        "Branch set on, flank, single bevel",
    ]
    assert all(each.section for each in on)
    crotch = Groove("bevel", 5, 2, 1, 45)
    assert area(on[0]) == pytest.approx(groove_area(crotch), rel=1e-6)
    (inside,) = joints_drawn({**PIPE, "branch": "set_in"}, "si", [WIRE])
    assert area(inside) == pytest.approx(groove_area(Groove("bevel", 8, 2, 1, 45)), rel=1e-6)
    (missing,) = (
        each for each in joints_drawn({**PIPE, "run_diameter": ""}, "si", [WIRE]) if not each.section
    )
    assert missing.notes == (
        "Not drawn: The flank needs the outside diameters of the branch and of the run pipe.",
    )


def test_the_flank_of_a_thin_branch_on_a_flat_run_is_its_crotch() -> None:
    """On a run pipe of endless radius the surface does not fall away: the area is that of the bevel."""
    flat = at_flank(Groove("bevel", 5, 2, 0, 45), (8, 5), (1e7, 60), ONE, None)
    assert flat.filler_area == pytest.approx(groove_area(Groove("bevel", 5, 2, 0, 45)), rel=1e-3)
    steep = at_flank(Groove("bevel", 5, 2, 0, 45), (8, 5), (70, 60), ONE, None)
    across = [math.sqrt(35**2 - 25**2) - math.sqrt(35**2 - (25 + x) ** 2) for x in (0, 5)]
    assert steep.filler_area > 2 * 5 + across[1] * 5 / 3  # the gap, and at least the surface's fall


@pytest.mark.parametrize(
    ("joint", "line", "solid", "loose", "inserts"),
    [
        ({}, {"backing": "none"}, 0, 0, 0),
        ({}, {"backing": "metal"}, 1, 0, 0),
        ({}, {"backing": "flux"}, 0, 1, 0),
        ({}, {"backing": "weld_metal"}, 1, 0, 0),
        ({}, {"backing": "base_metal"}, 0, 0, 0),
        ({"sides_welded": "both"}, {"backing": "both_sides"}, 0, 0, 0),
        ({"retainer": "used"}, {"backing": "none"}, 0, 1, 0),
        ({"back_gouging": "arc", "gouge_depth": "5 mm"}, {"backing": "none"}, 0, 1, 0),
        (TEE, {"backing": "metal"}, 1, 0, 0),
        ({**TEE, "joint_form": "corner", "retainer": "used"}, {"backing": "none"}, 0, 1, 0),
        ({}, {"process": "GTAW", "consumable_insert": "yes", "backing": "none"}, 0, 0, 1),
        (TEE, {"process": "GTAW", "consumable_insert": "yes", "backing": "none"}, 0, 0, 1),
    ],
)
def test_what_lies_at_the_root_is_drawn(
    joint: dict[str, str], line: dict[str, str], solid: int, loose: int, inserts: int
) -> None:
    each = drawn({**BUTT, **joint}, {**WIRE, **line})
    assert each.section is not None
    found = each.section.backing, each.section.loose, each.section.inserts
    assert tuple(len(part) for part in found) == (solid, loose, inserts)


def test_the_root_stands_out_where_full_penetration_is_made_from_one_side() -> None:
    joint = {**BUTT, "back_gouging": "none", "retainer": "none"}
    each = drawn(joint)
    assert each.section is not None
    assert each.symbol is not None
    assert min(y for cap in each.section.caps for _, y in cap.outline) < 0
    assert each.symbol.melt_through
    for other in ({"penetration": "partial"}, {"sides_welded": "both"}, {"back_gouging": "arc"}):
        kept = drawn({**joint, **other})
        assert kept.section is not None
        assert kept.symbol is not None
        assert min(y for cap in kept.section.caps for _, y in cap.outline) >= 0
        assert not kept.symbol.melt_through


def test_a_flush_face_has_no_cap() -> None:
    for contour, caps in (("", 1), ("convex", 1), ("flush", 0)):
        section = drawn({**BUTT, "penetration": "", "contour": contour}).section
        assert section is not None
        assert len(section.caps) == caps


@pytest.mark.parametrize(
    ("joint", "why"),
    [
        ({"back_gouging": "arc", "gouge_depth": "20 mm"}, "goes through the metal"),
        ({"root_face": "20 mm"}, "root face"),
        ({"joint_form": "tee"}, "prepares both members"),
        ({"joint_form": "corner", "groove_type": "double_v"}, "prepares both members"),
        ({"joint_form": "corner", "thickness_a": "12 mm", "groove_angle": "120"}, "of the upright member"),
        ({"groove_type": "bevel", "groove_angle": "90"}, "never reaches the surface"),
        ({**PIPE, "branch": "set_in", "groove_type": "v"}, "prepares both members"),
    ],
)
def test_geometry_that_cannot_be_is_refused_with_the_reason(joint: dict[str, str], why: str) -> None:
    each = joints_drawn({**BUTT, **joint}, "si", [WIRE])[0]
    assert each.section is None
    assert why in each.notes[0]
    assert each.notes[0].startswith("Not drawn: ")


def test_pipes_that_do_not_fit_are_refused() -> None:
    groove = Groove("bevel", 5, 2, 1, 45)
    at_flank(groove, (8, 5), (60, 60), ONE, None)
    for walls, diameters, leg, why in (
        ((8, 5), (59, 60), None, "wider than the run pipe"),
        ((8, 5), (114, 10), None, "half the diameter"),
        ((8, 5), (70, 60), 6, "past the side"),
    ):
        with pytest.raises(GrooveError, match=why):
            at_flank(groove, walls, diameters, ONE, leg)


def test_a_partial_groove_has_its_depth_at_the_left_of_its_symbol() -> None:
    """AWS A2.4 writes the depth of preparation there; a groove to be penetrated whole has none."""
    joint = {**BUTT, "groove_angle": "60", "thickness_a": "1/2", "root_face": "1/8"}
    for penetration, thickness, size in (
        ("partial", "1/2", "3/8"),
        ("complete", "1/2", ""),
        ("partial", "3/8-1/2", ""),
    ):
        entries = {**joint, "penetration": penetration, "thickness_a": thickness}
        (each,) = joints_drawn(entries, "us", [WIRE])
        assert each.symbol is not None
        assert each.symbol.size == size


def test_a_range_is_said_to_be_drawn_at_its_middle() -> None:
    assert AT_THE_MIDDLE not in sketches_of(BUTT, "si", [WIRE])[0]
    assert AT_THE_MIDDLE in sketches_of({**BUTT, "root_opening": "2-3 mm"}, "si", [WIRE])[0]


def test_several_figures_leave_the_root_to_the_entries_beside_them() -> None:
    """On paper they are small, and the signatures have to stay on the first page."""
    line = {**WIRE, "backing": "metal", "backing_material": "6061"}
    one = sketch_of(BUTT, "si", [line])
    several = sketch_of({**BUTT, "groove_type": "v; square"}, "si", [line])
    assert ">Butt, single V; backing stays" in one
    assert "backing" not in "".join(re.findall(r"<text[^>]*>([^<]*)", several))
    assert "backing stays, 6061." in several


def test_both_members_of_a_fillet_show_their_thickness() -> None:
    joint = {**BUTT, "weld_type": "fillet", "joint_form": "tee", "fillet_size": "8 mm"}
    each = drawn({**joint, "thickness_b": "12 mm"})
    assert [mark.text for mark in each.marks] == ["8", "20", "12"]
    assert [mark.text for mark in drawn(joint).marks] == ["8", "20"]


def test_a_screen_has_a_figure_for_each_joint() -> None:
    joint = {**BUTT, "weld_type": "groove; fillet", "joint_form": "butt; tee; lap", "fillet_size": "5 mm"}
    found = sketches_of(joint, "si", [WIRE])
    assert len(found) == 3
    assert all('data-joints="1"' in each for each in found)
    assert "Fillet leg: 5 mm" in found[0]
    assert 'aria-label="Joint sketch. Lap, fillet' in found[2]
