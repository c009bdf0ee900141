"""What a check on a test result looks at and answers.

A check is a function from a row of acceptance.toml, a result and its surroundings to an answer. Checks hold
no number of any code. They are in `testing/acceptance/strength.py`, `testing/acceptance/sections.py` and
`testing/acceptance/volumetric.py`, and listed in `testing/acceptance/register.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum
from functools import partial
from typing import TYPE_CHECKING, Any

from ...core.facts import Facts
from ...core.quantities import DIMENSIONS, US, from_canonical, show

if TYPE_CHECKING:
    from ..requirements import Specimen
    from ..specimen_rows import CheckRow
    from ..strength import Minimum, NoMinimum


class ResultMark(IntEnum):
    """Ordered from good to bad."""

    PASSED = 0
    NOT_COUNTED = 1
    """The test was not made as the code asks, so it says nothing, neither for nor against."""
    INCOMPLETE = 2
    """Something the check needs is not stated."""
    FAILED = 3

    @property
    def words(self) -> str:
        return {
            ResultMark.PASSED: "Passed",
            ResultMark.NOT_COUNTED: "Does not count",
            ResultMark.INCOMPLETE: "Incomplete",
            ResultMark.FAILED: "Failed",
        }[self]


@dataclass(frozen=True)
class CheckAnswer:
    mark: ResultMark
    sentence: str
    field: str = ""
    """Field of the result the sentence is about."""
    found: str = ""
    """As measured or worked out, in the record's units."""
    limit: str = ""
    relieved: bool = False
    """It passed only by the relief for breaks in the base metal."""


passed = partial(CheckAnswer, ResultMark.PASSED)
not_counted = partial(CheckAnswer, ResultMark.NOT_COUNTED)
incomplete = partial(CheckAnswer, ResultMark.INCOMPLETE)
failed = partial(CheckAnswer, ResultMark.FAILED)


@dataclass(frozen=True)
class Surroundings:
    """What a check may look at besides the result."""

    system: str
    joint: Facts
    thickness: Decimal | None
    """Thinner side of the coupon, mm."""
    specimen: Specimen | None
    """How the code wants specimens of this kind made; `None` for a kind the coupon does not have to give."""
    minimum: Minimum | NoMinimum
    """Tensile strength to be reached."""
    relief: CheckRow | None
    """The row that lets a break in the base metal fall a little short, where the edition has one."""

    def length(self, value: Decimal, against: Decimal | None = None) -> str:
        """A length in the record's units; with all its digits where rounding would make it read like
        `against`."""
        dimension = DIMENSIONS["length"]
        unit = dimension.unit_for(self.system)
        if against is not None and value != against:
            place = Decimal(1).scaleb(-(dimension.places_us if self.system == US else dimension.places_si))
            exact, limit = from_canonical(value, unit, dimension), from_canonical(against, unit, dimension)
            if exact.quantize(place) == limit.quantize(place):
                return f"{exact.normalize():f} {unit.symbol}"
        return show(value, "length", self.system)


@dataclass(frozen=True)
class AcceptanceCheck:
    judge: Callable[[CheckRow, Any, Surroundings], CheckAnswer | None]
    """`None` when the check has nothing to say about this result."""
    numbers: tuple[str, ...] = ()
    """Number columns its row has to give."""
    optional: tuple[str, ...] = ()
    one_of: tuple[str, ...] = ()
    """Number columns of which its row gives exactly one."""


def yes_no_check(
    field: str, wanted: bool, bad: str, asked: str, mark: ResultMark = ResultMark.FAILED
) -> AcceptanceCheck:
    """A check on one statement of a result: `wanted` passes, its opposite earns `mark` and the sentence
    `bad`, no statement is incomplete and asks for `asked`."""

    def judge(row: CheckRow, result: Any, around: Surroundings) -> CheckAnswer | None:
        value = getattr(result, field)
        if value is None:
            return incomplete(f"State {asked}.", field)
        return passed("", field) if value is wanted else CheckAnswer(mark, bad, field)

    return AcceptanceCheck(judge)


def length_check(field: str, what: str, asked: str) -> AcceptanceCheck:
    """A check on one measured length of a result against the most its row allows."""

    def judge(row: CheckRow, result: Any, around: Surroundings) -> CheckAnswer | None:
        assert row.most is not None
        return at_most(field, getattr(result, field), row.most.of(around.system), what, asked, around)

    return AcceptanceCheck(judge, ("most",))


def at_most(
    field: str, value: Decimal | None, limit: Decimal, what: str, asked: str, around: Surroundings
) -> CheckAnswer:
    """A measured length against its largest allowed value."""
    if value is None:
        return incomplete(f"State {asked}.", field)
    found, most = around.length(value, limit), around.length(limit)
    if value <= limit:
        return passed(f"{what} is {found}; {most} is allowed.", field, found, most)
    return failed(f"{what} is {found}, more than {most}.", field, found, most)
