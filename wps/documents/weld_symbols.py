"""Welding symbols from the entries that draw the joint: which elements stand on the reference line, by AWS
A2.4 or ISO 2553. `symbol_figure.py` draws them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from qualification.rules.core.facts import Facts

FINISH = {
    "grinding": "G",
    "machining": "M",
    "chipping": "C",
    "hammering": "H",
    "rolling": "R",
    "planishing": "P",
}
"""Letters by which AWS A2.4 names how a face is finished; ISO 2553 has none."""
PERMANENT, REMOVED = "permanent", "removed"


@dataclass(frozen=True)
class Symbol:
    """What stands on the reference line: the weld on the arrow side, on the other side, and its numbers.

    `backing` is permanent, removed, or empty; `over` is the leg of a fillet laid over a groove.
    """

    kind: str
    double: bool
    size: str
    gap: str
    angle: str
    backing: str = ""
    back_weld: bool = False
    all_around: bool = False
    is_iso: bool = False
    melt_through: bool = False
    insert: bool = False
    field: bool = False
    contour: str = ""
    finish: str = ""
    over: str = ""


def symbol_of(
    groove: str,
    facts: Facts,
    lines: Sequence[Facts],
    words: Mapping[str, str],
    *,
    is_iso: bool = False,
    melts: bool = False,
    depth: str = "",
) -> Symbol | None:
    """The symbol of a groove or a fillet; nothing where no groove is stated. `melts` says that the root
    stands out at the other side; `depth` is that of the preparation where penetration is partial."""
    if not groove:
        return None
    kind = groove.removeprefix("double_")
    is_groove = kind != "fillet"
    gouged = facts["back_gouging"]
    both = facts.is_only("sides_welded", "both")
    straight = kind in ("square", "fillet", "flare_v", "flare_bevel")
    double = groove != kind or (kind == "fillet" and both)
    back = isinstance(gouged, frozenset) and bool(gouged - {"none"})
    backing = _backing(facts, lines) if is_groove and not double else ""
    contour = facts["contour"]
    return Symbol(
        kind,
        double=double,
        size=_fillet_size(words, is_iso)
        if not is_groove
        else ("" if double or is_iso or kind == "square" else depth),
        gap="" if not is_groove else words["root_opening"],
        angle="" if straight else words["groove_angle"],
        backing=backing,
        back_weld=is_groove
        and not double
        and not backing
        and (back or _says(lines, "backing", "weld_metal")),
        all_around=facts.is_only("product_form", "pipe"),
        is_iso=is_iso,
        melt_through=is_groove and melts and not double and not backing,
        insert=is_groove and _says(lines, "consumable_insert", "yes"),
        field=facts.is_only("field_weld", "yes"),
        contour=next(iter(contour)) if isinstance(contour, frozenset) and len(contour) == 1 else "",
        finish="" if is_iso else _finish(facts),
        over=(f"z{words['fillet_over_groove']}" if is_iso else words["fillet_over_groove"])
        if is_groove and words["fillet_over_groove"]
        else "",
    )


def _fillet_size(words: Mapping[str, str], is_iso: bool) -> str:
    """AWS writes the leg; ISO the throat as `a` and the leg as `z`."""
    if not is_iso:
        return words["fillet_size"]
    told = (("a", words.get("throat", "")), ("z", words["fillet_size"]))
    return " ".join(f"{letter}{number}" for letter, number in told if number)


def _backing(facts: Facts, lines: Sequence[Facts]) -> str:
    if _says(lines, "backing", "metal"):
        return PERMANENT
    if _says(lines, "backing", "flux") or "used" in facts.choices("retainer"):
        return REMOVED
    return ""


def _finish(facts: Facts) -> str:
    return FINISH.get(facts.choice("contour_finish") or "", "")


def _says(lines: Sequence[Facts], key: str, choice: str) -> bool:
    return any(choice in line.choices(key) for line in lines)
