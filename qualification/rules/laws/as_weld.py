"""The weld that a coupon is."""

from __future__ import annotations

from ..core.facts import Side
from ..interface.schema import use_of_weld
from ..variables.registry import registry
from .documents import Document

POSITIONS = {
    "1": ["flat"],
    "2": ["horizontal"],
    "3": ["vertical"],
    "4": ["overhead"],
    "5": ["flat", "vertical", "overhead"],
}


def as_weld(test: Document, document: Document) -> Document | None:
    """The weld that a coupon is, for records on which a weld is stated."""
    use = use_of_weld(Side(document["side"]))
    known = registry()

    def kept(level: Document) -> Document:
        return {
            key: value
            for key, value in level.items()
            if use in known[key].uses and (use in known[key].many or not isinstance(value, list))
        }

    weld = {
        "units": test["units"],
        "joint": kept(test["joint"]),
        "lines": [kept(line) for line in test["lines"]],
    }
    weld["joint"]["toughness_required"] = "yes" if test["joint"].get("impact_tested") == "yes" else "no"
    positions = test["joint"].get("test_position")
    if positions is not None:
        listed = [positions] if isinstance(positions, str) else positions
        if any(p[0] not in POSITIONS or p in ("5F", "2FR") for p in listed):
            return None
        if test["joint"].get("product_form") == "pipe":
            return None  # which of its positions a pipe stands for turns on how it was held
        weld["joint"]["position"] = sorted({each for p in listed for each in POSITIONS[p[0]]})
    return weld
