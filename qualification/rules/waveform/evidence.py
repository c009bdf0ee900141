"""The mode of transfer and the current program seen in a log, held against what was declared."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..arithmetic.engineering import engineering
from ..core.words import within_sentence
from ..variables.registry import variable
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


@dataclass(frozen=True)
class Rhythm:
    """What a trial states of its pulses, as numbers; `None` where it states none."""

    pulse_frequency: float | None = None
    """Hz."""
    pulse_duty: float | None = None
    """Percent of the cycle at the peak."""
    slow_frequency: float | None = None
    """Hz."""
    low_level: float | None = None
    """Percent: the low phase as a share of the high one."""


def compare(
    result: Analysis,
    mode: str | None = None,
    programme: str | None = None,
    transition: float | None = None,
    rhythm: Rhythm | None = None,
) -> tuple[Evidence, ...]:
    """What the log says of a declared `transfer_mode` and `current_programme`, and of the numbers stated of
    the pulses. `transition`, the current in A from which this wire sprays, lets spray be told from
    globular."""
    rhythm = rhythm or Rhythm()
    found = []
    if mode is not None:
        found.append(_mode(result, mode, transition))
    if programme is not None:
        found.append(_programme(result, programme, rhythm))
    return (*found, *_numbers(result, rhythm))


def _numbers(result: Analysis, stated: Rhythm) -> list[Evidence]:
    """Each number stated of the pulses against the log, where the log shows that rhythm at all."""
    limit = engineering().threshold
    pulses, slow = result.pulses, result.slow
    duty = None if pulses is None else pulses.duty
    if pulses is not None and result.high_pulses is not None and result.low_pulses is not None:
        # Where the phases pulse at rhythms of their own there is no one duty to hold a setting against.
        duties = (result.high_pulses.duty, result.low_pulses.duty)
        duty = None if abs(duties[0] - duties[1]) > limit("level_off") else duty
    rows = (
        (
            "pulse_frequency",
            stated.pulse_frequency,
            None if pulses is None else pulses.frequency,
            " Hz",
            None,
        ),
        (
            "pulse_duty",
            stated.pulse_duty,
            None if duty is None else 100 * duty,
            " %",
            100 * limit("level_off"),
        ),
        ("slow_frequency", stated.slow_frequency, None if slow is None else slow.frequency, " Hz", None),
        (
            "low_level",
            stated.low_level,
            None if slow is None else slow.low_level_percent,
            " %",
            100 * limit("level_off"),
        ),
    )
    found = []
    for key, value, seen, unit, off in rows:
        if value is None or result.alternating:
            continue
        declared = f"{value:g}{unit}"
        if seen is None:
            found.append(
                Evidence(
                    key, declared, frozenset(), Stand.OPEN, "The log does not show it, so it cannot tell."
                )
            )
            continue
        near = off if off is not None else limit("frequency_off") * value
        stand = Stand.FOR if abs(seen - value) <= near else Stand.AGAINST
        found.append(
            Evidence(
                key, declared, frozenset(), stand, f"The log shows {seen:.3g}{unit}, {declared} is stated."
            )
        )
    return found


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


def _programme(result: Analysis, declared: str, rhythm: Rhythm) -> Evidence:
    seen, open_because = result.programmes, _too_little(result, declared, rhythm)
    if not seen:
        why = "the current alternates" if result.alternating else "short circuits hide it"
        return Evidence(
            "current_programme", declared, seen, Stand.OPEN, f"The program cannot be determined: {why}."
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
    if open_because and (declared in seen or result.programme != declared):
        seen = seen | {declared}
        return Evidence(
            "current_programme",
            declared,
            seen,
            Stand.OPEN,
            f"The log shows {what}; {open_because}, so this cannot be determined.",
        )
    stand = Stand.FOR if seen == frozenset({declared}) else Stand.AGAINST
    return Evidence("current_programme", declared, seen, stand, f"The log shows {what}.")


def _too_little(result: Analysis, declared: str, rhythm: Rhythm) -> str:
    """Why the log cannot tell a declared programme from the one it shows; empty where it can."""
    limit = engineering().threshold
    if result.pulses is None:
        stated = rhythm.pulse_frequency
        least = limit("samples_per_pulse") * (stated or limit("pulse_frequency_usual"))
        if declared != "steady" and result.rate < least:
            return f"{result.rate:.4g} readings a second would not show pulses"
        return ""
    if result.slow is not None or result.swell is None or declared == "steady":
        return ""
    slowest = rhythm.slow_frequency or limit("slow_usual")
    if result.swell.seconds * slowest < 0.98 * limit("slow_periods"):
        return (
            f"it holds {result.swell.seconds:.3g} s of arc, and three swells of {slowest:g} Hz take "
            f"{limit('slow_periods') / slowest:.3g} s"
        )
    depth = limit("slow_depth_usual")
    if rhythm.low_level is not None and 0 < rhythm.low_level < 100 and declared == "double_pulsed":
        depth = (100 - rhythm.low_level) / (100 + rhythm.low_level)
    if result.swell.least_depth > depth:
        least = 100 * (1 - result.swell.least_depth) / (1 + result.swell.least_depth)
        return f"the readings scatter so much that only a low level under {least:.0f} % would show"
    return ""
