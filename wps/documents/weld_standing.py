"""How each weld of a job stands by its log, how far the job is, and which welds somebody means."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from wps.models import Job, Lot, Part, Result, Step, WeldEvent

HEADS = (
    "Mark", "Detail", "Welder", "WPS", "Lots", "Gas", "Fit-up", "Visual", "NDE", "Repairs", "Welded on",
    "Stands", "Exceptions",
)  # fmt: skip
_RANGE = re.compile(r"(.*?)(?<!\d)(\d++)\s*(?:-|–|to)\s*+(.*?)(?<!\d)(\d++)")


@dataclass
class WeldStatus:
    """How one weld stands by its log."""

    part: Part
    events: list[WeldEvent] = field(default_factory=list)
    """Those that are not struck, in order."""

    def last(self, *steps: str) -> WeldEvent | None:
        return next((each for each in reversed(self.events) if each.step in steps), None)

    @property
    def welded(self) -> WeldEvent | None:
        return self.last(Step.WELDED)

    @property
    def fit_up(self) -> WeldEvent | None:
        return self.last(Step.FIT_UP)

    @property
    def visual(self) -> WeldEvent | None:
        """The last visual, unless it was repaired since."""
        return self._since_repair(self.last(Step.VISUAL))

    @property
    def cycles(self) -> int:
        """Repairs so far."""
        return sum(each.step == Step.REPAIR for each in self.events)

    @property
    def open_rejection(self) -> WeldEvent | None:
        """What was rejected and not repaired since."""
        found = None
        for each in self.events:
            if each.result == Result.REJECTED:
                found = each
            elif each.step == Step.REPAIR:
                found = None
        return found

    @property
    def nde_open(self) -> list[str]:
        """Methods requested and not accepted since; a repair asks for them again."""
        found: dict[str, bool] = {}
        for each in self.events:
            if each.step == Step.NDE_ASKED:
                found[each.method] = True
            elif each.step == Step.NDE and each.result == Result.ACCEPTED:
                found[each.method] = False
            elif each.step == Step.REPAIR:
                found = dict.fromkeys(found, True)
        return [method for method, is_open in found.items() if is_open]

    @property
    def nde(self) -> list[WeldEvent]:
        return [each for each in self.events if each.step == Step.NDE]

    @property
    def lots(self) -> list[Lot]:
        """Every lot in it, each once."""
        found = {lot.pk: lot for each in self.events for lot in each.lots.all()}
        return list(found.values())

    @property
    def is_complete(self) -> bool:
        return self.key == "complete"

    @property
    def key(self) -> str:
        if self.welded is None:
            return "open"
        if self.open_rejection is not None:
            return "repair"
        if self.visual is None:
            return "visual"
        return "nde" if self.nde_open else "complete"

    @property
    def words(self) -> str:
        return WORDS[self.key]

    @property
    def verdict(self) -> str:
        return {"complete": "covered", "repair": "not_covered"}.get(self.key, "unknown")

    def _since_repair(self, event: WeldEvent | None) -> WeldEvent | None:
        repair = self.last(Step.REPAIR)
        if event is None or repair is None:
            return event
        return event if self.events.index(event) > self.events.index(repair) else None


WORDS = {
    "open": "Not welded",
    "repair": "Repair open",
    "visual": "Waiting for visual",
    "nde": "Waiting for NDE",
    "complete": "Complete",
}


def standings_of_job(job: Job, parts: Iterable[Part] | None = None) -> list[WeldStatus]:
    """How each weld of the job stands: three queries, however many welds."""
    listed = list(job.parts.select_related("detail", "welder").order_by("mark") if parts is None else parts)
    found = {part.pk: WeldStatus(part) for part in listed}
    events = (
        WeldEvent.objects.filter(part__job=job, struck_because="")
        .select_related("welder")
        .prefetch_related("lots")
    )
    for event in events:
        if event.part_id in found:
            event.part = found[event.part_id].part
            found[event.part_id].events.append(event)
    return list(found.values())


def row_of(standing: WeldStatus) -> list[str]:
    """One weld as its row on file and paper."""
    welded, fit_up, visual = standing.welded, standing.fit_up, standing.visual
    exceptions = [said["reason"] for said in standing.part.despite.values()]
    exceptions += [event.reason for event in standing.events if event.reason]
    return [
        standing.part.mark,
        standing.part.detail.number if standing.part.detail else "",
        welded.welder.stamp if welded and welded.welder else "",
        welded.spec_reference if welded else standing.part.spec_number,
        "; ".join(lot.number for lot in standing.lots),
        welded.gas if welded else "",
        f"{fit_up.by_name} {fit_up.done_on}" if fit_up else "",
        f"{visual.by_name} {visual.done_on} {visual.get_result_display()}" if visual else "",
        "; ".join(f"{each.method} {each.done_on} {each.get_result_display()}" for each in standing.nde)
        or "; ".join(f"{method} requested" for method in standing.nde_open),
        str(standing.cycles) if standing.cycles else "",
        welded.done_on.isoformat() if welded else "",
        standing.words,
        "; ".join(dict.fromkeys(exceptions)),
    ]


@dataclass(frozen=True)
class Progress:
    """How far a job is, counted in pieces."""

    total: int
    welded: int
    visual: int
    complete: int
    repairs_open: int
    repairs_done: int
    nde_asked: int
    nde_done: int
    lots: int

    @property
    def percent(self) -> int:
        return 100 * self.complete // self.total if self.total else 0


def progress(standings: Sequence[WeldStatus]) -> Progress:
    def pieces(among: Iterable[WeldStatus]) -> int:
        return sum(each.part.quantity for each in among)

    asked = [each for each in standings if any(e.step == Step.NDE_ASKED for e in each.events)]
    return Progress(
        pieces(standings),
        pieces(s for s in standings if s.welded is not None),
        pieces(s for s in standings if s.visual is not None and s.visual.result == Result.ACCEPTED),
        pieces(s for s in standings if s.is_complete),
        sum(s.open_rejection is not None for s in standings),
        sum(s.cycles for s in standings),
        len(asked),
        sum(not each.nde_open for each in asked),
        len({lot.pk for s in standings for lot in s.lots}),
    )


def marks_in(typed: str, known: Sequence[str]) -> tuple[list[str], list[str]]:
    """The marks that are typed, singly or as ranges (`0413-0420`), in the order of the job; and what is not a
    mark of it. A range takes every mark of the job between its ends."""
    by_name = {mark.casefold(): mark for mark in known}
    found: dict[str, None] = {}
    wrong = []
    for piece in (each.strip() for each in re.split(r"[,;\n]+", typed)):
        if not piece:
            continue
        if piece.casefold() in by_name:
            found[by_name[piece.casefold()]] = None
            continue
        between = _between(piece, known)
        singles = [by_name.get(each.casefold()) for each in piece.split()]
        if between:
            found |= dict.fromkeys(between)
        elif len(singles) > 1 and all(singles):
            found |= dict.fromkeys(each for each in singles if each)
        else:
            wrong.append(piece)
    return [mark for mark in known if mark in found], wrong


def _between(piece: str, known: Sequence[str]) -> list[str]:
    ends = _RANGE.fullmatch(piece)
    if ends is None or (ends[3] and ends[3].strip().casefold() != ends[1].casefold()):
        return []
    first, last = int(ends[2]), int(ends[4])
    shape = re.compile(re.escape(ends[1]) + r"(\d+)", re.IGNORECASE)
    numbers = ((mark, shape.fullmatch(mark)) for mark in known)
    return [mark for mark, number in numbers if number is not None and first <= int(number[1]) <= last]
