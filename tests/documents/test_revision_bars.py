"""What changed since the last revision is marked also where both sides stand under one label, in the words of
today and in those of records approved long ago."""

import pytest

from wps.documents.context import _changed_labels


@pytest.mark.parametrize(
    ("changed", "marked"),
    [
        ("Thickness of side A", "Thickness of both sides"),
        ("Thickness, side B", "Thickness, both sides"),
        ("Voltage", "Voltage"),
    ],
)
def test_a_change_of_one_side_marks_the_row_of_both(changed: str, marked: str) -> None:
    labels = _changed_labels({"changes": [{"label": changed}]})
    assert {changed, marked} <= labels
    assert "Amperage of both sides" not in labels
