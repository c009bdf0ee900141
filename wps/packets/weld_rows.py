"""The weld list of a packet: its first table, a row for each weld of the job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wps.packets.evidence import Person, WeldEvidence

OPEN = "—"
NAMED = 3
"""Welders named of those who may make a weld that nobody is assigned to."""


@dataclass(frozen=True)
class WeldRow:
    """One weld as printed; each cell is a list of lines, the first one in strong type where it matters."""

    mark: str
    detail: str
    drawing: str
    title: str
    what: str
    procedure: str
    tests: str
    welders: tuple[str, ...]
    lots: str
    welded_on: str
    visual: str
    other_tests: tuple[str, ...]
    state: str
    remarks: tuple[str, ...]


def weld_rows(welds: Sequence[WeldEvidence], units: str = "") -> list[WeldRow]:
    """A row for each weld, sizes in the units asked for, else in the weld's own."""
    return [_row(each, units) for each in welds]


def _row(weld: WeldEvidence, units: str) -> WeldRow:
    standing, part = weld.standing, weld.part
    welded, visual = standing.welded, standing.visual
    return WeldRow(
        mark=part.mark,
        detail=part.detail.number if part.detail else "",
        drawing=" rev ".join(each for each in (part.drawing, part.drawing_revision) if each) or OPEN,
        title=part.title,
        what=weld.what(units),
        procedure=weld.procedure or "none",
        tests=f"on {', '.join(test.number for test in weld.tests)}" if weld.tests else _without_test(weld),
        welders=_welders(weld),
        lots="; ".join(
            [*(lot.number for lot in standing.lots), *([welded.gas] if welded and welded.gas else [])]
        ),
        welded_on=welded.done_on.isoformat() if welded else OPEN,
        visual=f"{visual.get_result_display()} {visual.done_on}, {visual.by_name}".rstrip(", ")
        if visual
        else OPEN,
        other_tests=tuple(
            [
                f"{each.method} {each.get_result_display().lower()} {each.done_on}"
                + (f", {each.report}" if each.report else "")
                for each in standing.nde
            ]
            or [f"{method} requested" for method in standing.nde_open]
        ),
        state=standing.words,
        remarks=tuple(_remarks(weld)),
    )


def _without_test(weld: WeldEvidence) -> str:
    return "needs no test" if weld.spec is not None and weld.spec.prequalified else ""


def _welders(weld: WeldEvidence) -> tuple[str, ...]:
    """Who welded it or is assigned to it; where nobody is, who may."""
    if weld.standing.welded is not None or weld.part.welder_id is not None:
        return tuple(_person(each) for each in weld.people)
    said = [f"May: {_person(each)}" for each in weld.people[:NAMED]]
    more = len(weld.people) - NAMED
    return (*said, f"and {more} more") if more > 0 else tuple(said)


def _person(person: Person) -> str:
    until = f", to {person.until}" if person.until else ""
    tests = f", {', '.join(person.tests)}" if person.tests else ""
    not_qualified = "" if person.may else ", not qualified for all of it"
    return f"{person.welder.stamp} {person.welder.name}{tests}{until}{not_qualified}"


def _remarks(weld: WeldEvidence) -> list[str]:
    standing = weld.standing
    fit_up = standing.fit_up
    said = [weld.open] if weld.open else []
    said += [f"Fit-up {fit_up.by_name} {fit_up.done_on}"] if fit_up else []
    said += [f"{standing.cycles} repair{'' if standing.cycles == 1 else 's'}"] if standing.cycles else []
    said += [each["reason"] for each in standing.part.despite.values()]
    said += [event.reason for event in standing.events if event.reason]
    return list(dict.fromkeys(said))
