"""What waits for somebody: one line of it, lines of one sort under a heading, and how pressing they are."""

from dataclasses import dataclass
from enum import IntEnum

LISTED = 6
"""Matters of one sort in sight."""


class Rank(IntEnum):
    """How pressing a matter is, the most pressing first."""

    STOPPED = 0
    """Work that may not go on as it is."""
    ENDS_SOON = 1
    """Work that may not go on much longer."""
    WAITS = 2
    """Somebody waits for this person."""
    OWN = 3
    """This person's own unfinished work."""
    LATER = 4


@dataclass(frozen=True)
class Matter:
    """One line: what waits, where it is mended, and a detail such as a date."""

    what: str
    url: str
    detail: str = ""
    rank: Rank | None = None
    """How pressing, where it is not as its section."""


@dataclass(frozen=True)
class Section:
    """Matters of one sort, under one heading; `when_none` is the sentence shown when nothing waits."""

    title: str
    when_none: str
    matters: tuple[Matter, ...]
    several: Matter | None = None
    """A way to deal with more of them than one, told after the others."""
    whole: int | None = None
    """How many there are, where not all are listed."""
    rank: Rank = Rank.LATER
    """How pressing its matters are, for the next steps."""
    button: str = "Open"
    """Words on the button of one of its matters among the next steps."""

    @property
    def count(self) -> int:
        return len(self.matters) if self.whole is None else self.whole

    @property
    def first(self) -> tuple[Matter, ...]:
        """Those in sight; a fold is not worth its line for one more."""
        return self.matters if len(self.matters) <= LISTED + 1 else self.matters[:LISTED]

    @property
    def rest(self) -> tuple[Matter, ...]:
        """Those in the fold."""
        return self.matters[len(self.first) :]
