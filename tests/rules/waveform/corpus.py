"""Logs of one weld as shops bring them: the same double-pulsed pass, whose energy is known, written with the
faults of loggers, clamps, spreadsheets and people.

The pass: 8 s of arc, 120 pulses a second (320 A over 60 A, 30 % of the time) that swell twice a second, the
low phase at 60 %, with noise on both readings. What is true of a case is reckoned from the readings before
any fault is put in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from tests.rules.waveform.one_weld import (
    HEADING,
    OPEN_VOLTS,
    RATE,
    SECONDS,
    Case,
    Log,
    changed,
    idle,
    of_wave,
    weld,
)
from tests.rules.waveform.synthetic import Wave, double_pulsed, pulsed, steady


def cases(seed: int = 1) -> Iterator[Case]:
    """Every fault, one at a time."""
    rng = np.random.default_rng(seed)
    clean = idle(weld(rng), 0.5, 0.5, rng)
    energy = clean.energy
    yield Case("clean", clean.text(), energy)
    yield from _codes(clean, rng)
    yield from _idle(rng)
    yield from _columns(clean)
    yield from _writing(clean)
    yield from _times(clean)
    yield from _steps(clean, rng)
    yield from _ends(clean)
    yield from _parts(rng)
    yield from _rhythms(rng)


def _codes(clean: Log, rng: np.random.Generator) -> Iterator[Case]:
    def swapped(share: float, code: str, run: int = 1) -> Callable[[list[str]], list[str]]:
        def rows(lines: list[str]) -> list[str]:
            lines = list(lines)
            for at in rng.integers(6000, len(lines) - 6000, int(share * len(lines) / run)):
                for i in range(at, at + run):
                    lines[i] = lines[i].rsplit(",", 1)[0] + "," + code
            return lines

        return rows

    for code in ("9.9E+37", "Inf", "NaN", "OVL", "9999999", ""):
        yield Case(
            f"a few {code or 'empty cells'}",
            clean.text(rows=swapped(4e-4, code)),
            clean.energy,
            ("not_numeric",),
        )
    yield Case("half a second of NaN", clean.text(rows=swapped(0.056, "NaN", 5000)), clean.energy, ("gaps",))

    def peaks(lines: list[str]) -> list[str]:
        return [
            line.rsplit(",", 1)[0] + ",9.9E+37" if amps > 300 else line
            for line, amps in zip(lines, clean.amps, strict=True)
        ]

    yield Case("peaks over the range", clean.text(rows=peaks), clean.energy, ("clipped",), at_least=True)

    def idle_over(lines: list[str]) -> list[str]:
        return [
            f"{line.split(',')[0]},Inf,{line.split(',')[2]}" if volts > 50 else line
            for line, volts in zip(lines, clean.volts, strict=True)
        ]

    yield Case("open circuit over the range", clean.text(rows=idle_over), clean.energy)
    yield Case(
        "NaN throughout",
        clean.text(rows=lambda lines: [line.rsplit(",", 1)[0] + ",NaN" for line in lines]),
        None,
        ("no_numbers", "not_numeric"),
    )


def _idle(rng: np.random.Generator) -> Iterator[Case]:
    made = weld(rng)
    yield Case("noisy clamp at rest", idle(made, 1, 1, rng, noise=4).text(), made.energy)
    yield Case("clamp 6 A off", idle(made, 1, 1, rng, offset=6).text(), made.energy, ("zero",))
    yield Case(
        "clamp 12 A off and noisy", idle(made, 1, 2, rng, noise=3, offset=12).text(), made.energy, ("zero",)
    )
    yield Case("clamp -5 A off", idle(made, 1, 1, rng, offset=-5).text(), made.energy, ("zero",))
    yield Case("voltage of nothing at rest", idle(made, 1, 1, rng, volts=0.0).text(), made.energy)
    only = Log(
        np.arange(50_000) / RATE, OPEN_VOLTS + rng.normal(0, 0.3, 50_000), 9 + rng.normal(0, 3, 50_000), 0.0
    )
    yield Case("no arc, clamp 9 A off", only.text(), None, ("no_arc",))
    first, second = idle(weld(rng, 3), 0.5, 0.3, rng), idle(weld(rng, 2), 0.0, 0.5, rng)
    both = Log(
        np.arange(len(first.amps) + len(second.amps)) / RATE,
        np.concatenate((first.volts, second.volts)),
        np.concatenate((first.amps, second.amps)),
        first.energy + second.energy,
    )
    yield Case("two arcs", both.text(), both.energy, seconds=5.0)


def _columns(clean: Log) -> Iterator[Case]:
    energy = clean.energy

    def more(values: np.ndarray, name: str, where: int) -> tuple[str, Callable[[list[str]], list[str]]]:
        names = HEADING.split(",")
        names.insert(where, name)

        def rows(lines: list[str]) -> list[str]:
            made = []
            for line, value in zip(lines, values, strict=True):
                cells = line.split(",")
                cells.insert(where, f"{value:.1f}")
                made.append(",".join(cells))
            return made

        return ",".join(names), rows

    beside = np.full(len(clean.amps), 150.0)
    heading, rows = more(beside, "Set current (A)", 1)
    yield Case("set current first", clean.text(heading, rows=rows), energy, ("columns",))
    heading, rows = more(beside / 100, "Motor current (A)", 1)
    yield Case("motor current first", clean.text(heading, rows=rows), energy, ("columns",))
    heading, rows = more(beside * 2.6, "Supply voltage (V)", 1)
    yield Case("supply voltage first", clean.text(heading, rows=rows), energy, ("columns",))
    heading, rows = more(clean.amps * 1.1, "Current 2 (A)", 2)
    yield Case("two currents that compete", clean.text(heading, rows=rows), None, ("columns",))
    yield Case(
        "only a set current",
        clean.text("Time (s),Voltage (V),Set current (A)"),
        None,
        ("columns",),
    )
    yield Case(
        "current x10",
        changed(clean, amps=clean.amps / 10).text("Time (s),Voltage (V),Current x10 (A)"),
        energy,
        ("factor",),
    )
    yield Case(
        "probe 10:1",
        changed(clean, volts=clean.volts / 10).text(
            "Time (s),Voltage 10:1 (V),Current (A)", form=("%.4f", "%.3f", "%.1f")
        ),
        energy,
        ("factor",),
    )
    yield Case(
        "clamp of 10 mV/A",
        changed(clean, amps=clean.amps * 10).text("Time (s),Voltage (V),Clamp 10 mV/A (mV)"),
        energy,
        ("units",),
    )
    yield Case(
        "clamp without its scale", clean.text("Time (s),Voltage (V),Clamp current (mV)"), None, ("units",)
    )
    yield Case("reversed clamp", changed(clean, amps=-clean.amps).text(), energy, ("polarity",))
    yield Case("reversed probe", changed(clean, volts=-clean.volts).text(), energy, ("polarity",))
    yield Case("swapped", clean.text("Time (s),Current (A),Voltage (V)"), None, ("swapped",))


def _writing(clean: Log) -> Iterator[Case]:
    plain, energy = clean.text(), clean.energy
    yield Case("UTF-16 with a mark", plain.decode().encode("utf-16"), energy)
    yield Case("UTF-16 without a mark", plain.decode().encode("utf-16-le"), energy)
    yield Case("UTF-16, big end first", b"\xfe\xff" + plain.decode().encode("utf-16-be"), energy)
    yield Case("carriage returns", clean.text(end="\r"), energy)
    yield Case("Windows lines", clean.text(end="\r\n"), energy)
    yield Case("decimal commas", clean.text(delimiter=";").replace(b".", b","), energy)
    yield Case(
        "preamble above", clean.text(preamble="Logger 7\nOperator,AB\nSample rate,10000,Hz\n\n"), energy
    )

    def beside(lines: list[str]) -> list[str]:
        said = [
            "Record Length,1.0e+05",
            "Sample Interval,1.0e-04",
            "Trigger Point,0.0e+00",
            "Source,CH1",
            "Note,",
        ]
        return [(said[i] if i < len(said) else ",") + ",," + line for i, line in enumerate(lines)]

    yield Case("preamble beside", clean.text("", rows=beside), energy)
    yield Case(
        "a column of text beside",
        clean.text(HEADING + ",State", rows=lambda lines: [line + ",OK" for line in lines]),
        energy,
    )


def _times(clean: Log) -> Iterator[Case]:
    energy = clean.energy
    day = 46_083.34375

    def stamped(write: Callable[[float], str]) -> Callable[[list[str]], list[str]]:
        return lambda lines: [
            f"{write(t)},{line.split(',', 1)[1]}" for line, t in zip(lines, clean.time, strict=True)
        ]

    def clock(t: float) -> str:
        t += 8 * 3600 + 15 * 60 + 55
        return f"{int(t // 3600):02d}:{int(t % 3600 // 60):02d}:{t % 60:07.4f}"

    yield Case(
        "ISO date-times",
        clean.text("Time,Voltage (V),Current (A)", rows=stamped(lambda t: f"2026-03-02T{clock(t)}")),
        energy,
    )
    yield Case("times of day", clean.text("Time,Voltage (V),Current (A)", rows=stamped(clock)), energy)

    def midnight(t: float) -> str:
        t = (t + 86_395) % 86_400
        return f"{int(t // 3600):02d}:{int(t % 3600 // 60):02d}:{t % 60:07.4f}"

    yield Case("over midnight", clean.text("Time,Voltage (V),Current (A)", rows=stamped(midnight)), energy)
    yield Case(
        "day fractions",
        clean.text("Time,Voltage (V),Current (A)", rows=stamped(lambda t: f"{day + t / 86400:.11f}")),
        energy,
        ("units",),
    )


def _steps(clean: Log, rng: np.random.Generator) -> Iterator[Case]:
    energy = clean.energy
    yield Case("reversed time", clean.text(rows=lambda lines: lines[::-1]), energy, ("backwards",))
    yield Case("three digits", clean.text(form=("%.3g", "%.2f", "%.1f")), energy, ("coarse_time",))
    yield Case("whole milliseconds", clean.text(form=("%.3f", "%.2f", "%.1f")), energy, ("coarse_time",))
    yield Case(
        "jitter",
        changed(clean, time=clean.time + rng.uniform(-0.35, 0.35, len(clean.time)) / RATE).text(
            form=("%.6f", "%.2f", "%.1f")
        ),
        energy,
    )
    keep = rng.random(len(clean.time)) > 0.05
    yield Case(
        "missing lines", Log(clean.time[keep], clean.volts[keep], clean.amps[keep], energy).text(), energy
    )
    fast = np.arange(len(clean.time)) < 40_000
    thinned = fast | (np.arange(len(clean.time)) % 4 == 0)
    yield Case(
        "changing rate",
        Log(clean.time[thinned], clean.volts[thinned], clean.amps[thinned], energy).text(),
        energy,
        ("uneven_time",),
    )
    gap = (clean.time < 3.13) | (clean.time > 3.48)
    yield Case(
        "a gap",
        Log(clean.time[gap], clean.volts[gap], clean.amps[gap], energy).text(),
        energy,
        ("gaps",),
        energy_tolerance=0.03,
    )
    yield Case("two recordings", clean.text() + clean.text(""), None, ("backwards",))


def _ends(clean: Log) -> Iterator[Case]:
    energy = clean.energy
    yield Case(
        "clipped at 250 A",
        changed(clean, amps=np.minimum(clean.amps, 250)).text(),
        energy,
        ("clipped",),
        at_least=True,
    )
    yield Case(
        "clipped at 300 A",
        changed(clean, amps=np.minimum(clean.amps, 300)).text(),
        energy,
        ("clipped",),
        at_least=True,
    )
    yield Case(
        "steps of 2 A and 0.5 V",
        changed(clean, amps=np.round(clean.amps / 2) * 2, volts=np.round(clean.volts * 2) / 2).text(),
        energy,
    )
    yield Case(
        "steps of 10 A and 2 V",
        changed(clean, amps=np.round(clean.amps / 10) * 10, volts=np.round(clean.volts / 2) * 2).text(),
        energy,
    )


def _parts(rng: np.random.Generator) -> Iterator[Case]:
    made = weld(rng)
    whole = idle(made, 0.4, 0.0, rng)
    yield Case("ends with the arc on", whole.text(), made.energy)
    cut = idle(made, 0.0, 0.3, rng)
    yield Case("begins with the arc on", cut.text(), made.energy)


def _rhythms(rng: np.random.Generator) -> Iterator[Case]:
    for level in (0.89, 0.92, 0.95):
        made = weld(rng, low_level=level)
        yield Case(f"low level of {100 * level:.0f} %", idle(made, 0.5, 0.5, rng).text(), made.energy)
    for slow in (1, 3, 5):
        made = weld(rng, slow=slow, low_level=0.7)
        yield Case(f"swell of {slow} Hz", idle(made, 0.5, 0.5, rng).text(), made.energy)
    single = of_wave(pulsed(SECONDS, RATE, 120, 0.3, (28, 320), (18, 60)), rng)
    yield Case("pulsed", idle(single, 0.5, 0.5, rng).text(), single.energy, programme="pulsed")
    plain = of_wave(steady(SECONDS, RATE, 24, 210), rng)
    yield Case("steady", idle(plain, 0.5, 0.5, rng).text(), plain.energy, programme="steady")
    short = weld(rng, seconds=1.4, low_level=0.7)
    yield Case("less than three swells", short.text(), short.energy, programme=None, seconds=1.4)
    # A hand that wanders: the current strays by a twentieth from tenth to tenth of a second.
    wander, strays = np.zeros(80), rng.normal(0, 0.06, 80)
    for at in range(1, 80):
        wander[at] = 0.3 * wander[at - 1] + strays[at]
    straying = double_pulsed(SECONDS, RATE, 120, 0.3, 2, 0.96, 0.5)
    amps = straying.amps * (1 + np.repeat(wander, len(straying.amps) // 80))
    loud = of_wave(Wave(straying.volts, amps, RATE, {}), rng)
    yield Case("a swell that a wandering hand hides", loud.text(), loud.energy, programme=None)
