"""The next three steps: of all that waits, what stops work first, then what is about to, then what waits for
this person."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wps.today.matters import Matter, Rank, Section

MOST = 3


@dataclass(frozen=True)
class Step:
    """One of the next steps: what, why now, and the words on its button."""

    what: str
    url: str
    detail: str
    button: str
    rank: Rank


def next_steps(sections: Sequence[Section], most: int = MOST) -> list[Step]:
    """The most pressing steps. Several of one sort that are done together are one step."""
    return sorted((step for section in sections for step in _steps(section)), key=lambda s: s.rank)[:most]


def _steps(section: Section) -> Iterator[Step]:
    matters: Sequence[Matter] = (section.several,) if section.several else section.matters
    for matter in matters:
        rank = section.rank if matter.rank is None else matter.rank
        yield Step(matter.what, matter.url, matter.detail, section.button, rank)
