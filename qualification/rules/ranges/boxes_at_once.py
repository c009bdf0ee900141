"""Many procedures' claims and one weld at once, with the verdicts of `inside_box`.

No comparison is written a second time: of each variable the engine is asked once for each distinct claim, and
arrays only spread the answers over the procedures and pick the worst.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..core.facts import Facts, Weld
from ..core.findings import Verdict
from ..core.values import Stated
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..variables.definition import Level
from .distinct import Interned
from .inside_box import compared, finding_of, process_finding, reads_of_claim, turned

Verdicts = npt.NDArray[np.int8]
NOTHING = np.int8(-1)
"""Nothing to compare."""


@dataclass(frozen=True)
class _Column:
    """One variable over some claims: a claim for each distinct one, and which of them each says."""

    key: str
    first: Sequence[Facts]
    which: npt.NDArray[np.int64]

    def spread(self, ask: Callable[[Facts], Verdict | None]) -> Verdicts:
        said = [ask(claim) for claim in self.first]
        return np.array([NOTHING if each is None else each for each in said], np.int8)[self.which]


class Claims:
    """What procedures claim under one edition, read once to hold many welds against all of them."""

    def __init__(self, claims: Sequence[Weld], edition: Edition) -> None:
        self.edition, self.size = edition, len(claims)
        self._joint = self._columns([claim.joint for claim in claims], Level.JOINT)
        alike = Interned[Weld]()
        which = [alike.of(_processes(claim), claim) for claim in claims]
        self._groups = []
        for number, first in enumerate(alike.kept):
            members = np.flatnonzero(np.array(which) == number)
            lines = [
                self._columns([claims[n].lines[at] for n in members.tolist()], Level.LINE)
                for at in range(len(first.lines))
            ]
            self._groups.append((first, members, lines))

    def verdicts(self, part: Weld) -> Verdicts:
        """Whether the weld lies inside each of the claims."""
        joint = group(part, self.edition).joint
        worst = np.minimum(self._of_joint(joint), self._of_joint(turned(joint)))
        if part.lines:
            for first, members, lines in self._groups:
                worst[members] = np.maximum(worst[members], self._of_lines(part, first, lines, len(members)))
        return np.where(worst == NOTHING, np.int8(Verdict.UNKNOWN), worst)

    def _of_joint(self, joint: Facts) -> Verdicts:
        return _worst([self._asked(column, joint, None) for column in self._joint], self.size)

    def _of_lines(self, part: Weld, first: Weld, lines: Sequence[Sequence[_Column]], size: int) -> Verdicts:
        if (other := process_finding(part, first)) is not None:
            return np.full(size, other.verdict, np.int8)
        return _worst(
            [
                self._asked(column, part.lines[at], at)
                for at, columns in enumerate(lines)
                for column in columns
            ],
            size,
        )

    def _asked(self, column: _Column, part: Facts, line: int | None) -> Verdicts:
        metals = self.edition.metals if line is None else None

        def ask(claim: Facts) -> Verdict | None:
            found = finding_of(column.key, part, claim, line, metals)
            return None if found is None else found.verdict

        return column.spread(ask)

    def _columns(self, claims: Sequence[Facts], level: Level) -> list[_Column]:
        metals = self.edition.metals if level is Level.JOINT else None
        found = []
        for key in compared(level):
            distinct, keys = Interned[Facts](), reads_of_claim(key, metals)
            which = [distinct.of(tuple(claim[each] for each in keys), claim) for claim in claims]
            found.append(_Column(key, distinct.kept, np.array(which, np.int64)))
        return found


def _processes(claim: Weld) -> tuple[Stated, ...]:
    return tuple(line["process"] for line in claim.lines)


def _worst(rows: Sequence[Verdicts], size: int) -> Verdicts:
    return np.max(np.stack(rows), axis=0) if rows else np.full(size, NOTHING, np.int8)
