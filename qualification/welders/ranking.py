"""Many welders and many welds at once, by verdicts alone: counted, or ranked with reasons for the few that
are shown. Each verdict is that of `who_may_weld.answers`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Finding, Verdict
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import Verdicts, answers_at_once
from qualification.rules.ranges.house import HouseLimit, held_to
from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.who_may_weld import (
    LineAnswer,
    Roster,
    WelderAnswer,
    WelderFile,
    against,
    answer_of,
)


@dataclass(frozen=True)
class Tally:
    """Of how many welders the answer is which."""

    may: int
    cannot_be_told: int


@dataclass(frozen=True)
class WelderPlace:
    """Where one welder stands among all, by verdicts alone; `Ranking.answer` gives the reasons."""

    file: WelderFile
    lines: tuple[Verdict, ...]
    qualified: tuple[Verdict, ...]
    """By the code alone, line by line."""
    beyond: frozenset[int]
    """Lines that no test on file would cover, held or not."""

    @property
    def verdict(self) -> Verdict:
        return max(self.lines, default=Verdict.UNKNOWN)

    @property
    def may(self) -> bool:
        return self.verdict <= Verdict.COVERED

    @property
    def order(self) -> tuple[Verdict, Verdict, int, str]:
        """Those who may first, as `answers` has them."""
        some = 0 if self.may else sum(verdict <= Verdict.COVERED for verdict in self.lines)
        return self.verdict, max(self.qualified, default=Verdict.UNKNOWN), -some, self.file.welder.name


@dataclass(frozen=True)
class Ranking:
    """All welders of a roster for one weld, best first, with the reasons of those that are asked for."""

    places: tuple[WelderPlace, ...]
    weld: Weld
    """Grouped and derived."""
    edition: Edition
    limits: tuple[tuple[Finding, ...], ...]

    @property
    def may(self) -> int:
        return sum(place.may for place in self.places)

    def answers(self, most: int | None = None) -> list[WelderAnswer]:
        """The first so many answers in full; all of them without a number."""
        return [self.answer(place) for place in self.places[:most]]

    def answer(self, place: WelderPlace) -> WelderAnswer:
        return answer_of(self.weld, place.file, self.edition, self.limits)

    def wanting(self, line: int) -> LineAnswer | None:
        """Of a line that not everybody may weld for want of a test: the answer of the first such welder."""
        asked: set[Hashable] = set()
        for place in self.places:
            if line in place.beyond and place.file.alike not in asked:
                asked.add(place.file.alike)
                if (found := self.answer(place).lines[line]).obstacles:
                    return found
        return None


def tally(weld: Weld, asked: Roster, house: Sequence[HouseLimit] = (), work: Edition | None = None) -> Tally:
    """As `answers`, counted."""
    return tallies([(weld, house)], asked, work)[0]


def tallies(
    welds: Sequence[tuple[Weld, Sequence[HouseLimit]]], asked: Roster, work: Edition | None = None
) -> list[Tally]:
    """A tally for each weld with its limits, all at once: of welders who are alike one is asked."""
    found, several = [], Counter(file.alike for file in asked.files)
    for judged in all_judged(welds, asked, work):
        times = np.array([several[file.alike] for file in judged.files], np.int64)
        worst = judged.verdicts.max(axis=0) if len(judged.verdicts) else np.full(len(times), Verdict.UNKNOWN)
        open_ones = (worst > Verdict.COVERED) & (worst < Verdict.NOT_COVERED)
        found.append(Tally(int(times[worst <= Verdict.COVERED].sum()), int(times[open_ones].sum())))
    return found


def ranking(
    weld: Weld, asked: Roster, house: Sequence[HouseLimit] = (), work: Edition | None = None
) -> Ranking:
    """As `answers`, the reasons of each welder only when they are asked for."""
    (judged,) = all_judged([(weld, house)], asked, work)
    column = {file.alike: at for at, file in enumerate(judged.files)}
    made: dict[int, tuple[tuple[Verdict, ...], tuple[Verdict, ...], frozenset[int]]] = {}
    places = []
    for file in asked.files:
        at = column[file.alike]
        if at not in made:
            made[at] = (
                tuple(Verdict(v) for v in judged.verdicts[:, at].tolist()),
                tuple(Verdict(v) for v in judged.qualified[:, at].tolist()),
                frozenset(np.flatnonzero(judged.ever[:, at] > Verdict.COVERED).tolist()),
            )
        places.append(WelderPlace(file, *made[at]))
    places.sort(key=lambda place: place.order)
    return Ranking(tuple(places), judged.weld, asked.edition, judged.limits)


def may_table(
    welds: Sequence[tuple[Weld, Sequence[HouseLimit]]], asked: Roster, work: Edition | None = None
) -> npt.NDArray[np.bool_]:
    """Who of the roster may make which weld: a row for each weld, a column for each file."""
    found = np.zeros((len(welds), len(asked.files)), bool)
    for number, judged in enumerate(all_judged(welds, asked, work)):
        if len(judged.verdicts):
            column = {file.alike: at for at, file in enumerate(judged.files)}
            may = judged.verdicts.max(axis=0) <= Verdict.COVERED
            found[number] = may[[column[file.alike] for file in asked.files]]
    return found


@dataclass(frozen=True)
class JudgedWeld:
    """One weld under the files of all welders who are not alike: a row for each line, a column for each."""

    weld: Weld
    files: Sequence[WelderFile]
    limits: tuple[tuple[Finding, ...], ...]
    ever: Verdicts
    """By all tests, whether they hold on the day or not."""
    qualified: Verdicts
    verdicts: Verdicts
    """With the limits laid over the code."""


def all_judged(
    welds: Sequence[tuple[Weld, Sequence[HouseLimit]]], asked: Roster, work: Edition | None
) -> Iterable[JudgedWeld]:
    """Verdicts of all at once. A line that only a test covers which does not hold is not covered; it is
    unknown where continuity is, and the engine is asked which tests those are only of files with such
    tests."""
    files = list({file.alike: file for file in asked.files}.values())
    wholes = [derive(group(weld, asked.edition)) for weld, _ in welds]
    sets = [*(file.holding for file in files), *(file.ranges for file in files)]
    found = answers_at_once(wholes, sets, asked.edition, Side.WELDER)
    now, ever = found.lines[:, : len(files)], found.lines[:, len(files) :]
    lapsed = (now > Verdict.COVERED) & (ever <= Verdict.COVERED)
    qualified = np.where(now <= Verdict.COVERED, now, np.where(lapsed, np.int8(Verdict.NOT_COVERED), ever))
    unsure = np.array([_is_open_to_doubt(file) for file in files], bool)
    for number, (weld, house) in enumerate(welds):
        limits = tuple(against(findings) for findings in held_to(weld, house, work or asked.edition))
        rows = slice(found.starts[number], found.starts[number] + len(weld.lines))
        own = qualified[rows]
        for at in np.flatnonzero(lapsed[rows].any(axis=0) & unsure).tolist():
            answer = answer_of(wholes[number], files[at], asked.edition, limits)
            own[:, at] = [line.qualified for line in answer.lines]
        worst = [max((f.verdict for f in findings), default=Verdict.NOT_APPLICABLE) for findings in limits]
        verdicts = np.maximum(own, np.array(worst, np.int8).reshape(-1, 1))
        yield JudgedWeld(wholes[number], files, limits, ever[rows], own, verdicts)


def _is_open_to_doubt(file: WelderFile) -> bool:
    """True where it cannot be told of some test whether it holds on the day."""
    return any(standing.answer.state is Holding.UNKNOWN for standing in file.standings)
