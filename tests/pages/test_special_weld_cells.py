"""Special welds in the cells of a weld list: read by their names, with the size each has, and shown in words
that are read again."""

import pytest

from qualification.rules.variables.special_welds import SPECIAL
from wps.jobs.weld_cells import said_by
from wps.jobs.weld_grid import _joint_words


@pytest.mark.parametrize("kind", sorted(SPECIAL))
def test_what_the_grid_shows_is_read_again(kind: str) -> None:
    shown = _joint_words({"weld_type": kind, "joint_form": "lap"})
    assert said_by("joint", shown, "us", "us").joint == {"weld_type": [kind], "joint_form": "lap"}


@pytest.mark.parametrize(
    ("kind", "key"),
    [
        ("plug", "hole_size"),
        ("slot", "hole_size"),
        ("overlay", "overlay_thickness"),
        ("fillet", "fillet_size"),
    ],
)
def test_the_size_is_the_one_the_weld_has(kind: str, key: str) -> None:
    assert said_by("size", "1/2", "us", "us", kind).joint == {key: "1/2"}


def test_a_socket_weld_is_no_stud() -> None:
    """`SW` is a socket weld on a piping list; it is asked about, not taken for a stud."""
    with pytest.raises(ValueError, match="not known"):
        said_by("joint", "SW", "us", "us")
