"""Frozen values of one weld, test or part, each either given or missing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import cached_property

from .quantities import US
from .values import MISSING, Absent, Interval, Stated


class Facts(Mapping[str, Stated]):
    """Values by variable key; a key nobody stated reads as `MISSING`, never as a default."""

    __slots__ = ("_values",)

    def __init__(self, values: Mapping[str, Stated] | None = None) -> None:
        self._values: dict[str, Stated] = {k: v for k, v in (values or {}).items() if v is not MISSING}

    def __getitem__(self, key: str) -> Stated:
        return self._values.get(key, MISSING)

    def __contains__(self, key: object) -> bool:
        return key in self._values

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Facts) and self._values == other._values

    def __hash__(self) -> int:
        return hash(frozenset(self._values.items()))

    def __repr__(self) -> str:
        return f"Facts({self._values!r})"

    def given(self, key: str) -> bool:
        """True when a real value is stated: neither missing nor marked as not applicable."""
        return key in self._values and not isinstance(self._values[key], Absent)

    def choices(self, key: str) -> frozenset[str]:
        """The choices stated; none where the key is missing, not applicable, or no choice."""
        value = self[key]
        return value if isinstance(value, frozenset) else frozenset()

    def is_only(self, key: str, choice: str) -> bool:
        """True where that choice is stated, and no other beside it."""
        return self._values.get(key) == frozenset({choice})

    def choice(self, key: str) -> str | None:
        """The one choice stated; `None` where there is none, or several."""
        stated = self.choices(key)
        return next(iter(stated)) if len(stated) == 1 else None

    def interval(self, key: str) -> Interval | None:
        """The numbers stated, in the canonical unit."""
        value = self[key]
        return value if isinstance(value, Interval) else None

    def number(self, key: str) -> Decimal | None:
        """The one number stated, in the canonical unit; `None` where there is none, or a range."""
        value = self.interval(key)
        return value.low if value is not None and value.is_point else None

    def highest(self, key: str) -> Decimal | None:
        """The upper end of the numbers stated, in the canonical unit; `None` where there is none."""
        value = self.interval(key)
        return value.high if value is not None else None

    def ends(self, key: str) -> tuple[Decimal, Decimal] | None:
        """Both ends of the numbers stated; `None` where one is open."""
        value = self.interval(key)
        if value is None or value.low is None or value.high is None:
            return None
        return value.low, value.high

    def text(self, key: str) -> str:
        """The words stated; empty where there are none."""
        value = self[key]
        return value if isinstance(value, str) else ""

    def including(self, more: Mapping[str, Stated]) -> Facts:
        return Facts({**self._values, **more})


@dataclass(frozen=True)
class Weld:
    """A spec's box or one production joint: joint-level facts and one set of facts per process line."""

    joint: Facts
    lines: tuple[Facts, ...]
    name: str = ""

    def line_facts(self, index: int) -> Facts:
        """Joint and line values together; the two never share a key."""
        return self._whole_lines[index]

    @cached_property
    def _whole_lines(self) -> tuple[Facts, ...]:
        return tuple(self.joint.including(line) for line in self.lines)


@dataclass(frozen=True)
class Coupon:
    """One test record as the rules see it: what was welded, and what the tests said of it."""

    record: str
    """Identifier as the shop writes it, for example `PT-014`."""
    weld: Weld
    system: str = US
    """Unit system the record is kept in; it picks which of a code's two sets of limits applies."""
    refusals: tuple[str, ...] = ()
    """Why the record qualifies nothing: results missing or failed. Empty when every required result
    passed."""
    welded_on: date | None = None
    welder: str = ""


class Side(StrEnum):
    """What a coupon is read for."""

    PROCEDURE = "procedure"
    WELDER = "welder"
