"""Welding symbols against published figures: the same elements, each in its place. Every case names its
source in `published_symbols.toml`."""

from __future__ import annotations

import re
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from wps.documents.joint_figure import LETTER, TEXT
from wps.documents.sketch import sketch_of

SVG = "{http://www.w3.org/2000/svg}"
PUBLISHED = tomllib.loads((Path(__file__).parent / "published_symbols.toml").read_text())
ALWAYS = {"reference line", "arrow"}
Box = tuple[float, float, float, float]


def elements(case: dict[str, Any]) -> dict[str, ET.Element]:
    joint = {"weld_type": "groove", "joint_form": "butt", **case["joint"]}
    line = {"process": "GMAW", **case.get("line", {})}
    iso = case.get("iso", False)
    svg = ET.fromstring(sketch_of(joint, "si" if iso else "us", [line], iso=iso))
    return {str(each.get("data-element")): each for each in svg.iter(f"{SVG}g") if each.get("data-element")}


def box(element: ET.Element) -> Box:
    """Left, top, right and bottom of what a group holds; curves by the points they run through."""
    xs, ys = [], []
    for each in element.iter():
        numbers = [
            float(n) for n in re.findall(r"-?\d+\.?\d*", each.get("points") or _ends(each.get("d") or ""))
        ]
        xs += numbers[::2]
        ys += numbers[1::2]
        if each.tag == f"{SVG}circle":
            x, y, r = (float(each.get(name) or 0) for name in ("cx", "cy", "r"))
            xs, ys = [*xs, x - r, x + r], [*ys, y - r, y + r]
        if each.tag == f"{SVG}text":
            x, y, wide = (
                float(each.get("x") or 0),
                float(each.get("y") or 0),
                len(each.text or "") * TEXT * LETTER,
            )
            start = {"start": x, "middle": x - wide / 2, "end": x - wide}[each.get("text-anchor") or "start"]
            xs, ys = [*xs, start, start + wide], [*ys, y - TEXT * 0.72, y]
    return min(xs), min(ys), max(xs), max(ys)


def _ends(path: str) -> str:
    """A path without the radii and flags of its arcs, and a half circle with its top."""
    half = re.fullmatch(r"M(\S+) (\S+)A(\S+) \S+ 0 0 ([01]) (\S+) (\S+)", path)
    if half and half[2] == half[6]:
        x, y, r, way = (float(half[n]) for n in (1, 2, 3, 4))
        return f"{path[1:].split('A')[0]} {x + r} {y - r if way else y + r} {half[5]} {half[6]}"
    return re.sub(r"A\S+ \S+ \S+ [01] [01] ", " ", path)


@pytest.mark.parametrize("case", PUBLISHED["figure"], ids=lambda case: case["name"])
def test_a_symbol_has_the_elements_of_the_published_figure_in_their_places(case: dict[str, Any]) -> None:
    assert case["source"] in PUBLISHED["sources"]
    drawn = elements(case)
    assert set(drawn) == ALWAYS | set(case["elements"])
    at = {name: box(each) for name, each in drawn.items()}
    line = at["reference line"][1]
    for name, place in case["elements"].items():
        assert _is_at(at, name, place, line), f"{name} is not {place}"
    if upright := case.get("upright_left"):
        strokes = [box_of_path(each) for each in drawn[upright] if each.tag == f"{SVG}path"]
        vertical = [left for left, top, right, bottom in strokes if right - left < 0.1 < bottom - top]
        assert vertical
        assert min(vertical) == pytest.approx(at[upright][0], abs=0.1)
    if "letters" in case:
        said = [each.text for each in drawn["backing, other side"].iter(f"{SVG}text")]
        assert "".join(said) == case["letters"]
    if "words" in case:
        assert [each.text for each in drawn["size, arrow side"].iter(f"{SVG}text")] == [case["words"]]
    if "filled" in case:
        assert any(each.get("fill") == "currentColor" for each in drawn[case["filled"]])


def box_of_path(path: ET.Element) -> Box:
    group = ET.Element("g")
    group.append(path)
    return box(group)


def _is_at(at: dict[str, Box], name: str, place: str, line: float) -> bool:
    left, top, right, bottom = at[name]
    if place == "below":
        return top >= line - 0.1
    if place == "above":
        return bottom <= line + 0.1
    if place == "junction":
        x = at["reference line"][0]
        return left - 0.1 <= x <= right + 0.1 and top <= line <= bottom
    relation, _, of = place.partition(" of ") if place.startswith("left") else place.partition(" ")
    other = at[of]
    is_below = other[1] >= line - 0.1
    if relation == "left":
        return right <= other[0] and ((top + bottom) / 2 >= line) == is_below
    if relation == "inside":
        return other[0] <= left and right <= other[2] and other[1] <= top and bottom <= other[3]
    assert relation == "beyond"
    return top >= other[3] - 0.5 if is_below else bottom <= other[1] + 0.5


@pytest.mark.parametrize("iso", [False, True])
@pytest.mark.parametrize(
    ("groove", "pieces"),
    [("v", 1), ("u", 1), ("flare_v", 1), ("square", 1), ("bevel", 2), ("double_bevel", 2), ("j", 2)],
)
def test_the_arrow_is_broken_where_one_member_is_prepared(groove: str, pieces: int, iso: bool) -> None:
    """Modern Welding, page 60, figure 3-26 view D: the arrow of a bevel or J groove is bent towards the piece
    that is cut."""
    radius = {"groove_radius": "1/4"} if groove in ("u", "j") else {}
    arrow = elements({"joint": {"groove_type": groove, **radius}, "iso": iso})["arrow"]
    assert len(arrow.findall(f"{SVG}path")) == pieces


def test_twenty_figures_are_compared() -> None:
    assert sum(case["source"] != "memory" for case in PUBLISHED["figure"]) >= 20
