"""What would change if a weld were another one, and which welds of a job a welder or a procedure could take;
nothing is stored."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from qualification.models import Welder
from qualification.rules.core.findings import Verdict
from qualification.rules.core.problems import Problem
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from qualification.welders.ranking import Ranking, may_table
from qualification.welders.who_may_weld import Roster
from wps.jobs.board import Board, what_it_says
from wps.jobs.part_view import PartView
from wps.jobs.welding_today import AnswerInWords, in_words
from wps.models import Part, Spec
from wps.procedures.offers import verdicts_at_once
from wps.procedures.procedure_match import weld_of

MOVED = ("thickness", "deposit", "position", "filler")
"""What can be moved; the welder is a question of its own."""
LINE_KEYS = {"deposit": "deposit_thickness", "filler": "filler_classification"}


@dataclass(frozen=True)
class CountChange:
    """Something there are several of, before and after."""

    before: int
    after: int
    gained: tuple[str, ...]
    lost: tuple[str, ...]

    @classmethod
    def between(cls, before: Iterable[str], after: Iterable[str]) -> CountChange:
        was, now = list(before), list(after)
        return cls(
            len(was),
            len(now),
            tuple(each for each in now if each not in was),
            tuple(each for each in was if each not in now),
        )


def moved_entries(part: Part, moved: Mapping[str, str]) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The entries of the weld with those typed put in: a thickness on both sides where they are alike, and
    the deposit with it where it was as thick."""
    joint, lines = deepcopy(part.joint), deepcopy(part.lines)
    if thickness := moved.get("thickness", ""):
        before = joint.get("thickness_a", "")
        if joint.get("thickness_b", "") not in ("same", ""):
            joint["thickness_b"] = thickness
        joint["thickness_a"] = thickness
        for line in lines:
            if line.get("deposit_thickness", "") == before and not moved.get("deposit"):
                line["deposit_thickness"] = thickness
    if position := moved.get("position", ""):
        joint["position"] = position
    for name, key in LINE_KEYS.items():
        if typed := moved.get(name, ""):
            for line in lines:
                line[key] = typed
    return joint, lines


class WhatIf:
    """One weld as it is and as it would be, against the same procedures and welders."""

    def __init__(self, part: Part, board: Board, moved: Mapping[str, str], welder: int | None = None) -> None:
        self.part, self._asked, self._welder = part, board.asked, welder
        joint, lines = moved_entries(part, moved)
        read = read_weld(joint, lines, RecordKind.PART, part.units, str(part))
        self.problems: Sequence[Problem] = read.problems
        self.before = board.bench.views({what_it_says(part): part})[what_it_says(part)]
        self.after = PartView(
            weld_of(joint, lines, part.units, str(part)), part.units, part.spec_number, board.shelf
        )

    @cached_property
    def procedures(self) -> CountChange:
        return CountChange.between(_covering(self.before), _covering(self.after))

    @cached_property
    def welders(self) -> CountChange:
        return CountChange.between(_able(self._was), _able(self._now))

    @cached_property
    def welder(self) -> tuple[AnswerInWords, AnswerInWords] | None:
        """The answer on one welder as it is and as it would be."""
        was, now = (self._of(ranking) for ranking in (self._was, self._now))
        return None if was is None or now is None else (was, now)

    def _of(self, ranking: Ranking) -> AnswerInWords | None:
        place = next((each for each in ranking.places if each.file.welder.pk == self._welder), None)
        return None if place is None else in_words([ranking.answer(place)], self.part.units)[0]

    @cached_property
    def _was(self) -> Ranking:
        return self.before.ranking(self._asked)

    @cached_property
    def _now(self) -> Ranking:
        return self.after.ranking(self._asked)


def _covering(view: PartView) -> list[str]:
    return [spec.number for verdict, spec in view.ranked if verdict <= Verdict.COVERED]


def _able(ranking: Ranking) -> list[str]:
    return [str(place.file.welder) for place in ranking.places if place.may]


@dataclass(frozen=True)
class Takes:
    """The welds of a job that somebody, or a procedure, could take, and the others."""

    could: tuple[Part, ...]
    could_not: tuple[Part, ...]

    @property
    def asked(self) -> int:
        return len(self.could) + len(self.could_not)


def welds_for_welder(parts: Sequence[Part], board: Board, welder: Welder) -> Takes:
    """The welds that an active welder may make today, as they are planned now."""
    files = tuple(file for file in board.asked.files if file.welder.pk == welder.pk)
    if not files or not parts:
        return Takes((), tuple(parts))
    views = board.bench.views({what_it_says(part): part for part in parts})
    welds = [(view.weld, view.house) for view in views.values()]
    table = may_table(welds, Roster(board.asked.edition, files), board.shelf.edition)
    return _parted(parts, dict(zip(views, table[:, 0].tolist(), strict=True)))


def welds_for_procedure(parts: Sequence[Part], board: Board, spec: Spec) -> Takes:
    """The welds that an approved procedure covers."""
    if not parts:
        return Takes((), ())
    views = board.bench.views({what_it_says(part): part for part in parts})
    column = next(n for n, each in enumerate(board.shelf.specs) if each.pk == spec.pk)
    found = verdicts_at_once(board.shelf, [(view.drawn, view.units) for view in views.values()])
    return _parted(parts, dict(zip(views, (found[:, column] <= Verdict.COVERED).tolist(), strict=True)))


def _parted(parts: Sequence[Part], fits: Mapping[str, bool]) -> Takes:
    could = tuple(part for part in parts if fits[what_it_says(part)])
    return Takes(could, tuple(part for part in parts if not fits[what_it_says(part)]))
