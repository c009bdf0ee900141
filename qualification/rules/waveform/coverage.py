"""How much of a pass a log holds, and what energy that makes of the whole.

A log that holds both ends of the arc holds the pass. Any other may hold a part: then its power times the
arc time of the pass tells the energy, as well as that time is known, and what was not recorded is taken to be
like the rest within `unrecorded_off`. Without an arc time of the pass nothing can be said.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from ..arithmetic.engineering import engineering

SAME = 0.02
"""Share by which the arc time of a log and of its pass may differ beyond the error of the watch."""


@dataclass(frozen=True)
class Logged:
    """What a log says of its arc, s and W."""

    seconds: float
    begins: bool
    """It holds the start of the arc."""
    ends: bool
    power: float
    random: float
    """Standard uncertainty of the power without the part of the instruments."""
    scatter: float
    """The part of it that is scatter from place to place."""

    @property
    def whole(self) -> bool:
        return self.begins and self.ends


@dataclass(frozen=True)
class PassTime:
    """Arc time of the pass, and how well it is known (standard uncertainty), s."""

    seconds: float
    uncertainty: float
    recorded: float
    """Share of it that the log holds, at most 1."""
    from_log: bool
    """The log itself tells it."""
    other: bool = False
    """The log and what is stated of the pass do not go together."""


def pass_time(log: Logged, stated: tuple[float, float] | None, off: float) -> PassTime | None:
    """The arc time of the pass from a log and from what is `stated` of it (least and most), of which each
    end may be `off`. `None` where neither tells it."""
    if stated is None:
        return PassTime(log.seconds, 0.0, 1.0, True) if log.whole else None
    least, most = stated[0] - off, stated[1] + off
    near = least * (1 - SAME) <= log.seconds <= most * (1 + SAME)
    if log.whole and near:
        return PassTime(log.seconds, 0.0, 1.0, True)
    middle = (stated[0] + stated[1]) / 2
    if middle <= 0:
        return None
    if log.whole or log.seconds > most * (1 + SAME):
        spread = (most - least) / 2 / sqrt(3)
        return PassTime(middle, spread, min(1.0, log.seconds / middle), False, other=True)
    # The pass lasted as long as its log at least.
    low, high = max(least, log.seconds), max(most, log.seconds)
    seconds = min(max(middle, low), high)
    width = high - low
    squares = ((high - seconds) ** 3 + (seconds - low) ** 3) / (3 * width) if width > 0 else 0.0
    return PassTime(seconds, sqrt(squares), min(1.0, log.seconds / seconds), False)


@dataclass(frozen=True)
class PassEnergy:
    """Energy of a whole pass, J, and its standard uncertainty without the part of the instruments."""

    joules: float
    random: float


def pass_energy(log: Logged, time: PassTime) -> PassEnergy:
    """Power by the arc time of the pass, with what is not known of either."""
    joules = log.power * time.seconds
    if time.from_log:
        # A sum over all there was does not scatter.
        kept = sqrt(max(0.0, log.random**2 - log.scatter**2))
        return PassEnergy(joules, kept * time.seconds)
    unrecorded = 1 - time.recorded
    unlike = unrecorded * engineering().threshold("unrecorded_off") / sqrt(3) * abs(log.power)
    power = hypot(log.random, unlike)
    return PassEnergy(joules, hypot(power * time.seconds, log.power * time.uncertainty))


def missing_time(log: Logged, position: int) -> str:
    """Why a log says nothing of the energy of its pass, and what to do."""
    ends = [word for word, seen in (("begins", log.begins), ("ends", log.ends)) if not seen]
    return (
        f"The log {' and '.join(ends)} with the arc on, so it may hold a part of pass {position} only. Enter "
        f"the arc time of pass {position} on the trial to get its energy per length."
    )


def other_time(log: Logged, stated: float, position: int) -> str:
    """A doubt where log and pass do not go together; `stated` is the arc time of the pass, s."""
    if log.seconds > stated:
        return (
            f"The log holds {log.seconds:.3g} s of arc, pass {position} lasted {stated:.3g} s. Either the "
            f"sample rate or unit of time of the log is off by a factor of {log.seconds / stated:.3g}, or it "
            "is the log of more than this pass."
        )
    return (
        f"The log holds {log.seconds:.3g} s of arc with its start and end, pass {position} lasted "
        f"{stated:.3g} s. Either it is the log of another arc, or the arc time of the pass is wrong."
    )


def display_doubts(
    measured: dict[str, float], displayed: dict[str, tuple[float, float]], position: int
) -> list[str]:
    """Doubts where means of the log and what the machine displayed differ by more than `display_off`: by
    quantity (`amps`, `volts`), displayed as least and most."""
    found = []
    off = engineering().threshold("display_off")
    for key, name, unit in (("amps", "current", "A"), ("volts", "voltage", "V")):
        if key not in displayed or measured.get(key, 0.0) <= 0:
            continue
        low, high = displayed[key]
        value, middle = measured[key], (low + high) / 2
        if middle <= 0 or low * (1 - off) <= value <= high * (1 + off):
            continue
        found.append(
            f"The mean {name} of the log is {value:.3g} {unit}, pass {position} displayed {middle:.3g} "
            f"{unit}: a factor of {value / middle:.2g}. Check the scale of the "
            f"{'clamp' if key == 'amps' else 'probe'}, and whether this is the log of that pass."
        )
    return found
