"""What a weld that is only described finds on file: procedures that cover it, tests that would support one,
or the coupons to weld first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Verdict
from qualification.rules.ranges.coverage import cover
from qualification.rules.tabular.edition import Edition
from wps.jobs.advice import Advice, advice
from wps.jobs.next_coupon import Carrier, tests_that_carry
from wps.jobs.part_view import PartView
from wps.models import Spec
from wps.procedures.starting_points import COUPON, StartingPoint, starting_points
from wps.procedures.starting_words import range_if_passed


@dataclass(frozen=True)
class OnFile:
    """Answers for one described weld, each worked out when it is first looked at."""

    view: PartView
    welders: int
    """How many active welders are on file."""

    @cached_property
    def procedures(self) -> list[Spec]:
        """Approved procedures that cover the weld."""
        return [spec for verdict, spec in self.view.ranked if verdict <= Verdict.COVERED]

    @cached_property
    def carriers(self) -> list[Carrier]:
        """Tests that would support a procedure, where none is written."""
        return [] if self.procedures else tests_that_carry(self.view.drawn, self.view.shelf.edition)

    @cached_property
    def ready(self) -> list[StartingPoint]:
        """Ready coupons that nothing drawn speaks against, where neither procedure nor test is on file."""
        if self.procedures or self.carriers:
            return []
        weld, edition = self.view.drawn, self.view.shelf.edition
        starts = [each for each in starting_points(COUPON) if each.edition == edition.id]
        return [
            each
            for each in starts
            if cover(weld, [range_if_passed(each)], edition, Side.PROCEDURE).verdict < Verdict.NOT_COVERED
        ]

    @cached_property
    def for_procedure(self) -> list[Advice]:
        """Coupons for a procedure, where neither procedure, test nor ready coupon speaks for one."""
        if self.procedures or self.carriers or self.ready:
            return []
        return self._coupons(self.view.shelf.edition, Side.PROCEDURE)

    @cached_property
    def for_welder(self) -> list[Advice]:
        """Coupons for a welder, where nobody is on file who could be asked about."""
        return [] if self.welders else self._coupons(self.view.shelf.for_welders, Side.WELDER)

    def _coupons(self, edition: Edition, side: Side) -> list[Advice]:
        weld, units = self.view.drawn, self.view.units
        return [advice(weld, line, edition, side, units, self.view.house) for line in range(len(weld.lines))]
