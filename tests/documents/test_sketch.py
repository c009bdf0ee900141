"""The joint drawn from its entries: to scale, with its numbers, and never a number that nobody stated."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import ezdxf
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.rules.arithmetic.grooves import Groove, GrooveError, groove_area
from qualification.rules.variables.registry import registry
from tests.shop_records import procedure_test, welder, welder_test
from wps.documents.joint_dxf import BACKING, MEMBERS, WELD, dxf_of
from wps.documents.joint_geometry import DOUBLE, FLARED, ONE_SIDED, area_of, edge_of, segment
from wps.documents.joint_sections import butt, fillet, turned
from wps.documents.pass_layers import Pass, Passes
from wps.documents.sketch import SMALL, WIDE, is_wide, joints_drawn, sketch_of
from wps.documents.sketch_rows import APART, row_of
from wps.documents.weld_symbols import Symbol

SVG = "{http://www.w3.org/2000/svg}"
V_JOINT = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "root_opening": "1/16",
    "root_face": "1/16",
    "thickness_a": "1/4",
    "thickness_b": "same",
}
GROOVES = [choice.key for choice in registry()["groove_type"].choices]
DRAWN = (
    Groove("square", 6, 2),
    Groove("v", 12.7, 2.4, 1.6, 75),
    Groove("double_v", 20, 3, 2, 60),
    Groove("double_v", 30, 3, 2, 60, front_share=2 / 3),
    Groove("bevel", 12, 3, 0, 45),
    Groove("double_bevel", 20, 2, 2, 45),
    Groove("u", 25, 2, 3, 30, 6),
    Groove("double_u", 40, 2, 3, 20, 6),
    Groove("j", 20, 2, 3, 25, 5),
    Groove("double_j", 40, 2, 3, 25, 6),
    Groove("flare_v", 10, 1, radius=12),
    Groove("flare_bevel", 10, 0, radius=10),
)


def layered(*lines: int) -> Passes:
    """A pass for each process line named, one above the other."""
    return Passes(tuple(Pass(number, line, layer=number) for number, line in enumerate(lines, 1)))


ONE_RUN = layered(0)


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]


def spoken(svg: str) -> str:
    return ET.fromstring(svg).get("aria-label") or ""


def outlines(svg: str, opacity: str) -> list[ET.Element]:
    return [p for p in ET.fromstring(svg).iter(f"{SVG}polygon") if p.get("fill-opacity") == opacity]


@pytest.mark.parametrize("groove", DRAWN, ids=lambda groove: groove.shape)
@pytest.mark.parametrize(
    "passes", [layered(0, 1, 1, 1, 1, 1), Passes(tuple(Pass(n, 0) for n in range(1, 10)), level=False)]
)
def test_the_passes_fill_what_the_formula_gives(groove: Groove, passes: Passes) -> None:
    section = butt(groove, groove.thickness, passes)
    assert section.filler_area == pytest.approx(groove_area(groove), rel=0.005)
    assert [bead.number for bead in section.beads] == [each.number for each in passes.passes]
    assert [bead.line for bead in section.beads] == [each.line for each in passes.passes]
    whole = butt(groove, groove.thickness, ONE_RUN)
    assert whole.filler_area == pytest.approx(groove_area(groove), rel=0.005)


def test_a_turned_groove_keeps_its_area_and_a_fillet_is_half_the_square_of_its_leg() -> None:
    groove = Groove("bevel", 12, 3, 1, 45)
    assert turned(groove, 10, ONE_RUN, False).filler_area == pytest.approx(groove_area(groove), rel=1e-9)
    assert fillet("tee", 8, 10, 10, False, layered(0, 0, 0)).filler_area == pytest.approx(32)
    assert fillet("tee", 8, 10, 10, True, layered(0, 0, 0)).filler_area == pytest.approx(64)
    # A segment of a circle of radius 5 that is a half disc.
    assert area_of(segment(-5, 5, 0, 5)) == pytest.approx(39.27, rel=0.005)


@pytest.mark.parametrize("shape", sorted(DOUBLE))
def test_a_double_groove_is_the_same_from_both_faces(shape: str) -> None:
    edge = edge_of(Groove(shape, 80, 0, 10, 30, 12))
    mirrored = [(80 - y, back) for y, back in reversed(edge)]
    assert [each for pair in edge for each in pair] == pytest.approx(
        [each for pair in mirrored for each in pair]
    )


@pytest.mark.parametrize(
    ("groove", "why"),
    [
        (Groove("v", 10, 2, 10, 60), "root face"),
        (Groove("u", 10, 2, 2, 20, 12), "radius"),
        (Groove("flare_v", 12, 0, radius=10), "depth"),
        (Groove("bevel", 10, 2, 1, 90), "never reaches"),
    ],
)
def test_a_groove_that_cannot_be_is_refused_with_the_reason(groove: Groove, why: str) -> None:
    with pytest.raises(GrooveError, match=why):
        edge_of(groove)
    edge_of(Groove("v", 10, 2, 9.9, 60))
    edge_of(Groove("flare_v", 10, 0, radius=10))


def test_a_leg_above_the_lapping_plate_is_refused() -> None:
    fillet("lap", 6, 6, 6, False, ONE_RUN)
    with pytest.raises(GrooveError, match="above the edge of the lapping plate"):
        fillet("lap", 6.1, 6, 6, False, ONE_RUN)


def test_the_drawing_says_why_it_is_not_there() -> None:
    svg = sketch_of({**V_JOINT, "root_face": "1 in"}, "us")
    assert "Not drawn: The root face" in " ".join(texts(svg))
    assert "Not drawn" in spoken(svg)
    assert not outlines(svg, "0.06")


def test_a_special_weld_is_not_drawn_as_a_groove() -> None:
    svg = sketch_of({"weld_type": ["overlay"], "thickness_a": "1"}, "us")
    assert "Not drawn" in " ".join(texts(svg))
    assert "Corrosion-resistant overlay" in spoken(svg)
    assert "groove" not in spoken(svg).lower()
    assert dxf_of(joints_drawn({"weld_type": ["plug", "stud"]}, "us"))


def test_numbers_stand_on_the_drawing_in_one_unit_and_both_in_its_text() -> None:
    svg = sketch_of({**V_JOINT, "root_opening": "1/16-1/8"}, "us")
    assert {"1/4", "60°", "1/16", "1/16–1/8"} <= set(texts(svg))
    assert "Root opening: 1/16 to 1/8 in (1.59 to 3.18 mm)." in spoken(svg)
    metric = sketch_of({**V_JOINT, "thickness_a": "6"}, "si")
    assert "6" in texts(metric)
    assert "Thickness of side A: 6 mm (0.2362 in)." in spoken(metric)


@pytest.mark.parametrize("missing", ["thickness_a", "groove_angle", "root_opening", "root_face"])
def test_what_is_missing_is_said_to_be_and_gets_no_number(missing: str) -> None:
    entries = {key: value for key, value in V_JOINT.items() if key not in (missing, "thickness_b")}
    svg = sketch_of({**entries, "root_opening": "3/32"} if missing != "root_opening" else entries, "us")
    assert f"{registry()[missing].label}: Not stated." in spoken(svg)
    assert "not to scale" in " ".join(texts(svg))
    number = {"thickness_a": "1/4", "groove_angle": "60°", "root_opening": "3/32", "root_face": "1/16"}
    assert number[missing] not in texts(svg)


def test_an_empty_record_is_drawn_with_broken_lines_and_without_any_number() -> None:
    svg = sketch_of({}, "us")
    assert [plate.get("stroke-dasharray") for plate in outlines(svg, "0.06")] == ["4 2.5", "4 2.5"]
    assert not any(re.search(r"\d", text) for text in texts(svg))


@pytest.mark.parametrize("groove", GROOVES)
@pytest.mark.parametrize("thickness", ["1/16", "1", "8"])
def test_every_groove_stays_inside_its_drawing(groove: str, thickness: str) -> None:
    joint = {**V_JOINT, "groove_type": groove, "thickness_a": thickness, "thickness_b": thickness}
    joint |= {"root_face": "0", "groove_radius": "8" if groove in FLARED else ".01"}
    svg = ET.fromstring(sketch_of(joint, "us"))
    _, _, width, height = map(float, (svg.get("viewBox") or "").split())
    (group,) = svg.findall(f"{SVG}g")
    x, y = map(float, re.findall(r"-?[\d.]+", group.get("transform") or ""))
    points = [
        tuple(map(float, point.split(",")))
        for outline in svg.iter(f"{SVG}polygon")
        for point in (outline.get("points") or "").split()
    ]
    assert points
    assert all(-1 <= px + x <= width + 1 and -1 <= py + y <= height + 1 for px, py in points)
    assert f"Groove: {registry()['groove_type'].choice_label(groove)}." in (svg.get("aria-label") or "")


def test_a_bevel_prepares_one_member_and_a_v_both() -> None:
    edges = {shape: butt(Groove(shape, 10, 2, 1, 45), 10, ONE_RUN).members for shape in ("bevel", "v")}
    assert [len(member) for member in edges["bevel"]] == [4, 5]
    assert [len(member) for member in edges["v"]] == [5, 5]
    assert "bevel" in ONE_SIDED


def test_a_thicker_member_tapers_down_to_the_groove_and_the_text_says_it_is_drawn_so() -> None:
    (drawn,) = joints_drawn({**V_JOINT, "thickness_a": "10 mm", "thickness_b": "16 mm"}, "us")
    assert drawn.section is not None
    left, right = drawn.section.members
    assert max(y for _, y in left) == pytest.approx(10)
    assert max(y for _, y in right) == pytest.approx(16)
    assert "taper not stated, drawn 3 to 1" in drawn.notes
    assert not [note for note in joints_drawn(V_JOINT, "us")[0].notes if "taper" in note]


@pytest.mark.parametrize(
    ("line", "joint", "kept"),
    [
        ({"backing": "metal"}, {}, True),
        ({"backing": "none"}, {"retainer": "used"}, False),
        ({"backing": "flux"}, {}, False),
        ({"backing": "none"}, {"back_gouging": "arc"}, False),
    ],
)
def test_backing_that_stays_is_solid_and_what_goes_is_broken(
    line: dict[str, str], joint: dict[str, str], kept: bool
) -> None:
    (drawn,) = joints_drawn({**V_JOINT, **joint}, "us", [{"process": "GMAW", **line}])
    assert drawn.section is not None
    assert (len(drawn.section.backing), len(drawn.section.loose)) == ((1, 0) if kept else (0, 1))
    (bare,) = joints_drawn(V_JOINT, "us", [{"process": "GMAW", "backing": "none"}])
    assert bare.section is not None
    assert not (*bare.section.backing, *bare.section.loose)


def test_passes_are_shaded_by_process_and_named() -> None:
    lines = [{"process": "GTAW", "layers": "1"}, {"process": "GMAW", "layers": "2"}]
    svg = sketch_of({**V_JOINT, "thickness_a": "1", "root_face": "1/8"}, "us", lines)
    assert "1 GTAW, 2–3 GMAW" in " ".join(texts(svg))
    assert outlines(svg, "0.22")
    assert outlines(svg, "0.38")


def test_each_joint_of_a_procedure_has_its_figure() -> None:
    joint = {**V_JOINT, "weld_type": "groove; fillet", "joint_form": "butt; tee; corner; lap"}
    joint |= {"groove_type": "square; v", "fillet_size": "1/8-3/8"}
    drawn = joints_drawn(joint, "us")
    assert [(each.joint.form, each.joint.groove) for each in drawn] == [
        ("butt", "square"),
        ("butt", "v"),
        ("tee", "fillet"),
        ("lap", "fillet"),
    ]
    assert drawn[2].joint.words == "Tee, corner, fillet"
    assert is_wide(sketch_of(joint, "us"))
    assert not is_wide(sketch_of(V_JOINT, "us"))


@pytest.mark.parametrize("root_opening", ["1/16", "1/16 to 1/8", "1-5/16 to 1-15/16"])
def test_no_figure_of_a_row_reaches_into_the_next(root_opening: str) -> None:
    """With the numbers beside it: that of a root opening stood on the plate of the joint to its right."""
    joint = {**V_JOINT, "weld_type": "groove; fillet", "joint_form": "butt; tee; corner; lap"}
    joint |= {"groove_type": "square; v", "fillet_size": "1/8-3/8", "thickness_a": "1/8 to 1/2"}
    figures = joints_drawn({**joint, "root_opening": root_opening}, "us", [{"backing": "metal"}])
    assert len(figures) == 4
    row = row_of(figures, WIDE, SMALL, symbols=False)
    assert row is not None
    ends = [start + figure.right - figure.left for start, figure in row]
    assert all(end + APART <= start for end, (start, _) in zip(ends, row[1:], strict=False))
    assert ends[-1] <= WIDE


@pytest.mark.parametrize("joint", ["tee", "lap", "corner"])
def test_a_fillet_shows_its_leg(joint: str) -> None:
    entries = {"weld_type": "fillet", "joint_form": joint, "fillet_size": "1/4", "thickness_a": "1/4"}
    svg = sketch_of({**entries, "thickness_b": "1/2"}, "us")
    assert texts(svg).count("1/4") >= 2
    assert "Fillet leg: 1/4 in (6.35 mm)." in spoken(svg)


def test_symbols_put_the_arrow_side_below_by_aws_and_on_the_solid_line_by_iso() -> None:
    """The sides of the reference line: AWS A2.4 below for the arrow side, ISO 2553 system A on the solid
    line."""
    (aws,) = joints_drawn(V_JOINT, "us")
    (iso,) = joints_drawn(V_JOINT, "us", iso=True)
    assert aws.symbol == Symbol("v", False, "", "1/16", "60°")
    assert iso.symbol is not None
    assert iso.symbol.is_iso
    assert 'stroke-dasharray="3 2"' in sketch_of({**V_JOINT, "root_face": ""}, "us", iso=True)


@pytest.mark.parametrize(
    ("joint", "line", "told"),
    [
        ({"groove_type": "double_v"}, {}, {"kind": "v", "double": True}),
        ({}, {"backing": "metal"}, {"backing": "permanent"}),
        ({"back_gouging": "arc"}, {}, {"back_weld": True}),
        ({"product_form": "pipe", "diameter": "2"}, {}, {"all_around": True}),
        ({"groove_type": "square"}, {}, {"angle": "", "gap": "1/16"}),
        (
            {"weld_type": "fillet", "joint_form": "tee", "fillet_size": "1/4", "sides_welded": "both"},
            {},
            {"kind": "fillet", "double": True, "size": "1/4"},
        ),
    ],
)
def test_a_symbol_says_what_the_entries_say(
    joint: dict[str, str], line: dict[str, str], told: dict[str, object]
) -> None:
    (drawn,) = joints_drawn({**V_JOINT, **joint}, "us", [{"process": "GMAW", **line}])
    assert {name: getattr(drawn.symbol, name) for name in told} == told


def test_typed_text_never_becomes_markup_and_no_style_is_carried() -> None:
    svg = sketch_of({**V_JOINT, "joint_form": "<script>"}, "us")
    assert "<script>" not in svg
    assert " style=" not in svg
    ET.fromstring(svg)


def test_the_dxf_holds_the_same_section_in_millimeters() -> None:
    lines = [{"process": "GMAW", "backing": "metal", "layers": "3"}]
    joints = joints_drawn({**V_JOINT, "thickness_a": "12 mm", "thickness_b": "12 mm"}, "us", lines)
    document = ezdxf.read(io.StringIO(dxf_of(joints).decode()))
    assert document.units == 4
    found: dict[str, list[list[tuple[float, float]]]] = {}
    for line in document.modelspace().query("LWPOLYLINE"):
        assert line.closed
        found.setdefault(line.dxf.layer, []).append([(x, y) for x, y in line.get_points("xy")])
    assert (len(found[MEMBERS]), len(found[WELD]), len(found[BACKING])) == (2, 3, 1)
    groove = Groove("v", 12, 1.5875, 1.5875, 60)
    assert sum(area_of(each) for each in found[WELD]) == pytest.approx(groove_area(groove), rel=0.005)
    words = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert "60°" in words
    refused = dxf_of(joints_drawn({**V_JOINT, "root_face": "1 in"}, "us")).decode()
    assert "Not drawn" in refused


def test_a_record_hands_out_its_joint(author: User, author_client: Client) -> None:
    record = procedure_test(author)
    for form in ("svg", "dxf"):
        answer = author_client.get(reverse(f"joint_{form}", args=["procedure-test", record.pk]))
        assert answer.status_code == 200
        assert f"joint-rev-0.{form}" in answer["Content-Disposition"]
    certificate = welder_test(author, welder())
    assert author_client.get(reverse("joint_svg", args=["welder-test", certificate.pk])).status_code == 404
