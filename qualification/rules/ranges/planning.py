"""Which coupon to weld next: the easiest single coupon that would cover a weld, found by asking the engine.

Nothing here knows a rule. Coupons are made up from the weld itself, each is read by the same
`range_qualified` as a real test, and only those under which the weld comes out covered are proposed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from typing import Any

from ..core.facts import Coupon, Facts, Side, Weld
from ..core.findings import Report, Verdict
from ..core.gases import NO_GAS
from ..core.values import Absent
from ..entries.derive import derive
from ..entries.wording import say_value
from ..materials.grouping import group
from ..tabular.edition import Edition
from .coupon_shapes import completed, coupons_worth_trying, stance_of
from .coverage import cover_whole
from .house import HouseLimit, held_to, is_welded_outside
from .made_before import MadeBefore

MOST_TRIED = 300
MOST_PROBED = 80
POSITIONS = frozenset({"position", "iso_position"})


@dataclass(frozen=True)
class Proposal:
    """A coupon that would cover the weld, were it welded and passed."""

    coupon: Coupon
    sentence: str


def coupons_that_would_cover(
    weld: Weld, edition: Edition, side: Side, system: str, most: int = 2, house: Sequence[HouseLimit] = ()
) -> tuple[Proposal, ...]:
    """Up to `most` coupons, easiest first; empty when no single coupon of one of the tried shapes would do,
    or when the weld leaves out too much to say. None is proposed for a weld outside a house limit, and none
    that would itself be welded in a way such a limit forbids."""
    if any(f.verdict > Verdict.COVERED for line in held_to(weld, house, edition) for f in line):
        return ()
    search = _Search(weld, edition, side, house)
    found: list[Proposal] = []
    for shapes in search.phases(system):
        for shape in shapes:
            if len(found) >= most:
                break
            if any(_no_harder(p.coupon, shape) for p in found):
                continue
            coupon, report = search.tried(shape)
            if report is not None and report.verdict <= Verdict.COVERED:
                found.append(Proposal(coupon, _sentence(coupon, side, system)))
        if found:
            break
    return tuple(found)


def what_a_coupon_waits_for(
    weld: Weld, edition: Edition, side: Side, system: str, *, every: bool = True
) -> tuple[str, ...]:
    """Keys of what the weld leaves out and every coupon like it waits for, or only some do; empty where
    nothing is missing."""
    search = _Search(weld, edition, side, ())
    reports = [search.tried(shape)[1] for shape in search.drawn(system)]
    waits = [search.waits(report) for report in reports if report is not None]
    both = frozenset.intersection if every else frozenset.union
    return tuple(sorted(both(*waits))) if waits else ()


@dataclass(frozen=True)
class _Search:
    """Coupons tried for one weld."""

    weld: Weld
    edition: Edition
    side: Side
    house: Sequence[HouseLimit]
    before: MadeBefore = field(default_factory=MadeBefore)

    def phases(self, system: str) -> Iterator[Iterator[Coupon]]:
        """First those of a stance that the position of the weld goes with, then, where none of them would do,
        the others; none where every stance waits for the same value that the weld leaves out."""
        drawn = self.drawn(system)
        probed = [
            (stance_of(shape.weld), report) for shape in drawn if (report := self.tried(shape)[1]) is not None
        ]
        if probed and frozenset.intersection(*(self.waits(report) for _, report in probed)):
            return
        apt = {stance for stance, report in probed if not {f.variable for f in report.obstacles} & POSITIONS}
        yield islice(self._worth(system, only=apt.__contains__), MOST_TRIED)
        yield iter(drawn)
        yield islice(self._worth(system), MOST_TRIED)
        yield islice(self._worth(system, as_drawn=True), MOST_PROBED, MOST_TRIED)

    def _worth(self, system: str, **which: Any) -> Iterator[Coupon]:
        return coupons_worth_trying(self.weld, self.edition, self.side, system, **which)

    def drawn(self, system: str) -> list[Coupon]:
        """Coupons as thick as the weld, in every stance."""
        return list(islice(self._worth(system, as_drawn=True), MOST_PROBED))

    def waits(self, report: Report) -> frozenset[str]:
        """Variables that leave the weld open because it does not state them."""
        return frozenset(
            finding.variable
            for finding in report.obstacles
            if finding.verdict is Verdict.UNKNOWN
            and self._whole.line_facts(finding.line or 0)[finding.variable] is Absent.MISSING
        )

    @cached_property
    def _whole(self) -> Weld:
        return derive(group(self.weld, self.edition))

    def tried(self, shape: Coupon) -> tuple[Coupon, Report | None]:
        """The coupon with what it still has to state, and how the weld does under it; `None` for one that a
        limit of the house forbids to weld."""
        if is_welded_outside(shape.weld, self.house, self.edition):
            return shape, None
        coupon, tested = completed(shape, self.edition, self.side, self.before)
        return coupon, cover_whole(self._whole, [tested], self.edition, self.side)


def _no_harder(proposed: Coupon, other: Coupon) -> bool:
    """True when the coupon already proposed differs from the other in thickness alone."""
    keys = ("test_position", "product_form", "weld_type")
    return all(proposed.weld.joint[k] == other.weld.joint[k] for k in keys)


@dataclass(frozen=True)
class CouponWords:
    """A coupon in words: the piece, and how each line is welded."""

    piece: str
    lines: tuple[str, ...]


def coupon_words(coupon: Coupon, system: str) -> CouponWords:
    """`Plate, groove, in 3G, 1/4 in (6.35 mm) thick`, and process, filler and backing of each line."""
    joint = coupon.weld.joint
    parts = [
        say_value("product_form", joint["product_form"], system).split(",")[0].lower(),
        say_value("weld_type", joint["weld_type"], system).lower(),
    ]
    if joint.given("test_position"):
        parts.append("in " + " and ".join(sorted(joint["test_position"])))  # type: ignore[arg-type]
    if joint.given("diameter"):
        parts.append(say_value("diameter", joint["diameter"], system) + " outside diameter")
    if joint.given("thickness_a"):
        parts.append(say_value("thickness_a", joint["thickness_a"], system) + " thick")
    return CouponWords(", ".join(parts), tuple(_line_words(line, system) for line in coupon.weld.lines))


def _sentence(coupon: Coupon, side: Side, system: str) -> str:
    words = coupon_words(coupon, system)
    what = "A procedure test" if side is Side.PROCEDURE else "A welder test"
    return f"{what} that would cover it, once passed: {words.piece}; {'; '.join(words.lines)}."


def _line_words(line: Facts, system: str) -> str:
    gas = ["without backing gas"] if line.is_only("backing_gas", NO_GAS) else []
    keys: Sequence[str] = (
        "process",
        "transfer_mode",
        "filler_classification",
        "f_number",
        "backing",
        "progression",
    )
    said = [
        say_value(k, line[k], system)
        for k in keys
        if line.given(k) and not (k == "f_number" and line.given("filler_classification"))
    ]
    return ", ".join([*said, *gas])
