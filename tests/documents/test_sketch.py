"""The joint sketch: what it draws, what it says, and that it never makes a number up."""

import re
import xml.etree.ElementTree as ET

import pytest

from qualification.rules.variables import registry
from wps.documents.groove_shapes import DOUBLE, Preparation, edge_profile
from wps.documents.sketch import sketch_of

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


def texts(svg: str) -> list[str]:
    return [element.text for element in ET.fromstring(svg).iter(f"{SVG}text")]


def plates(svg: str) -> list[ET.Element]:
    return [p for p in ET.fromstring(svg).iter(f"{SVG}polygon") if p.get("fill-opacity") == "0.08"]


def corners(plate: ET.Element) -> list[tuple[float, float]]:
    return [tuple(map(float, point.split(","))) for point in plate.get("points").split()]


def test_dimensions_stand_in_both_unit_systems_with_their_mark() -> None:
    said = texts(sketch_of(V_JOINT, "us"))
    assert said[said.index("Thickness, side A") + 1] == "1/4 in (6.35 mm)"
    assert said[said.index("Root opening") + 1] == "1/16 in (1.59 mm)"
    assert said[said.index("Included angle") - 1 : said.index("Included angle") + 2] == [
        "α",
        "Included angle",
        "60°",
    ]


def test_a_metric_record_puts_millimetres_first() -> None:
    said = texts(sketch_of({**V_JOINT, "thickness_a": "6", "root_opening": "2", "root_face": "1"}, "si"))
    assert said[said.index("Thickness, side A") + 1] == "6 mm (0.2362 in)"


def test_a_range_is_said_whole() -> None:
    said = texts(sketch_of({**V_JOINT, "root_opening": "0-1/8"}, "us"))
    assert said[said.index("Root opening") + 1] == "0 to 1/8 in (0 to 3.18 mm)"


@pytest.mark.parametrize("missing", ["thickness_a", "groove_angle", "root_opening", "root_face"])
def test_what_is_missing_is_said_to_be_and_gets_no_number(missing: str) -> None:
    entries = {key: value for key, value in V_JOINT.items() if key not in (missing, "thickness_b")}
    said = texts(sketch_of(entries, "us"))
    assert said[said.index(registry()[missing].label) + 1] == "Not stated"


def test_an_entry_that_cannot_be_read_counts_as_not_stated() -> None:
    said = texts(sketch_of({**V_JOINT, "groove_angle": "steep"}, "us"))
    assert said[said.index("Included angle") + 1] == "Not stated"


def test_an_empty_record_is_drawn_with_broken_lines_and_without_any_number() -> None:
    svg = sketch_of({}, "us")
    assert [plate.get("stroke-dasharray") for plate in plates(svg)] == ["5 3", "5 3"]
    assert not any(re.search(r"\d", text) for text in texts(svg))


@pytest.mark.parametrize("groove", GROOVES)
@pytest.mark.parametrize("thickness", ["1/16", "1", "8"])
def test_every_groove_stays_inside_its_drawing(groove: str, thickness: str) -> None:
    svg = sketch_of(
        {
            **V_JOINT,
            "groove_type": groove,
            "thickness_a": thickness,
            "groove_radius": "1/4",
            "groove_angle": "120",
        },
        "us",
    )
    drawn = [point for plate in plates(svg) for point in corners(plate)]
    assert all(40 <= x <= 320 and 0 < y < 200 for x, y in drawn)
    assert f"Groove: {registry()['groove_type'].choice_label(groove)}." in ET.fromstring(svg).get(
        "aria-label"
    )


def test_the_drawings_of_all_grooves_differ() -> None:
    drawn = {
        groove: tuple(p.get("points") for p in plates(sketch_of({**V_JOINT, "groove_type": groove}, "us")))
        for groove in GROOVES
    }
    assert len(set(drawn.values())) == len(GROOVES)


def test_a_bevel_prepares_one_member_and_a_v_both() -> None:
    bevel, v = (plates(sketch_of({**V_JOINT, "groove_type": groove}, "us")) for groove in ("bevel", "v"))
    assert [len(corners(plate)) for plate in bevel] == [4, 5]
    assert [len(corners(plate)) for plate in v] == [5, 5]


@pytest.mark.parametrize("shape", sorted(DOUBLE))
def test_a_double_groove_is_the_same_from_both_faces(shape: str) -> None:
    profile = edge_profile(Preparation(shape, height=80, slope=0.5, face=10, radius=12))
    turned = [(back, 80 - down) for back, down in reversed(profile)]
    assert [point for pair in zip(profile, turned, strict=True) for point in pair[0]] == pytest.approx(
        [point for pair in zip(profile, turned, strict=True) for point in pair[1]]
    )


def test_unlike_thicknesses_are_drawn_unlike_on_one_root_line() -> None:
    left, right = plates(sketch_of({**V_JOINT, "thickness_b": "1/8"}, "us"))
    heights = [max(y for _, y in corners(p)) - min(y for _, y in corners(p)) for p in (left, right)]
    assert heights[0] == pytest.approx(2 * heights[1], abs=0.2)
    assert max(y for _, y in corners(left)) == max(y for _, y in corners(right))


def test_a_metal_backing_is_drawn_and_said() -> None:
    bare = sketch_of(V_JOINT, "us", [{"process": "GMAW", "backing": "none"}])
    backed = sketch_of(V_JOINT, "us", [{"process": "GMAW", "backing": "metal"}])
    assert len(plates(backed)) == len(plates(bare)) + 1
    assert "Metal strip or ring" in texts(backed)
    assert "None: open root" in texts(bare)


@pytest.mark.parametrize("joint", ["tee", "lap", "corner"])
def test_a_fillet_shows_its_leg(joint: str) -> None:
    svg = sketch_of(
        {
            "weld_type": "fillet",
            "joint_form": joint,
            "fillet_size": "1/4",
            "thickness_a": "1/4",
            "thickness_b": "1/2",
        },
        "us",
    )
    said = texts(svg)
    assert said[said.index("Fillet leg") - 1 : said.index("Fillet leg") + 2] == [
        "z",
        "Fillet leg",
        "1/4 in (6.35 mm)",
    ]
    assert "z" in said[: said.index("Joint")]


def test_a_fillet_from_both_sides_is_drawn_twice() -> None:
    fillet = {"weld_type": "fillet", "joint_form": "tee", "fillet_size": "1/4"}
    assert sketch_of({**fillet, "sides_welded": "both"}, "us").count('fill-opacity="0.45"') == 2
    assert sketch_of(fillet, "us").count('fill-opacity="0.45"') == 1


def test_typed_text_never_becomes_markup() -> None:
    svg = sketch_of({**V_JOINT, "joint_form": "<script>"}, "us")
    assert "<script>" not in svg
    ET.fromstring(svg)


def test_it_carries_no_style_a_page_would_refuse() -> None:
    svg = sketch_of(V_JOINT, "us")
    assert " style=" not in svg
    assert "url(" not in svg
