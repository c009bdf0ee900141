"""The three shapes a value of a weld variable can take, and how one lies inside another.

A value is an `Interval` of Decimals in the canonical unit of its dimension (a single reading is an interval
whose ends are equal), a `frozenset` of choice keys (one key for a test, several for a spec that claims
several), or a `str` of free text. `MISSING` says nobody stated it; `NOT_APPLICABLE` says somebody stated
that it does not apply. Neither is ever replaced by a default.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum


class Absent(Enum):
    """Why there is no value."""

    MISSING = "missing"
    NOT_APPLICABLE = "not applicable"


MISSING = Absent.MISSING
NOT_APPLICABLE = Absent.NOT_APPLICABLE


@dataclass(frozen=True)
class Interval:
    """Numbers from `low` to `high` in a canonical unit; `None` leaves that end unlimited.

    An `open` end is outside the interval. Raises ValueError when the ends are crossed.
    """

    low: Decimal | None
    high: Decimal | None
    low_open: bool = False
    high_open: bool = False

    def __post_init__(self) -> None:
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"an interval cannot run from {self.low} to {self.high}")

    @classmethod
    def point(cls, value: Decimal) -> Interval:
        return cls(value, value)

    @property
    def is_point(self) -> bool:
        return self.low is not None and self.low == self.high

    @property
    def is_empty(self) -> bool:
        return self.is_point and (self.low_open or self.high_open)

    def starts_before(self, other: Interval) -> bool:
        """True when part of this interval lies below where `other` starts."""
        if other.low is None:
            return False
        if self.low is None:
            return True
        if self.low == other.low:
            return other.low_open and not self.low_open
        return self.low < other.low

    def ends_after(self, other: Interval) -> bool:
        """True when part of this interval lies above where `other` ends."""
        if other.high is None:
            return False
        if self.high is None:
            return True
        if self.high == other.high:
            return other.high_open and not self.high_open
        return self.high > other.high

    def within(self, other: Interval) -> bool:
        return not self.starts_before(other) and not self.ends_after(other)

    def meets(self, other: Interval) -> bool:
        """True when the two share at least one number."""
        return self.intersect(other) is not None

    def intersect(self, other: Interval) -> Interval | None:
        low, low_open = (
            (other.low, other.low_open) if self.starts_before(other) else (self.low, self.low_open)
        )
        high, high_open = (
            (other.high, other.high_open) if self.ends_after(other) else (self.high, self.high_open)
        )
        if low is not None and high is not None and (low > high or (low == high and (low_open or high_open))):
            return None
        return Interval(low, high, low_open, high_open)

    def split(self, at: set[Decimal]) -> list[Interval]:
        """Cut into points and open pieces at each given number, so that each piece lies wholly on one side
        of every limit drawn at one of them."""
        cuts = sorted(
            c for c in at if (self.low is None or c >= self.low) and (self.high is None or c <= self.high)
        )
        pieces: list[Interval] = []
        low, low_open = self.low, self.low_open
        for cut in cuts:
            if low is None or low < cut:
                pieces.append(Interval(low, cut, low_open, True))
            pieces.append(Interval.point(cut))
            low, low_open = cut, True
        if low is None or self.high is None or low < self.high or not low_open:
            pieces.append(Interval(low, self.high, low_open, self.high_open))
        return [p for p in pieces if not p.is_empty and p.intersect(self) is not None]


Value = Interval | frozenset[str] | str
Stated = Interval | frozenset[str] | str | Absent


@dataclass(frozen=True)
class Anything:
    """A range without a limit: the code lets the variable take any value."""


@dataclass(frozen=True)
class Undetermined:
    """A range that cannot be worked out because the test record leaves something out."""

    needs: tuple[str, ...]
    """Keys of the variables the record would have to state."""
    marked: tuple[str, ...] = ()
    """Those of them that the record says do not apply to it."""


@dataclass(frozen=True)
class NotEncoded:
    """The edition has a rule here that the tables do not hold: never taken as covered, never as refused."""


@dataclass(frozen=True)
class NotOnTest:
    """The record says that the variable does not apply to its coupon: a weld to which it does not apply
    either is the same, and there is nothing to hold any value against."""

    rest_not_encoded: bool = False
    """True where the edition lets the variable change, and the tables do not hold how far."""


Allowed = Interval | frozenset[str] | Anything | Undetermined | NotEncoded | NotOnTest


def lies_within(value: Value, allowed: Allowed) -> bool:
    """True when every part of `value` is allowed. Raises TypeError when the shapes cannot be compared."""
    if isinstance(allowed, Anything):
        return True
    if isinstance(allowed, Interval) and isinstance(value, Interval):
        return value.within(allowed)
    if isinstance(allowed, frozenset) and isinstance(value, frozenset):
        return value <= allowed
    raise TypeError(f"cannot hold {type(value).__name__} against {type(allowed).__name__}")


def touches(value: Value, allowed: Allowed) -> bool:
    """True when at least part of `value` is allowed. Raises TypeError as `lies_within`."""
    if isinstance(allowed, Anything):
        return True
    if isinstance(allowed, Interval) and isinstance(value, Interval):
        return value.meets(allowed)
    if isinstance(allowed, frozenset) and isinstance(value, frozenset):
        return bool(value & allowed)
    raise TypeError(f"cannot hold {type(value).__name__} against {type(allowed).__name__}")
