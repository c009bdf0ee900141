"""Which welders may make which of many welds, and until when: the answers of `who_may_weld` for all pairs."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.ranges.at_once import Verdicts
from qualification.rules.ranges.house import HouseLimit
from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.ranking import JudgedWeld, all_judged
from qualification.welders.who_may_weld import Roster, WelderFile, answer_of

Asked = tuple[Weld, Sequence[HouseLimit]]


def without_test(asked: Roster, number: str) -> Roster:
    """The roster as if one test had lapsed."""
    return replace(asked, files=tuple(_without(file, number) for file in asked.files))


def _without(file: WelderFile, number: str) -> WelderFile:
    if all(tested.record != number for tested in file.ranges):
        return file
    left = tuple(tested for tested in file.holding if tested.record != number)
    ever = tuple(tested for tested in file.ranges if tested.record != number)
    return replace(file, holding=left, ranges=ever, alike=(*file.alike, number))


@dataclass(frozen=True)
class WelderMatrix:
    """A row for each weld, a column for each welder of the roster."""

    verdicts: Verdicts
    until: Sequence[Sequence[date | None]]
    """The last day of the first qualification to lapse, where the answer is yes; `None` also where none of
    them ends."""


def welder_matrix(welds: Sequence[Asked], asked: Roster, work: Edition | None = None) -> WelderMatrix:
    """The verdict of every welder on every weld, and the day on which each of those who may will lapse."""
    files = list({file.alike: file for file in asked.files}.values())
    order = {file.alike: place for place, file in enumerate(files)}
    kinds = [order[file.alike] for file in asked.files]
    judged = list(all_judged(welds, asked, work))
    found = np.full((len(welds), len(files)), Verdict.UNKNOWN, np.int8)
    for number, each in enumerate(judged):
        if each.weld.lines:
            found[number] = each.verdicts.max(axis=0)
    spread = found[:, kinds] if kinds else np.empty((len(welds), 0), np.int8)
    ends = _Ends(judged, asked.edition)
    until = [
        [
            ends.until(number, file) if spread[number, at] <= Verdict.COVERED else None
            for at, file in enumerate(asked.files)
        ]
        for number in range(len(welds))
    ]
    return WelderMatrix(spread, until)


class _Ends:
    """When the qualifications that each answer rests on end; the engine is asked where that hangs on which
    tests they are."""

    def __init__(self, judged: Sequence[JudgedWeld], edition: Edition) -> None:
        self.judged, self.edition = judged, edition
        self._rests_on: dict[tuple[int, Hashable], list[list[int]]] = {}
        self._ends: dict[tuple[int, str], set[date | None]] = {}

    def until(self, number: int, file: WelderFile) -> date | None:
        """Of a welder who may make it. Where all that holds in a process ends on one day it is that day, by
        whatever test; else it hangs on the tests, which are the same for welders who are alike."""
        ends: list[date] = []
        for index, line in enumerate(self.judged[number].weld.lines):
            process = line.choice("process") or ""
            days = self._days(file, process)
            if len(days) != 1:
                days = {
                    standing.answer.holds_until
                    for place in self._by(number, file)[index]
                    if (standing := file.standing(file.ranges[place].record, process)) is not None
                }
            ends += [day for day in days if day is not None]
        return min(ends, default=None)

    def _days(self, file: WelderFile, process: str) -> set[date | None]:
        key = (file.welder.pk, process)
        if key not in self._ends:
            self._ends[key] = {
                standing.answer.holds_until
                for standing in file.standings
                if standing.process == process and standing.answer.state is Holding.HOLDS
            }
        return self._ends[key]

    def _by(self, number: int, file: WelderFile) -> list[list[int]]:
        """For each process line, which of the welder's tests it rests on."""
        key = (number, file.alike)
        if key not in self._rests_on:
            records = [tested.record for tested in file.ranges]
            judged = self.judged[number]
            self._rests_on[key] = [
                [records.index(record) for record in line.by]
                for line in answer_of(judged.weld, file, self.edition, judged.limits).lines
            ]
        return self._rests_on[key]
