"""Checks on macro sections, broken fillets and visual examinations (in ASME IX: QW-182 to QW-184, QW-194)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..results import Fracture, Hardness, Macro, Visual
from .check import AcceptanceCheck, CheckAnswer, ResultMark, Surroundings, at_most, yes_no_check

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


def _root_flaw(row: CheckRow, result: Macro, around: Surroundings) -> CheckAnswer:
    assert row.most is not None
    return at_most(
        "root_flaw",
        result.root_flaw,
        row.most.of(around.system),
        "The longest linear flaw at the root",
        "the longest linear flaw at the root, 0 for none",
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
        return CheckAnswer(
            ResultMark.INCOMPLETE, "State whether the specimen bent flat or broke.", "bent_flat"
        )
    if result.bent_flat:
        return CheckAnswer(ResultMark.PASSED, "It bent flat without breaking.", "bent_flat")
    for field, bad in (
        ("cracks", "The broken face shows a crack."),
        ("incomplete_root_fusion", "The root is not fused all along."),
    ):
        value = getattr(result, field)
        if value is None:
            asked = "cracks" if field == "cracks" else "incomplete root fusion"
            return CheckAnswer(ResultMark.INCOMPLETE, f"State whether the broken face shows {asked}.", field)
        if value:
            return CheckAnswer(ResultMark.FAILED, bad, field)
    return CheckAnswer(ResultMark.PASSED, "It broke without cracks and fused to the root.", "cracks")


def _flaw_sum(row: CheckRow, result: Fracture, around: Surroundings) -> CheckAnswer | None:
    assert row.most is not None
    if result.bent_flat is not False:
        return None
    return at_most(
        "flaws",
        result.flaw_sum,
        row.most.of(around.system),
        "The inclusions and pores on the broken face add up to a length that",
        "the length of each inclusion and pore on the broken face, or none",
        around,
    )


def _flaw_share(row: CheckRow, result: Fracture, around: Surroundings) -> CheckAnswer | None:
    assert row.share is not None
    if result.bent_flat is not False:
        return None
    if result.section_length is None:
        return CheckAnswer(
            ResultMark.INCOMPLETE, "State the length of the quarter section.", "section_length"
        )
    return at_most(
        "flaws",
        result.flaw_sum,
        row.share * result.section_length,
        "The inclusions and pores on the broken face add up to a length that",
        "the length of each inclusion and pore on the broken face, or none",
        around,
    )


def _undercut(row: CheckRow, result: Visual, around: Surroundings) -> CheckAnswer:
    assert row.most is not None
    return at_most(
        "undercut",
        result.undercut,
        row.most.of(around.system),
        "The deepest undercut",
        "the depth of the undercut, 0 for none",
        around,
    )


def _reinforcement(row: CheckRow, result: Visual, around: Surroundings) -> CheckAnswer:
    assert row.most is not None
    return at_most(
        "reinforcement",
        result.reinforcement,
        row.most.of(around.system),
        "The reinforcement",
        "the height of the reinforcement",
        around,
    )


def _hardness(row: CheckRow, result: Hardness, around: Surroundings) -> CheckAnswer:
    assert row.hardest is not None
    if result.highest is None:
        return CheckAnswer(ResultMark.INCOMPLETE, "State the hardness of the hardest indent.", "highest")
    found, limit = f"{result.highest:f} HV10", f"{row.hardest} HV10"
    if result.highest > row.hardest:
        return CheckAnswer(
            ResultMark.FAILED, f"The hardest indent is {found}, more than {limit}.", "highest", found, limit
        )
    return CheckAnswer(
        ResultMark.PASSED, f"The hardest indent is {found}; {limit} is allowed.", "highest", found, limit
    )


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
    "undercut": AcceptanceCheck(_undercut, ("most",)),
    "reinforcement": AcceptanceCheck(_reinforcement, ("most",)),
    "leg_difference": AcceptanceCheck(_leg_difference, ("most",)),
    "root_flaw": AcceptanceCheck(_root_flaw, ("most",)),
    "hardness": AcceptanceCheck(_hardness, ("hardest",)),
    "profile": AcceptanceCheck(_profile, ("most",)),
    "broken_face": AcceptanceCheck(_broken_face),
    "flaw_sum": AcceptanceCheck(_flaw_sum, ("most",)),
    "flaw_share": AcceptanceCheck(_flaw_share, ("share",)),
}
