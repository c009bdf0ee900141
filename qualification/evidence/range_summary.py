"""A test record in short: its outcome and the few limits people ask for first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qualification.evidence.coverage import SIDES, coupon_of, edition_of, outcome_of
from qualification.models import CouponRecord
from qualification.rules.core.facts import Side
from qualification.rules.entries.wording import say_allowed, say_conditions
from qualification.rules.ranges.ranges import LineRange, TestRange, range_qualified
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome_words import VERDICTS
from qualification.rules.variables.metal_systems import SYSTEMS
from qualification.rules.variables.registry import registry

METALS = tuple(system.side("a") for system in SYSTEMS.values())
PAIRS = tuple(system.pair for system in SYSTEMS.values())
FIRST_ASKED = {
    Side.WELDER: (
        "weld_type",
        "product_form",
        "position",
        "iso_position",
        "diameter",
        "deposit_thickness",
        "thickness_thinner",
        *METALS,
        "f_number",
        "filler_group",
        "backed",
        "weld_details",
        "transfer_mode",
        "progression",
    ),
    Side.PROCEDURE: (
        *PAIRS,
        "thickness_thinner",
        "deposit_thickness",
        "f_number",
        "filler_classification",
        "transfer_mode",
        "shielding_gas",
        "iso_gas",
        "position",
        "iso_position",
        "pwht",
    ),
}
"""Variables of the short form, in its order."""
BRIEF = (
    "position",
    "iso_position",
    "diameter",
    "deposit_thickness",
    "thickness_thinner",
    "f_number",
    "filler_group",
)
"""Those of them that a welder's page shows."""
LISTED = (*PAIRS, *BRIEF)
"""Those of them that a list shows."""
MORE, STAR = ", further limits apply", "*"
"""What a range says of further limits, in full and in a list."""


@dataclass(frozen=True)
class ShortLine:
    """One process line: label and range of each variable first asked for."""

    process: str
    ranges: tuple[tuple[str, str], ...]
    plain: tuple[tuple[str, str], ...] = ()
    """The same, with no more than a hint at conditions."""

    @property
    def brief(self) -> list[tuple[str, str]]:
        """What decides of a welder most often: positions, thickness, diameter, filler."""
        return _only(BRIEF, self.ranges)

    @property
    def listed(self) -> list[tuple[str, str]]:
        """The same and the metals joined, where a condition is a star."""
        return _only(LISTED, self.plain)


def _only(keys: Sequence[str], said: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    labels = {registry()[key].label for key in keys}
    return [each for each in said if each[0] in labels]


@dataclass(frozen=True)
class Summary:
    """One record for a list. `refusals` says why it qualifies nothing."""

    record: CouponRecord
    verdict: str
    words: str
    refusals: tuple[str, ...]
    lines: tuple[ShortLine, ...]
    tested: TestRange | None = None
    """The whole range; `None` where the tables of its edition are missing."""


def summary_of(record: CouponRecord, side: Side | None = None, units: str = "") -> Summary:
    """The record in short, in the unit system asked for, else in its own. Where its edition's tables are not
    installed, that is what the summary says."""
    side = side or SIDES[type(record)]
    try:
        edition = edition_of(record.edition)
    except TableError:
        return Summary(
            record, "no_rule", "Not judged", (f"The tables of {record.edition} are not installed here.",), ()
        )
    outcome, coupon = outcome_of(record), coupon_of(record)
    tested = range_qualified(coupon, edition, side)
    shown = units or record.units
    lines = short_lines(tested, side, shown)
    return Summary(record, VERDICTS[outcome.overall], outcome.overall.words, tested.refusals, lines, tested)


def short_lines(tested: TestRange, side: Side, system: str) -> tuple[ShortLine, ...]:
    """A range in short, line by line."""
    return tuple(
        ShortLine(
            line.process,
            tuple(
                (label, words + (f" ({when})" if when else "") + (MORE if others else ""))
                for label, words, when, others in ranges
            ),
            tuple((label, words + (STAR if when or others else "")) for label, words, when, others in ranges),
        )
        for line in tested.lines
        for ranges in [_ranges(line, side, system)]
    )


def _ranges(line: LineRange, side: Side, system: str) -> list[tuple[str, str, str, bool]]:
    """The code's first limit on each variable with its circumstance, and whether more limits bind."""
    found = []
    for key in FIRST_ASKED[side]:
        limits = [
            limit for limit in line.limits if limit.variable == key and limit.standing.value == "essential"
        ]
        if not limits:
            continue
        said = dict.fromkeys(
            (say_allowed(key, limit.allowed, system), say_conditions(limit.when, limit.unless, system))
            for limit in limits
        )
        words, when = next(iter(said))
        found.append((registry()[key].label, words, when, len(said) > 1))
    return found
