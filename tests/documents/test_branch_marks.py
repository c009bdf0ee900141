"""The numbers on the section through the flank of a branch: each stated one, and the angle of the groove."""

from __future__ import annotations

import math

import pytest

from tests.documents.test_joint_forms import PIPE, WIRE
from wps.documents.joint_drawn import Drawn
from wps.documents.sketch import joints_drawn


def flank(**changes: str) -> Drawn:
    _, at_flank = joints_drawn({**PIPE, **changes}, "si", [WIRE])
    assert at_flank.joint.plane == "flank"
    return at_flank


def test_the_flank_has_every_dimension_of_the_crotch() -> None:
    crotch, at_flank = joints_drawn({**PIPE, "fillet_over_groove": "4 mm"}, "si", [WIRE])
    assert sorted(mark.text for mark in at_flank.marks) == sorted(mark.text for mark in crotch.marks)
    assert {mark.text for mark in at_flank.marks} == {"8", "5", "2", "45°", "4"}


@pytest.mark.parametrize("run_diameter", ["80 mm", "114 mm", "168 mm", "500 mm"])
@pytest.mark.parametrize("angle", [50, 60])
def test_the_angle_drawn_at_the_flank_is_that_of_the_groove(angle: int, run_diameter: str) -> None:
    """Between the branch's cut end and the tangent of the run pipe, whose fall has for its sine the
    branch's inner half width by the run's radius (plane trigonometry)."""
    at_flank = flank(groove_angle=f"{angle}", run_diameter=run_diameter)
    (mark,) = (each for each in at_flank.marks if each.kind == "angle")
    assert math.degrees(mark.start[1] - mark.start[0]) == pytest.approx(angle)
    fall = math.asin(25 / (float(run_diameter.removesuffix(" mm")) / 2))
    assert mark.start[1] == pytest.approx(math.pi / 2 + fall)


def test_an_end_that_cannot_be_cut_to_the_angle_names_none() -> None:
    """On a run pipe as wide as the branch the surface falls away by more than the groove's angle."""
    assert not [mark for mark in flank(run_diameter="60 mm").marks if mark.kind == "angle"]
