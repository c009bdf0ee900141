"""Several joints side by side: each with its welding symbol, none over another, within the width of a sheet;
and on the first page of the procedure."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.contrib.auth.models import User
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from qualification.models import Shop
from tests.shop_records import procedure_test, spec
from wps.documents.context import content_of
from wps.documents.issue import rendered
from wps.documents.sketch import SMALL, WIDE, joints_drawn, sketch_of
from wps.documents.sketch_rows import row_of

LINE = {"process": "GMAW", "backing": ["metal", "base_metal"]}
ALL_FORMS: dict[str, Any] = {
    "weld_type": ["groove", "fillet"],
    "joint_form": ["butt", "tee", "corner", "lap"],
    "groove_type": ["v", "square"],
    "groove_angle": "60-75",
    "root_opening": "1/16-1/8",
    "root_face": "0-1/16",
    "fillet_size": "1/8-3/8",
    "thickness_a": "1/8-1/2",
    "thickness_b": "1/8-1/2",
}


@st.composite
def joints(draw: st.DrawFn) -> dict[str, Any]:
    grooves = st.sampled_from(["v", "bevel", "double_v", "square", "u", "j"])
    forms = st.sampled_from(["butt", "tee", "corner", "lap"])
    angle, opening = draw(st.integers(20, 90)), draw(st.sampled_from(["0", "1/16", "1/16-1/8", "3/16-5/16"]))
    return {
        **ALL_FORMS,
        "joint_form": draw(st.lists(forms, min_size=1, max_size=4, unique=True)),
        "groove_type": draw(st.lists(grooves, min_size=1, max_size=2, unique=True)),
        "groove_angle": str(angle),
        "groove_radius": "1/16",
        "root_opening": opening,
        "thickness_a": draw(st.sampled_from(["1/4", "1/2", "1/8-1 1/2"])),
    }


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(joints(), st.booleans())
def test_figures_with_symbols_stand_apart_and_within_the_width(joint: dict[str, Any], iso: bool) -> None:
    figures = joints_drawn(joint, "us", [LINE], iso=iso)[:4]
    row = row_of(figures, WIDE, SMALL, symbols=True)
    if row is None:
        return
    ends = [(x, x + figure.right - figure.left) for x, figure in row]
    assert all(right <= left for (_, right), (left, _) in zip(ends, ends[1:], strict=False))
    assert ends[-1][1] <= WIDE + 0.1
    assert (
        len({round(figure.bottom - figure.top) for _, figure in row}) <= 3
    )  # captions of one to three lines


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(joints(), st.booleans())
def test_every_joint_that_is_drawn_has_its_symbol(joint: dict[str, Any], iso: bool) -> None:
    figures = [each for each in joints_drawn(joint, "us", [LINE], iso=iso) if each.symbol and each.section]
    drawing = sketch_of(joint, "us", [LINE], iso=iso, symbols=True)
    assert drawing.count('data-element="reference line"') == len(figures)


def test_symbols_take_a_third_more_height_at_most() -> None:
    plain, full = (
        float(re.search(r'viewBox="0 0 \S+ (\d+)"', sketch_of(ALL_FORMS, "us", [LINE], symbols=each))[1])  # type: ignore[index]
        for each in (False, True)
    )
    assert plain < full <= plain * 4 / 3


@pytest.mark.django_db
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_four_joints_and_their_symbols_stand_above_the_signatures(
    paper: str, author: User, shop: Shop
) -> None:
    """The angle of the groove stands on its drawing and in its symbol; among the entries with “to”."""
    made = spec(author, procedure_test(author), joint=ALL_FORMS)
    content = content_of(made)
    done = rendered(made, content, content, paper)
    assert done.pages == 2
    assert {place.page for name, place in done.places.items() if name.startswith("signature-")} == {0}
    first = PdfReader(io.BytesIO(done.pdf)).pages[0].extract_text()
    assert first.count("60–75°") == 2
