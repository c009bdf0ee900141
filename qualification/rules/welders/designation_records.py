"""From a designation string to the entries of a welder test, and from a coupon's facts to its strings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts, Weld
from ..core.values import Interval
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
    TRANSFERS,
    Designation,
    plain,
)

NAMES: dict[str, dict[str, str]] = {
    "111": {"process": "SMAW", "operation": "manual"},
    "114": {"process": "FCAW", "operation": "semiautomatic", "shielding_gas": "none"},
    "121": {"process": "SAW", "operation": "semiautomatic"},
    "125": {"process": "SAW", "operation": "semiautomatic"},
    **{number: {"process": "GMAW", "operation": "semiautomatic"} for number in ("131", "133", "135", "138")},
    **{number: {"process": "FCAW", "operation": "semiautomatic"} for number in ("132", "136")},
    **{number: {"process": "GTAW", "filler_used": "yes"} for number in ("141", "143", "145")},
    "142": {"process": "GTAW", "filler_used": "no"},
}
"""What a process number says by itself; the mixture of the gas it does not say."""
TESTED: dict[tuple[str, str], tuple[str, str]] = {
    ("BW", "PA"): ("1G", ""),
    ("BW", "PC"): ("2G", ""),
    ("BW", "PE"): ("4G", ""),
    ("BW", "PF"): ("3G", "up"),
    ("BW", "PG"): ("3G", "down"),
    ("BW", "PH"): ("5G", "up"),
    ("BW", "PJ"): ("5G", "down"),
    ("BW", "H-L045"): ("6G", "up"),
    ("BW", "J-L045"): ("6G", "down"),
    ("FW", "PA"): ("1F", ""),
    ("FW", "PB"): ("2F", ""),
    ("FW", "PD"): ("4F", ""),
    ("FW", "PF"): ("3F", "up"),
    ("FW", "PG"): ("3F", "down"),
    ("FW", "PH"): ("5F", "up"),
    ("FW", "PJ"): ("5F", "down"),
}
"""Test position and progression of a coupon by kind of weld and ISO position."""
BACKING = {"ss nb": "none", "ss gb": "none", "ss mb": "metal", "ss fb": "flux", "bs": "both_sides"}
WELDS, PRODUCTS = {"BW": "groove", "FW": "fillet"}, {"P": "plate", "T": "pipe"}


@dataclass(frozen=True)
class Started:
    """Entries to begin a welder test with, by registry keys, and what the string leaves to be stated."""

    joint: Mapping[str, str]
    line: Mapping[str, str]
    to_state: tuple[str, ...]


@dataclass(frozen=True)
class Written:
    """The designations of a coupon, one for each process line and position, or what they want for."""

    texts: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    """Variables that have to be stated before every line has its string."""


def entries(read: Designation) -> Started:
    """What the string says, as entries of a welder test. Nothing is added to it."""
    tested, progression = TESTED[read.weld, read.position]
    millimetres = f"{plain(read.thickness)} mm"
    joint = {"weld_type": WELDS[read.weld], "product_form": PRODUCTS[read.product], "test_position": tested}
    line = {**NAMES[read.process], **_filler(read)}
    if read.thickness_of == "t":
        joint |= {"thickness_a": millimetres, "thickness_b": "same"}
    if read.weld == "BW":
        line |= {"deposit_thickness": millimetres, "backing": BACKING[read.details]}
    if read.diameter is not None:
        joint["diameter"] = f"{plain(read.diameter)} mm"
    if progression:
        line["progression"] = progression
    gassed = line["process"] in registry()["backing_gas"].processes
    if read.details == "ss nb" and gassed:
        line["backing_gas"] = "none"
    if read.details == "sl":
        line["layers"] = "1"
    if read.transfer:
        line["transfer_mode"] = TRANSFERS[read.transfer]
    of_steel = read.standard == STEEL and line["process"] == "GMAW"
    to_state = [
        *(["shielding_gas"] if gassed and "shielding_gas" not in line else []),
        *(["backing_gas"] if read.details == "ss gb" else []),
        *(["layers"] if read.details == "ml" else []),
        *(["base_metal_a", "base_metal_b"] if read.standard == ALUMINIUM else []),
        *(["operation"] if "operation" not in line else []),
        *(["transfer_mode"] if of_steel and not read.transfer else []),
        *(["current_type"] if read.standard == ALUMINIUM and line["process"] == "GTAW" else []),
    ]
    return Started(joint, line, tuple(to_state))


def _filler(read: Designation) -> dict[str, str]:
    found = {"filler_group": read.group} if read.standard == STEEL and read.filler != "nm" else {}
    if read.process in ("111", *CORED):
        return {
            **found,
            "covering_type": read.filler,
            **({} if read.process == "111" else {"filler_form": "flux_cored"}),
        }
    form = {"S": "solid", "M": "metal_cored"}.get(read.filler)
    return {**found, "filler_form": form} if form else found


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
        positions = facts["iso_position"]
        if not wanting and isinstance(positions, frozenset):
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
    butt = facts["weld_type"] == frozenset({"groove"})
    wanted += ["weld_details", "deposit_thickness"] if butt else ["layering", "thickness_thinner"]
    wanted += ["diameter"] if facts["product_form"] == frozenset({"pipe"}) else []
    if code == ALUMINIUM:
        wanted.append("iso_groups")
    elif facts["filler_used"] != frozenset({"no"}):
        wanted.append("filler_group")
        wanted += ["covering_type"] if facts["process"] in (frozenset({"SMAW"}), frozenset({"FCAW"})) else []
    missing = [key for key in wanted if not facts.given(key)]
    return [own for key in missing for own in SAYS.get(key, (key,)) if own == key or not facts.given(own)]


def _of(facts: Facts, code: str, position: str) -> Designation | None:
    weld = {v: k for k, v in WELDS.items()}[facts.choice("weld_type") or ""]
    product = {v: k for k, v in PRODUCTS.items()}[facts.choice("product_form") or ""]
    process = facts.choice("iso_process") or ""
    details = facts.choice("weld_details" if weld == "BW" else "layering") or ""
    of, thickness = _thickness(facts, code, weld)
    found_group, filler = _group(facts, code), _filler_type(facts, process)
    diameter = facts["diameter"]
    known = process in PROCESSES[code] and position in POSITIONS[weld, product]
    if not known or not details or not found_group or not filler or thickness is None:
        return None
    across = _written(diameter.low) if product == "T" and isinstance(diameter, Interval) else None
    return Designation(
        code, process, product, weld, found_group, filler, of, thickness, across, position, details
    )


HUNDREDTH, TENTH = Decimal("0.01"), Decimal("0.1")


def _thickness(facts: Facts, code: str, weld: str) -> tuple[str, Decimal | None]:
    """`s` for a butt weld in steel, else `t`; of a process in a butt weld its own deposit."""
    value = facts["deposit_thickness" if weld == "BW" else "thickness_thinner"]
    return "s" if weld == "BW" and code == STEEL else "t", _written(value.low) if isinstance(
        value, Interval
    ) and value.is_point else None


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
    groups = facts["iso_groups"]
    if not isinstance(groups, frozenset) or UNASSIGNED in groups:
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
