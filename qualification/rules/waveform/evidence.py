"""The mode of transfer and the current programme seen in a log, held against what was declared."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..arithmetic.engineering import engineering
from ..variables import variable
from ..wording import within_sentence
from .analysis import Analysis

SHORT, FREE, PULSED = (
    frozenset({"short_circuit"}),
    frozenset({"spray", "globular"}),
    frozenset({"pulsed_spray"}),
)


class Stand(StrEnum):
    FOR = "for"
    AGAINST = "against"
    OPEN = "open"

    @property
    def words(self) -> str:
        return {"for": "Supports it", "against": "Speaks against it", "open": "Does not decide"}[self.value]


@dataclass(frozen=True)
class Evidence:
    variable: str
    declared: str
    seen: frozenset[str]
    """Choices of the variable the log is compatible with; empty where it cannot tell."""
    stand: Stand
    sentence: str


def modes_seen(result: Analysis) -> frozenset[str]:
    """Choices of `transfer_mode` the log is compatible with. Spray and globular look alike in a log."""
    limit = engineering().threshold
    if result.alternating:
        return frozenset()
    shorts = result.shorts
    if shorts.rate >= limit("shorts_mode") and shorts.share >= limit("shorts_share"):
        return SHORT
    if shorts.rate <= limit("shorts_odd"):
        return PULSED if result.pulses is not None else FREE
    return frozenset()


def compare(
    result: Analysis, mode: str | None = None, programme: str | None = None, transition: float | None = None
) -> tuple[Evidence, ...]:
    """What the log says of a declared `transfer_mode` and `current_programme`. `transition`, the current in
    A from which this wire sprays, lets spray be told from globular."""
    found = []
    if mode is not None:
        found.append(_mode(result, mode, transition))
    if programme is not None:
        found.append(_programme(result, programme))
    return tuple(found)


def _mode(result: Analysis, declared: str, transition: float | None) -> Evidence:
    seen = modes_seen(result)
    shorts = result.shorts
    what = (
        f"{shorts.rate:.1f} short circuits a second, {100 * shorts.share:.1f} % of the arc time"
        if shorts.count
        else "no short circuit"
    )
    if not seen:
        why = (
            "the current alternates"
            if result.alternating
            else "too many for a free arc, too few for a mode of their own"
        )
        return Evidence("transfer_mode", declared, seen, Stand.OPEN, f"The log shows {what}: {why}.")
    if seen == FREE and declared in FREE and transition is not None:
        amps = result.figures.mean_amps.value
        seen = frozenset({"spray"}) if amps >= transition else frozenset({"globular"})
        side = "above" if amps >= transition else "below"
        stand = Stand.FOR if declared in seen else Stand.AGAINST
        return Evidence(
            "transfer_mode",
            declared,
            seen,
            stand,
            f"The log shows {what} at a mean of {amps:.0f} A, {side} the {transition:.0f} A from which "
            "this wire sprays.",
        )
    if seen == FREE and declared in FREE:
        return Evidence(
            "transfer_mode",
            declared,
            seen,
            Stand.OPEN,
            f"The log shows {what} and a steady current: spray or globular, which look alike in a log.",
        )
    stand = Stand.FOR if declared in seen else Stand.AGAINST
    pulse = (
        f" and {result.pulses.frequency:.4g} pulses a second" if result.pulses else " and no regular pulses"
    )
    return Evidence("transfer_mode", declared, seen, stand, f"The log shows {what}{pulse}: {_names(seen)}.")


def _names(seen: frozenset[str]) -> str:
    definition = variable("transfer_mode")
    return " or ".join(within_sentence(c.label) for c in definition.choices if c.key in seen)


def _programme(result: Analysis, declared: str) -> Evidence:
    seen = result.programme
    if seen is None:
        why = "the current alternates" if result.alternating else "short circuits hide it"
        return Evidence(
            "current_programme", declared, frozenset(), Stand.OPEN, f"The programme cannot be told: {why}."
        )
    if result.pulses is None:
        what = "a current without regular pulses"
    elif result.slow is None:
        what = f"{result.pulses.frequency:.4g} pulses a second and no slow modulation"
    else:
        what = (
            f"{result.pulses.frequency:.4g} pulses a second that swell {result.slow.frequency:.3g} times "
            "a second, the low "
            f"phase at {result.slow.low_level_percent:.0f} % of the high one"
        )
    stand = Stand.FOR if seen == declared else Stand.AGAINST
    return Evidence("current_programme", declared, frozenset({seen}), stand, f"The log shows {what}.")
