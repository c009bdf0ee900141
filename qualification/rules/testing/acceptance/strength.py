"""Checks on tension tests, guided bends and impact sets (in ASME IX: QW-151, QW-153, QW-162, QW-163,
QW-171).

Strength is compared unrounded, in the unit system the record is kept in, and shown rounded down (to 1 psi
or 0.1 MPa): rounding up could let a specimen below its minimum pass, or make a failed one read like a
passed one.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_DOWN, Decimal
from typing import TYPE_CHECKING

from ...core.quantities import US, show
from ..results import Bend, Broke, Cladding, Impact, SpecimenForm, Tension
from ..strength import NoMinimum
from .check import (
    AcceptanceCheck,
    CheckAnswer,
    ResultMark,
    Surroundings,
    failed,
    incomplete,
    not_counted,
    passed,
    yes_no_check,
)

if TYPE_CHECKING:
    from ..specimen_rows import CheckRow


def show_strength(value: Decimal, system: str) -> str:
    """A strength in psi or MPa, rounded down for reading."""
    if system == US:
        return f"{value.quantize(Decimal(1), ROUND_DOWN):f} psi"
    return f"{value.quantize(Decimal('0.1'), ROUND_DOWN):f}".removesuffix(".0") + " MPa"


def _strength(row: CheckRow, result: Tension, around: Surroundings) -> CheckAnswer:
    """Highest load over cross-section against the minimum of the weaker base metal."""
    missing = [name for name in (*result.dimensions, "load") if getattr(result, name) is None]
    if missing and result.stated_strength is None:
        return incomplete(
            f"State the {missing[0] if missing[0] != 'load' else 'highest load'} of the specimen.", missing[0]
        )
    strength = result.strength(around.system)
    if strength is None:
        return incomplete("The measurements leave no cross-section; correct them.", result.dimensions[0])
    if isinstance(around.minimum, NoMinimum):
        found = show_strength(strength, around.system)
        return incomplete(
            f"Its strength is {found}, but nothing says what is asked. {around.minimum.reason}", "load", found
        )
    least = around.minimum.strength * (row.share if row.share is not None else 1)
    found, asked = show_strength(strength, around.system), show_strength(least, around.system)
    because = (
        around.minimum.words
        if row.share is None
        else f"{row.share:f} times the minimum of {around.minimum.words}"
    )
    if strength >= least:
        return passed(
            f"Its strength is {found}; at least {asked} is asked ({because}).", "load", found, asked
        )
    return _short_of_minimum(strength, least, result, around, found, because)


def _short_of_minimum(
    strength: Decimal, least: Decimal, result: Tension, around: Surroundings, found: str, because: str
) -> CheckAnswer:
    """Below the minimum: only a break in the base metal may fall a little short."""
    asked = show_strength(least, around.system)
    if around.relief is None or around.relief.share is None or strength < around.relief.share * least:
        return failed(f"Its strength is {found}, below {asked} ({because}).", "load", found, asked)
    allowed = show_strength(around.relief.share * least, around.system)
    if result.broke is Broke.BASE_METAL:
        return passed(
            f"Its strength is {found}; it broke in the base metal, where {allowed} is enough "
            f"for a minimum of {asked} ({because}).",
            "load",
            found,
            allowed,
            relieved=True,
        )
    if result.broke is Broke.UNKNOWN:
        return incomplete(
            f"Its strength is {found}, below {asked} ({because}). "
            f"State where it broke: in the base metal, {allowed} is enough.",
            "broke",
            found,
            asked,
        )
    return failed(
        f"Its strength is {found}, below {asked} ({because}); "
        f"{allowed} is enough only for a break in the base metal, and it broke "
        f"{result.broke.words}.",
        "load",
        found,
        asked,
    )


def _cladding_kept(row: CheckRow, result: Tension, around: Surroundings) -> CheckAnswer | None:
    clad = any(
        str(metal).startswith("Alclad ")
        for side in "ab"
        for metal in around.joint.choices(f"base_metal_{side}")
    )
    if clad and result.cladding is Cladding.NONE:
        return incomplete("The base metal is clad; state whether the cladding was left on.", "cladding")
    if result.cladding is not Cladding.REMOVED:
        return None
    return not_counted(
        "Its cladding was removed; at this thickness the minimum is for the full thickness with cladding.",
        "cladding",
    )


def _one_piece(row: CheckRow, result: Tension | Bend, around: Surroundings) -> CheckAnswer | None:
    if not result.strip_of:
        return None
    return not_counted(
        "It is one strip of several; at this thickness the specimen is of the full thickness.", "strip_of"
    )


def _no_full_section(row: CheckRow, result: Tension, around: Surroundings) -> CheckAnswer | None:
    if result.form is not SpecimenForm.FULL_SECTION:
        return None
    return not_counted(
        "A pipe of this diameter is not pulled as a full section; cut reduced sections from it.", "form"
    )


def _opening(row: CheckRow, result: Bend, around: Surroundings) -> CheckAnswer:
    """Openings on the convex face; those at corners count when they come from an internal flaw."""
    assert row.most is not None
    most = row.most.of(around.system)
    if result.broken:
        return failed("It broke before it was bent through.", "broken")
    if result.broken is None:
        return incomplete("State whether the specimen broke.", "broken")
    counted = [o for o in result.openings if not o.corner or o.cause.internal]
    ignored = len(result.openings) - len(counted)
    aside = (
        f" Openings at corners without an internal flaw are left out of account ({ignored})."
        if ignored
        else ""
    )
    longest = max((o.length for o in counted), default=Decimal(0))
    found, limit = around.length(longest, most), around.length(most)
    if longest > most:
        return failed(f"It opened {found}, more than {limit}.{aside}", "openings", found, limit)
    said = f"Its longest opening is {found}; {limit} is allowed." if counted else "It did not open."
    return passed(said + aside, "openings", found, limit)


def _opening_sum(row: CheckRow, result: Bend, around: Surroundings) -> CheckAnswer | None:
    """Openings on the convex face longer than `least`, taken together."""
    assert row.most is not None
    assert row.least is not None
    if result.broken is not False:
        return None
    most, over = row.most.of(around.system), row.least.of(around.system)
    counted = [o.length for o in result.openings if (not o.corner or o.cause.internal) and o.length > over]
    total = sum(counted, Decimal(0))
    found, limit = around.length(total, most), around.length(most)
    if total > most:
        said = f"Openings longer than {around.length(over)} add up to {found}, more than {limit}."
        return failed(said, "openings", found, limit)
    return passed(
        f"Openings longer than {around.length(over)} add up to {found}; {limit} is allowed.",
        "openings",
        found,
        limit,
    )


def _corner_opening(row: CheckRow, result: Bend, around: Surroundings) -> CheckAnswer | None:
    """A long crack at a corner without an internal flaw says nothing of the weld: the specimen is
    replaced."""
    assert row.most is not None
    most = row.most.of(around.system)
    longest = max(
        (o.length for o in result.openings if o.corner and not o.cause.internal), default=Decimal(0)
    )
    if result.broken is not False or longest <= most:
        return None
    found, limit = around.length(longest, most), around.length(most)
    said = f"A corner opened {found}, more than {limit}, without an internal flaw. Replace the specimen."
    return not_counted(said, "openings", found, limit)


def _specimen_thickness(row: CheckRow, result: Bend, around: Surroundings) -> CheckAnswer | None:
    """The specimen is of the thickness its metals call for, within what a machinist holds."""
    assert row.most is not None
    if around.specimen is None:
        return None
    if result.thickness is None:
        return incomplete("State the thickness of the bend specimen.", "thickness")
    wanted = around.specimen.thickness
    if wanted is None:
        return incomplete(
            "The thickness the specimen should have cannot be told yet.",
            "thickness",
            around.length(result.thickness),
        )
    found, asked = around.length(result.thickness, wanted), around.length(wanted)
    if abs(result.thickness - wanted) > row.most.of(around.system):
        slack = around.length(row.most.of(around.system))
        return not_counted(
            f"The specimen is {found} thick; {asked}, give or take {slack}, is asked.",
            "thickness",
            found,
            asked,
        )
    return passed("", "thickness", found, asked)


def _former(row: CheckRow, result: Bend, around: Surroundings) -> CheckAnswer | None:
    """Not bent over a larger former than asked; a smaller one strains the specimen more, and stands."""
    if around.specimen is None:
        return None
    if result.former is None:
        return incomplete("State the diameter of the former.", "former")
    largest, asked = around.specimen.former_most, around.specimen.former
    if largest is None or asked is None:
        return incomplete("The former to be used cannot be told yet.", "former", around.length(result.former))
    found, limit = around.length(result.former, largest), around.length(largest)
    if result.former > (around.specimen.former_taken or largest):
        return not_counted(
            f"It was bent over a former of {found}; at most {limit} is asked.", "former", found, limit
        )
    rounded = "" if result.former <= largest else " Formers are compared to 0.1 mm, rounded half up."
    return passed(f"It was bent over {found}; at most {limit} is asked.{rounded}", "former", found, limit)


def _stated_minimum(row: CheckRow, result: Impact, around: Surroundings) -> CheckAnswer:
    average = result.average
    if average is None:
        return incomplete("State the energy of each specimen of the set.", "energies")
    found = show(average, "impact_energy", around.system)
    if result.minimum_average is None and result.minimum_single is None:
        return passed(
            f"Recorded: {found} on average. The referencing code says what is asked.", "energies", found
        )
    for value, least, what in (
        (average, result.minimum_average, "on average"),
        (min(result.energies), result.minimum_single, "at the lowest"),
    ):
        if least is not None and value < least:
            said, limit = (
                show(value, "impact_energy", around.system),
                show(least, "impact_energy", around.system),
            )
            return failed(
                f"The set took {said} {what}, less than the {limit} the record asks.", "energies", said, limit
            )
    return passed(f"The set took {found} on average, as the record asks.", "energies", found)


STRENGTH_CHECKS: Mapping[str, AcceptanceCheck] = {
    "strength": AcceptanceCheck(_strength, optional=("share",)),
    "base_metal_break": AcceptanceCheck(lambda row, result, around: None, ("share",)),
    "cladding_kept": AcceptanceCheck(_cladding_kept),
    "one_piece": AcceptanceCheck(_one_piece),
    "no_full_section": AcceptanceCheck(_no_full_section),
    "opening": AcceptanceCheck(_opening, ("most",)),
    "opening_sum": AcceptanceCheck(_opening_sum, ("most", "least")),
    "corner_opening": AcceptanceCheck(_corner_opening, ("most",)),
    "within_bend": yes_no_check(
        "weld_in_bend",
        True,
        "Weld and heat-affected zone are not wholly within the bent part.",
        "whether weld and heat-affected zone lie wholly within the bent part",
        ResultMark.NOT_COUNTED,
    ),
    "specimen_thickness": AcceptanceCheck(_specimen_thickness, ("most",)),
    "former": AcceptanceCheck(_former),
    "stated_minimum": AcceptanceCheck(_stated_minimum),
}
