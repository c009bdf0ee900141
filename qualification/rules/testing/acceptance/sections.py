"""Checks on macro sections, broken fillets and visual examinations (in ASME IX: QW-182 to QW-184, QW-194)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..results import Fracture, Hardness, Macro
from .check import (
    AcceptanceCheck,
    CheckAnswer,
    Surroundings,
    at_most,
    failed,
    incomplete,
    length_check,
    passed,
    yes_no_check,
)

if TYPE_CHECKING:
    from ..specimen_rows import CheckRow


def _leg_difference(row: CheckRow, result: Macro, around: Surroundings) -> CheckAnswer:
    assert row.most is not None
    return at_most(
        "leg_a" if result.leg_a is None else "leg_b",
        result.leg_difference,
        row.most.of(around.system),
        "The difference between the legs",
        "both legs of the fillet",
        around,
    )


def _profile(row: CheckRow, result: Macro, around: Surroundings) -> CheckAnswer:
    assert row.most is not None
    deeper = "concavity" if (result.concavity or 0) > (result.convexity or 0) else "convexity"
    return at_most(
        deeper,
        result.profile,
        row.most.of(around.system),
        f"The {deeper}",
        "the concavity or the convexity, 0 for a flat face",
        around,
    )


def _broken_face(row: CheckRow, result: Fracture, around: Surroundings) -> CheckAnswer:
    """A fillet that bent flat passes; one that broke shows neither cracks nor a root left unfused."""
    if result.bent_flat is None:
        return incomplete("State whether the specimen bent flat or broke.", "bent_flat")
    if result.bent_flat:
        return passed("It bent flat without breaking.", "bent_flat")
    for field, bad in (
        ("cracks", "The broken face shows a crack."),
        ("incomplete_root_fusion", "The root is not fused all along."),
    ):
        value = getattr(result, field)
        if value is None:
            asked = "cracks" if field == "cracks" else "incomplete root fusion"
            return incomplete(f"State whether the broken face shows {asked}.", field)
        if value:
            return failed(bad, field)
    return passed("It broke without cracks and fused to the root.", "cracks")


def _flaw_sum(row: CheckRow, result: Fracture, around: Surroundings) -> CheckAnswer | None:
    """Against a length, or against a share of the length of the quarter section."""
    if result.bent_flat is not False:
        return None
    if row.most is not None:
        limit = row.most.of(around.system)
    elif result.section_length is None:
        return incomplete("State the length of the quarter section.", "section_length")
    else:
        assert row.share is not None
        limit = row.share * result.section_length
    return at_most(
        "flaws",
        result.flaw_sum,
        limit,
        "The inclusions and pores on the broken face add up to a length that",
        "the length of each inclusion and pore on the broken face, or none",
        around,
    )


def _hardness(row: CheckRow, result: Hardness, around: Surroundings) -> CheckAnswer:
    assert row.hardest is not None
    if result.highest is None:
        return incomplete("State the hardness of the hardest indent.", "highest")
    found, limit = f"{result.highest:f} HV10", f"{row.hardest} HV10"
    if result.highest > row.hardest:
        return failed(f"The hardest indent is {found}, more than {limit}.", "highest", found, limit)
    return passed(f"The hardest indent is {found}; {limit} is allowed.", "highest", found, limit)


SECTION_CHECKS: Mapping[str, AcceptanceCheck] = {
    "no_cracks": yes_no_check("cracks", False, "It shows a crack.", "whether there are cracks"),
    "complete_fusion": yes_no_check(
        "complete_fusion", True, "Fusion is not complete.", "whether fusion is complete"
    ),
    "complete_penetration": yes_no_check(
        "complete_penetration", True, "Penetration is not complete.", "whether joint penetration is complete"
    ),
    "craters_filled": yes_no_check(
        "craters_filled", True, "A crater is not filled.", "whether all craters are filled"
    ),
    "undercut": length_check("undercut", "The deepest undercut", "the depth of the undercut, 0 for none"),
    "reinforcement": length_check("reinforcement", "The reinforcement", "the height of the reinforcement"),
    "leg_difference": AcceptanceCheck(_leg_difference, ("most",)),
    "root_flaw": length_check(
        "root_flaw", "The longest linear flaw at the root", "the longest linear flaw at the root, 0 for none"
    ),
    "hardness": AcceptanceCheck(_hardness, ("hardest",)),
    "profile": AcceptanceCheck(_profile, ("most",)),
    "broken_face": AcceptanceCheck(_broken_face),
    "flaw_sum": AcceptanceCheck(_flaw_sum, ("most",)),
    "flaw_share": AcceptanceCheck(_flaw_sum, ("share",)),
}
