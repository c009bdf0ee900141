"""The one weld whose logs are spoilt in every way: its readings, and how they are written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from tests.rules.waveform.synthetic import Wave, double_pulsed, noisy

RATE, SECONDS = 10_000.0, 8.0
HEADING = "Time (s),Voltage (V),Current (A)"
OPEN_VOLTS = 62.0


@dataclass(frozen=True, eq=False)
class Log:
    """Readings on their way to a file."""

    time: np.ndarray
    volts: np.ndarray
    amps: np.ndarray
    energy: float
    """J of the whole pass, before any fault."""

    def text(
        self,
        heading: str = HEADING,
        delimiter: str = ",",
        form: tuple[str, str, str] = ("%.4f", "%.2f", "%.1f"),
        end: str = "\n",
        preamble: str = "",
        rows: Callable[[list[str]], list[str]] | None = None,
    ) -> bytes:
        cells = [
            [f % x for x in row] for f, row in zip(form, (self.time, self.volts, self.amps), strict=True)
        ]
        lines = [delimiter.join(each) for each in zip(*cells, strict=True)]
        lines = rows(lines) if rows else lines
        head = [heading.replace(",", delimiter)] if heading else []
        return (preamble + end.join([*head, *lines]) + end).encode()


@dataclass(frozen=True, eq=False)
class Case:
    name: str
    content: bytes
    energy: float | None
    """J that the log should give for the arc it holds; `None` where it has to be refused."""
    says: tuple[str, ...] = ()
    """Kinds of doubts that have to stay with it, or of the refusal."""
    at_least: bool = False
    """Only a lower bound can be known."""
    columns: dict[str, tuple[int, str, float]] = field(default_factory=dict)
    """What a person settles."""
    rate: float | None = None
    programme: str | None = "double_pulsed"
    energy_tolerance: float = 0.012
    seconds: float = SECONDS


def weld(rng: np.random.Generator, seconds: float = SECONDS, **changes: float) -> Log:
    settings = {"frequency": 120, "duty": 0.3, "slow": 2, "low_level": 0.6, "slow_share": 0.5} | changes
    wave = double_pulsed(seconds, RATE, **settings)  # type: ignore[arg-type]
    return of_wave(wave, rng)


def of_wave(wave: Wave, rng: np.random.Generator, volts: float = 0.4, amps: float = 4.0) -> Log:
    energy = float((wave.volts * wave.amps).sum() / wave.rate)
    made = noisy(wave, rng, volts, amps)
    return Log(np.arange(len(made.volts)) / wave.rate, made.volts, made.amps, energy)


def idle(
    log: Log,
    before: float,
    after: float,
    rng: np.random.Generator,
    noise: float = 0.3,
    offset: float = 0.0,
    volts: float = OPEN_VOLTS,
) -> Log:
    """With the arc out before and after, at open circuit; the clamp is `offset` off all along."""
    first, last = int(before * RATE), int(after * RATE)

    def rest(count: int) -> tuple[np.ndarray, np.ndarray]:
        return volts + rng.normal(0, 0.3, count), rng.normal(0, noise, count)

    (v0, a0), (v1, a1) = rest(first), rest(last)
    own = rng.normal(0, noise, len(log.amps))
    amps = np.concatenate((a0, log.amps + own, a1)) + offset
    volts_all = np.concatenate((v0, log.volts, v1))
    return Log(np.arange(len(amps)) / RATE, volts_all, amps, log.energy)


def changed(log: Log, **changes: np.ndarray) -> Log:
    return Log(
        changes.get("time", log.time),
        changes.get("volts", log.volts),
        changes.get("amps", log.amps),
        log.energy,
    )
