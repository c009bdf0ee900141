"""From a coupon's facts to its designation strings."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts, Weld
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..variables.metal_systems import UNASSIGNED
from ..variables.registry import registry
from .designation import (
    ALUMINIUM,
    CORED,
    FILLER_TYPES,
    POSITIONS,
    PROCESSES,
    STANDARDS,
    STEEL,
    Designation,
)

WELDS, PRODUCTS = {"BW": "groove", "FW": "fillet"}, {"P": "plate", "T": "pipe"}


@dataclass(frozen=True)
class Written:
    """The designations of a coupon, one for each process line and position, or what they want for."""

    texts: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    """Variables that have to be stated before every line has its string."""


def written(weld: Weld, edition: Edition) -> Written | None:
    """The designations of a welder's coupon under `edition`; `None` for a code that has no such strings.

    A line in a process, position or detail the strings have no word for gets none.
    """
    if edition.code not in STANDARDS:
        return None
    whole = derive(group(weld, edition))
    texts: list[str] = []
    needs: list[str] = []
    for index in range(len(whole.lines)):
        facts = whole.line_facts(index)
        wanting = _wanting(facts, edition.code)
        needs += wanting
        if not wanting and (positions := facts.choices("iso_position")):
            order = [choice.key for choice in registry()["iso_position"].choices]
            found = [_of(facts, edition.code, position) for position in sorted(positions, key=order.index)]
            texts += [each.text for each in found if each is not None]
    return Written(tuple(dict.fromkeys(texts)), tuple(dict.fromkeys(needs)))


SAYS = {
    "iso_process": ("process", "shielding_gas", "filler_form", "filler_used"),
    "iso_position": ("test_position", "progression"),
    "weld_details": ("backing", "backing_gas"),
    "layering": ("layers",),
    "iso_groups": ("base_metal_a", "base_metal_b"),
    "thickness_thinner": ("thickness_a", "thickness_b"),
}
"""Variables a person states, by the derived one that follows from them."""


def _wanting(facts: Facts, code: str) -> list[str]:
    """Variables to be stated before the line has its string."""
    wanted = ["weld_type", "product_form", "iso_process", "iso_position"]
    butt = facts.is_only("weld_type", "groove")
    wanted += ["weld_details", "deposit_thickness"] if butt else ["layering", "thickness_thinner"]
    wanted += ["diameter"] if facts.is_only("product_form", "pipe") else []
    if code == ALUMINIUM:
        wanted.append("iso_groups")
    elif not facts.is_only("filler_used", "no"):
        wanted.append("filler_group")
        wanted += ["covering_type"] if facts.choice("process") in ("SMAW", "FCAW") else []
    missing = [key for key in wanted if not facts.given(key)]
    return [own for key in missing for own in SAYS.get(key, (key,)) if own == key or not facts.given(own)]


def _of(facts: Facts, code: str, position: str) -> Designation | None:
    weld = {v: k for k, v in WELDS.items()}[facts.choice("weld_type") or ""]
    product = {v: k for k, v in PRODUCTS.items()}[facts.choice("product_form") or ""]
    process = facts.choice("iso_process") or ""
    details = facts.choice("weld_details" if weld == "BW" else "layering") or ""
    of, thickness = _thickness(facts, code, weld)
    found_group, filler = _group(facts, code), _filler_type(facts, process)
    diameter = facts.interval("diameter")
    known = process in PROCESSES[code] and position in POSITIONS[weld, product]
    if not known or not details or not found_group or not filler or thickness is None:
        return None
    across = _written(diameter.low) if product == "T" and diameter else None
    return Designation(
        code, process, product, weld, found_group, filler, of, thickness, across, position, details
    )


HUNDREDTH, TENTH = Decimal("0.01"), Decimal("0.1")


def _thickness(facts: Facts, code: str, weld: str) -> tuple[str, Decimal | None]:
    """`s` for a butt weld in steel, else `t`; of a process in a butt weld its own deposit."""
    thickness = facts.number("deposit_thickness" if weld == "BW" else "thickness_thinner")
    return "s" if weld == "BW" and code == STEEL else "t", _written(thickness)


def _written(size: Decimal | None) -> Decimal | None:
    """Millimetres as a certificate has them: as stated, but for inches that come out with a tail of digits,
    which are given to the tenth (common practice). Ranges are worked out from the exact size, not from
    this."""
    if size is None or size == size.quantize(HUNDREDTH):
        return size
    return size.quantize(TENTH)


def _group(facts: Facts, code: str) -> str:
    if code == STEEL:
        return facts.choice("filler_group") or ""
    groups = facts.choices("iso_groups")
    if UNASSIGNED in groups:
        return ""
    return "/".join(sorted({each.split(".")[0] for each in groups}))


def _filler_type(facts: Facts, process: str) -> str:
    if process == "142":
        return "nm"
    said = (
        facts.choice("covering_type") or ""
        if process in ("111", *CORED)
        else {"solid": "S", "metal_cored": "M"}.get(facts.choice("filler_form") or "", "")
    )
    return said if said in FILLER_TYPES.get(process, ("S",)) else ""
