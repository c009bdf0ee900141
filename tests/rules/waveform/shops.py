"""Shops that weld coupons and record them, with a truth that is known: how often the program's intervals hold
it, and how often it sees a difference that is not there.

A coupon's energy strays from that of its program by `scatter`. The watch is off by up to half a second, the
rule by up to 2 mm, clamp and probe by up to 3 % of reading (evenly spread, as their makers state errors). The
power of a log is what the program itself finds in generated readings with noise, whole or a part of the pass.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from math import hypot, sqrt

import numpy as np

from qualification.rules.arithmetic.heat_comparison import (
    Coupon,
    HeatComparison,
    HeatContrast,
    PassHeat,
    compare,
)
from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.coverage import Logged, pass_energy, pass_time
from qualification.rules.waveform.log import Log
from tests.rules.waveform.synthetic import (
    Wave,
    double_pulsed,
    noisy,
    pulsed,
    short_circuiting,
    steady,
    with_pauses,
)

RATE, SECONDS, LENGTH = 5_000.0, 8.0, 152.4
OFF_TIME, OFF_LENGTH, OFF_INSTRUMENT = 0.5, 2.0, 0.03
REALIZATIONS = 12
PROGRAMS = ("steady", "pulsed", "double", "short")


def wave_of(program: str, rng: np.random.Generator) -> Wave:
    makers: dict[str, Callable[[], Wave]] = {
        "steady": lambda: steady(SECONDS, RATE, 23, 150),
        "pulsed": lambda: pulsed(SECONDS, RATE, 97, 0.3, (28, 320), (18, 60)),
        "double": lambda: double_pulsed(SECONDS, RATE, 97, 0.3, 2, 0.6, 0.5),
        "short": lambda: short_circuiting(SECONDS, RATE, 70, rng),
    }
    return makers[program]()


@dataclass(frozen=True)
class Recorded:
    logged: Logged
    power: float
    """True power of the whole pass, W."""


@cache
def recorded(program: str, part: float) -> tuple[Recorded, ...]:
    """Some logs of one program: whole with its ends, or a part of the pass from somewhere within it."""
    rng = np.random.default_rng([PROGRAMS.index(program), int(100 * part)])
    found = []
    for _ in range(REALIZATIONS):
        clean = wave_of(program, rng)
        power = float((clean.volts * clean.amps).mean())
        made = noisy(clean, rng, 0.5, 5)
        if part >= 1:
            log = with_pauses(made, 0.3, 0.3).log()
        else:
            count = int(part * len(made.volts))
            first = int(rng.integers(0, len(made.volts) - count))
            log = Log(
                made.volts[first : first + count], made.amps[first : first + count], 1 / RATE, 0.0, (), (), 0
            )
        result = analyse(log)
        figure = result.figures.mean_power
        found.append(
            Recorded(
                Logged(
                    result.figures.seconds,
                    result.begins,
                    result.ends,
                    figure.value,
                    figure.random,
                    figure.scatter,
                ),
                power,
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class Scenario:
    one: str
    other: str
    coupons: int
    part: float = 1.0
    scatter: float = 0.05
    same_truth: bool = False
    """The second side has the truth of the first, whatever its program."""
    one_instrument: bool = False


def instrument(rng: np.random.Generator) -> float:
    """What the errors of clamp and probe make of a power."""
    return float(
        (1 + rng.uniform(-OFF_INSTRUMENT, OFF_INSTRUMENT))
        * (1 + rng.uniform(-OFF_INSTRUMENT, OFF_INSTRUMENT))
    )


def one_pass(
    program: str,
    part: float,
    gain: float,
    truth: float,
    scatter: float,
    recorder: str,
    rng: np.random.Generator,
) -> tuple[PassHeat, float]:
    """A pass as the program takes it, and its true energy per length (kJ/in); `truth` is the program's."""
    taken = recorded(program, part)[int(rng.integers(REALIZATIONS))]
    own = truth * (1 + scatter * float(rng.normal()))
    # The readings of this log, brought to the power that this coupon had, and off as its instruments are.
    factor = own / _per_inch(taken.power * SECONDS, LENGTH) * gain
    seen = taken.logged
    logged = Logged(
        seen.seconds, seen.begins, seen.ends, seen.power * factor, seen.random * factor, seen.scatter * factor
    )
    watch = SECONDS + rng.uniform(-OFF_TIME, OFF_TIME)
    length = LENGTH + rng.uniform(-OFF_LENGTH, OFF_LENGTH)
    time = pass_time(logged, (watch, watch), OFF_TIME)
    assert time is not None
    energy = pass_energy(logged, time)
    value = _per_inch(energy.joules, length)
    random = value * hypot(energy.random / energy.joules, OFF_LENGTH / sqrt(3) / length)
    shared = value * OFF_INSTRUMENT * sqrt(2 / 3)
    return PassHeat(1, _exact(value), _exact(random), _exact(shared), recorder), own


def _per_inch(joules: float, millimetres: float) -> float:
    return joules / 1000 / (millimetres / 25.4)


def _exact(value: float) -> Decimal:
    return Decimal(f"{value:.9g}")


def truth_of(program: str) -> float:
    return _per_inch(recorded(program, 1.0)[0].power * SECONDS, LENGTH)


def welded(scenario: Scenario, rng: np.random.Generator) -> tuple[HeatComparison, float]:
    """The program's answer for one try, and the true difference in percent."""
    truths = [truth_of(scenario.one), truth_of(scenario.other)]
    if scenario.same_truth:
        truths[1] = truths[0]
    gains = [instrument(rng) for _ in range(2)]
    if scenario.one_instrument:
        gains[1] = gains[0]
    sides = []
    for side, program in enumerate((scenario.one, scenario.other)):
        name = "logger" if scenario.one_instrument else ""
        sides.append(
            [
                Coupon(
                    f"{side}-{number}",
                    (
                        one_pass(
                            program, scenario.part, gains[side], truths[side], scenario.scatter, name, rng
                        )[0],
                    ),
                )
                for number in range(scenario.coupons)
            ]
        )
    return compare(*sides), 100 * (truths[0] / truths[1] - 1)


@dataclass(frozen=True)
class Tally:
    held: int
    false: int
    """Differences called real of which the truth is none, or the other way round."""
    seen: int
    margin: float
    """Middle margin, percent."""


def tally(scenario: Scenario, tries: int = 100, seed: int = 5) -> Tally:
    rng = np.random.default_rng(seed)
    held = false = seen = 0
    margins = []
    for _ in range(tries):
        found, truth = welded(scenario, rng)
        held += abs(found.percent - truth) <= found.margin
        real = found.answer in (HeatContrast.LESS, HeatContrast.MORE)
        seen += real
        false += real and (abs(truth) < 1e-9 or (truth < 0) != (found.answer is HeatContrast.LESS))
        margins.append(found.margin)
    return Tally(held, false, seen, float(np.median(margins)))


def single(program: str, part: float, tries: int = 100, seed: int = 7) -> int:
    """How many of so many passes have their true energy within twice the uncertainty given."""
    rng = np.random.default_rng(seed)
    held = 0
    for _ in range(tries):
        found, truth = one_pass(program, part, instrument(rng), truth_of(program), 0.05, "", rng)
        off = hypot(float(found.random), float(found.instruments))
        held += abs(float(found.value) - truth) <= 2 * off
    return held
