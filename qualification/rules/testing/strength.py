"""The tensile strength a coupon's specimens have to reach: the minimum of its weaker base metal.

The minimum comes from the edition's table of base metals. For a metal without a row there the record may
state the minimum its specification gives; a stated minimum never replaces one of the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts
from ..core.findings import Citation
from ..core.quantities import DIMENSIONS, US, from_canonical
from ..core.values import Interval
from ..materials.grouping import minimum_tensile
from ..tabular.edition import Edition
from ..variables.registry import registry


@dataclass(frozen=True)
class Minimum:
    strength: Decimal
    """In psi or MPa, whichever the record is kept in."""
    words: str
    """Which metal it is of, and where it comes from if not from the tables."""
    citation: Citation | None
    """`None` for a minimum stated on the record."""


@dataclass(frozen=True)
class NoMinimum:
    """Why no minimum can be named, in one sentence."""

    reason: str
    needs: tuple[str, ...] = ()
    """Variables that would have to be stated."""


def in_system(stress: Decimal, system: str) -> Decimal:
    """A stress held in MPa, in psi or MPa. Held values carry six places of a MPa, so a limit written in psi
    comes back within a hundredth of a psi of what was written, and is rounded to that."""
    if system != US:
        return stress
    return from_canonical(stress, DIMENSIONS["stress"].us, DIMENSIONS["stress"]).quantize(Decimal("0.01"))


def minimum_of(
    joint: Facts, edition: Edition, system: str, stated: Decimal | None = None
) -> Minimum | NoMinimum:
    """The lower of the two sides' minima. `stated` is the record's own, in MPa, for metals without a row."""
    sides = [_side(joint, side, edition, system, stated) for side in ("a", "b")]
    lacking = [side for side in sides if isinstance(side, NoMinimum)]
    if lacking:
        needs = tuple(dict.fromkeys(need for side in lacking for need in side.needs))
        return NoMinimum(" ".join(dict.fromkeys(side.reason for side in lacking)), needs)
    found = [side for side in sides if isinstance(side, Minimum)]
    if found[0].words == found[1].words:
        return found[0]
    weaker = min(found, key=lambda side: side.strength)
    return Minimum(weaker.strength, f"the weaker of the two, {weaker.words}", weaker.citation)


def _side(
    joint: Facts, side: str, edition: Edition, system: str, stated: Decimal | None
) -> Minimum | NoMinimum:
    metal = joint.choice(f"base_metal_{side}")
    if metal is None:
        label = registry()[f"base_metal_{side}"].label
        return NoMinimum(
            f"State one metal under {label.lower()}; the strength asked follows from it.",
            (f"base_metal_{side}",),
        )
    thickness, form = joint[f"thickness_{side}"], joint["product_form"]
    found = minimum_tensile(
        metal,
        edition,
        thickness if isinstance(thickness, Interval) else None,
        next(iter(form)) if isinstance(form, frozenset) and len(form) == 1 else "",
        system,
    )
    if found.strength is not None:
        return Minimum(in_system(found.strength, system), metal, found.citation)
    if found.needs:
        return NoMinimum(
            found.reason, tuple(f"thickness_{side}" if need == "thickness" else need for need in found.needs)
        )
    if stated is not None:
        return Minimum(in_system(stated, system), f"{metal}, minimum as stated on the record", None)
    return NoMinimum(
        f"{found.reason} State the minimum its specification gives, under “Particulars of the tests”."
    )
