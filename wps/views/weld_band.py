"""What the page of a weld says first: its verdict by procedure and welder, and who and what would do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from qualification.rules.core.findings import Verdict
from qualification.welders.ranking import WelderPlace
from wps.jobs.board import WeldPage
from wps.jobs.part_view import PartView
from wps.models import Part


@dataclass(frozen=True)
class Band:
    """The verdict in a shape and words, and sentences below it."""

    verdict: str
    words: str
    notes: tuple[str, ...]


def band_of(part: Part, page: WeldPage, place: WelderPlace | None) -> Band:
    """The worse of what the chosen procedure and the assigned welder come to; `place` is the welder's, `None`
    where nobody is assigned or the one who is has left."""
    verdict, words = _by_procedure(part, page.view)
    notes = []
    if part.welder is not None and (place is None or not place.may):
        why = "is no longer active" if place is None else "may not weld it today"
        of_welder = Verdict.NOT_COVERED if place is None else place.verdict
        verdict = max(verdict, of_welder)
        words = f"{part.welder} {why}. {words}"
    elif part.welder is not None:
        notes.append(f"Assigned to {part.welder}, who may weld it today.")
    if page.welders:
        notes.append(f"{page.may} of {page.welders} welders may weld it today.")
    return Band(verdict.key, words, tuple(notes))


def _by_procedure(part: Part, view: PartView) -> tuple[Verdict, str]:
    if view.chosen is not None:
        return view.chosen.verdict, view.chosen.sentence
    if view.chosen_is_gone:
        return (
            Verdict.NOT_COVERED,
            f"{part.spec_number} has no approved revision; choose another procedure.",
        )
    would = _covering(view)
    said = f"{would} would cover it." if would else "None on file covers it."
    return Verdict.UNKNOWN, f"No procedure is chosen. {said}"


def _covering(view: PartView) -> int:
    return sum(verdict <= Verdict.COVERED for verdict, _ in view.ranked)


def fitting(page: WeldPage) -> dict[str, Any]:
    """The procedures that cover the weld, of those whose reasons are shown, how many there are of each, and
    how many welders may make it."""
    view = page.view
    covered = _covering(view)
    return {
        "who_says": f"{page.may} of {page.welders} may today",
        "covering": [fit for fit in view.fits if fit.verdict <= Verdict.COVERED],
        "covered_count": covered,
        "others_count": len(view.ranked) - covered,
    }
