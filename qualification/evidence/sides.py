"""The side that the label of an entry names. Records approved long ago part it by a comma, and papers print
what was frozen."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any

LABEL = re.compile(
    r"^(?P<name>.*?)(?:(?: of|,) (?P<side>side [AB]|both sides|(?:the )?(?:thinner|thicker) side))?$"
)

Row = Mapping[str, Any]


def parted(label: str) -> tuple[str, str]:
    """The name and the side: `Thickness` and `side A`. The side is empty where the label names none."""
    match = LABEL.match(label)
    assert match is not None  # every text has this form
    return match["name"], match["side"] or ""


def both_sides_once(rows: Sequence[Row], like: Callable[[Row], Hashable]) -> list[Row]:
    """Rows with a label; where both sides have what is `like`, one that names both, in the place of the
    first."""
    found: dict[Hashable, Row] = {}
    for number, row in enumerate(rows):
        name, side = parted(row["label"])
        key = (name, like(row))
        if side and key in found and parted(found[key]["label"])[1] not in ("", side, "both sides"):
            found[key] = {**found[key], "label": f"{name} of both sides"}
        else:
            found[key if key not in found else (key, number)] = row
    return list(found.values())
