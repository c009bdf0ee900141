"""What procedures and welders make of a weld of a job, as stored or as typed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cached_property
from typing import Any

from qualification.evidence.kept import AnswerCache
from qualification.models import Welder
from qualification.rules.core.findings import Verdict
from qualification.rules.ranges.house import HouseLimit
from qualification.welders.ranking import Ranking, Tally, ranking, tallies
from qualification.welders.who_may_weld import Roster, WelderAnswer, answers, roster
from wps.models import Part, Spec
from wps.procedures.offers import offers, verdicts_at_once
from wps.procedures.procedure_match import ApprovedProcedures, ProcedureMatch, read_part

KIND = "part"
"""As the audit trail calls a weld of a job."""
SHOWN, NOT_CUT = 3, 8
"""A long list shows its first few; one hardly longer than that is shown whole."""


def shown_of(count: int, every: bool) -> int:
    """How many of a list are shown at first."""
    return count if every or count <= NOT_CUT else SHOWN


class PartView:
    """One weld against the procedures on the shelf and the welders of a day."""

    def __init__(
        self,
        weld: Any,
        units: str,
        spec_number: str,
        shelf: ApprovedProcedures,
        every_procedure: bool = False,
    ) -> None:
        self.drawn, self.units, self.spec_number, self.shelf = weld, units, spec_number, shelf
        self.every_procedure = every_procedure

    @classmethod
    def of(cls, part: Part, shelf: ApprovedProcedures, every_procedure: bool = False) -> PartView:
        return cls(read_part(part), part.units, part.spec_number, shelf, every_procedure)

    @cached_property
    def ranked(self) -> list[tuple[Verdict, Spec]]:
        """Every approved procedure with its verdict, best first."""
        (row,) = verdicts_at_once(self.shelf, [(self.drawn, self.units)])
        found = zip((Verdict(v) for v in row.tolist()), self.shelf.specs, strict=True)
        return sorted(found, key=lambda pair: (pair[0], pair[1].number))

    @cached_property
    def fits(self) -> list[ProcedureMatch]:
        """The first of these with the reasons; of a short list all."""
        shown = self.ranked[: shown_of(len(self.ranked), self.every_procedure)]
        return [self._fit(spec) for _, spec in shown]

    @property
    def more_fits(self) -> int:
        """How many procedures are not shown."""
        return len(self.ranked) - len(self.fits)

    @property
    def is_carried(self) -> bool:
        """True where some procedure covers the weld."""
        return bool(self.ranked) and self.ranked[0][0] <= Verdict.COVERED

    def _fit(self, spec: Spec) -> ProcedureMatch:
        if self.chosen is not None and spec.pk == self.chosen.spec.pk:
            return self.chosen
        return self.shelf.fit(self.drawn, spec, self.units)

    @cached_property
    def chosen(self) -> ProcedureMatch | None:
        """The chosen procedure's answer; `None` when none is chosen or it has no approved revision."""
        spec = self.shelf.chosen(self.spec_number)
        return None if spec is None else self.shelf.fit(self.drawn, spec, self.units)

    @property
    def chosen_is_gone(self) -> bool:
        return bool(self.spec_number) and self.chosen is None

    @cached_property
    def weld(self) -> Any:
        """The weld as it will be made: by the chosen procedure, else as far as it is drawn."""
        return self.chosen.weld if self.chosen is not None else self.drawn

    @cached_property
    def house(self) -> list[HouseLimit]:
        """Limits beyond the code that the weld, as it will be made, has to keep."""
        return self.shelf.house(self.chosen.spec if self.chosen is not None else None)

    def answers(self, asked: Roster) -> list[WelderAnswer]:
        """Who of the roster may make the weld."""
        return self.asked_of(self.weld, asked)

    def asked_of(self, weld: Any, asked: Roster) -> list[WelderAnswer]:
        """As `answers`, of the weld as it would be made otherwise."""
        return answers(weld, asked, self.house, self.shelf.edition)

    def ranking(self, asked: Roster) -> Ranking:
        """As `answers`, the reasons of each only when they are asked for."""
        return ranking(self.weld, asked, self.house, self.shelf.edition)


def offers_all(views: Sequence[PartView]) -> list[int]:
    """For each weld of one job that has no procedure, how many procedures would cover it."""
    without = [view for view in views if view.chosen is None]
    found = iter(offers(views[0].shelf, [(view.drawn, view.units) for view in without]) if without else ())
    return [0 if view.chosen is not None else next(found) for view in views]


def tally_all(views: Sequence[PartView], asked: Roster) -> list[Tally]:
    """For each weld of one job, of how many welders of the roster the answer is which."""
    work = views[0].shelf.edition if views else asked.edition
    return tallies([(view.weld, view.house) for view in views], asked, work)


_rosters: AnswerCache[Roster] = AnswerCache(8)


def active_roster(day: date, shelf: ApprovedProcedures) -> Roster:
    """The files of all active welders, kept between requests while nothing changes."""
    edition = shelf.for_welders
    return _rosters.of(
        (edition.id, edition.fingerprint, day),
        lambda: roster(Welder.objects.filter(active=True), day, edition),
    )
