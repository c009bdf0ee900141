"""Waveform files of trials: kept as they came, recognised, confirmed by a person, worked through, and shown.

A large file never lies in memory whole: it is streamed to disk, read in pieces, and its readings are kept
beside it as plain arrays, so that a closer look at a part needs no second reading of the text.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from math import hypot, sqrt
from pathlib import Path
from typing import Any

import numpy as np
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone

from qualification.audit import append, name_of
from qualification.models import LogState, Trial, TrialLog, TrialPass
from qualification.roles import Person
from qualification.rules.arithmetic.heat import energy_by_length, power_by_speed
from qualification.rules.arithmetic.stated import gas_of, wire_of
from qualification.rules.arithmetic.transfer import transition_current
from qualification.rules.arithmetic.wire import NotTabled
from qualification.rules.pass_readings import PassReading, read_pass
from qualification.rules.practice import reading_off
from qualification.rules.values import Interval
from qualification.rules.waveform.analysis import Analysis, analyse, frequency_check
from qualification.rules.waveform.envelope import Envelope, envelope, part_between
from qualification.rules.waveform.evidence import Evidence, compare, modes_seen
from qualification.rules.waveform.figures import Figure, Instrument
from qualification.rules.waveform.kept import keep, kept
from qualification.rules.waveform.layout import Layout, changed, recognise
from qualification.rules.waveform.log import Gap, Log
from qualification.rules.waveform.problems import LogError
from qualification.rules.waveform.reading import read_log
from qualification.trial_content import TrialRead

SAME_TIME = 0.05
"""Share by which the arc time of a log and of its pass may differ and still be the same weld (a choice of
ours)."""
AT_ONCE_BYTES = 12_000_000
"""A file up to this size is worked through while the page waits, well within two seconds; larger ones are
queued."""
MOST_BYTES = 1_000_000_000
"""The server takes no larger request; 10 million readings are about a quarter of it."""
PULSES_SHOWN, SECONDS_SHOWN = 6, 0.1
"""How much a closer look shows that nobody chose the ends of."""
ENVELOPE = ("seconds", "volts_low", "volts_high", "amps_low", "amps_high")
FIGURES = (
    "mean_volts",
    "mean_amps",
    "rms_volts",
    "rms_amps",
    "mean_power",
    "energy",
    "product_of_means",
    "product_of_rms",
    "difference_percent",
)


def keep_upload(trial: Trial, upload: UploadedFile, weld_pass: TrialPass | None, person: Person) -> TrialLog:
    """Keep the file byte for byte. The same file sent again for the same trial is the one already kept."""
    digest = hashlib.sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    upload.seek(0)
    known = trial.logs.filter(sha256=digest.hexdigest(), weld_pass=weld_pass).first()
    if known is not None:
        return known
    log = TrialLog(
        trial=trial,
        weld_pass=weld_pass,
        filename=Path(upload.name or "log.csv").name[:160],
        size=upload.size or 0,
        sha256=digest.hexdigest(),
        added_by_name=name_of(person),
    )
    log.file.save(f"trial-{trial.pk}.csv", upload, save=False)
    log.save()
    append(
        "waveform",
        Trial.KIND,
        trial.pk,
        trial.number,
        name_of(person),
        {"detail": log.filename, "sha256": log.sha256},
    )
    return log


def proposal(log: TrialLog) -> Layout:
    """How the file is to be read: as recognised, with what a person settled. Raises LogError where it
    cannot be read."""
    path = Path(log.file.path)
    layout = recognise(path)
    if not log.settings:
        return layout
    columns = {
        quantity: (int(index), unit, float(scale))
        for quantity, (index, unit, scale) in log.settings.get("columns", {}).items()
    }
    return changed(replace(layout, columns=()), path, columns=columns, rate=log.settings.get("rate"))


def headings(log: TrialLog) -> dict[int, str]:
    """What the file itself calls its columns. Raises LogError where it cannot be read."""
    return {column.index: column.heading for column in recognise(Path(log.file.path)).columns}


def work_through(log_id: int) -> None:
    """Read the file and reckon. What stands in the way is kept as the log's message; nothing is raised."""
    log = TrialLog.objects.select_related("trial", "weld_pass").get(pk=log_id)
    TrialLog.objects.filter(pk=log_id).update(state=LogState.RUNNING, alive_at=timezone.now())
    try:
        found = _reckoned(log)
    except LogError as error:
        TrialLog.objects.filter(pk=log_id).update(
            state=LogState.FAILED, message=str(error)[:600], analysis=None
        )
        return
    TrialLog.objects.filter(pk=log_id).update(state=LogState.DONE, message="", analysis=found)


def _reckoned(log: TrialLog) -> dict[str, Any]:
    readings = read_log(Path(log.file.path), proposal(log))
    instrument = log.settings.get("instrument")
    result = analyse(readings, Instrument(*map(float, instrument)) if instrument else None)
    mode, programme, stated = declared(log.trial)
    problems = [problem.sentence for problem in result.problems]
    if stated is not None and (doubt := frequency_check(result, float(stated))) is not None:
        problems.append(doubt.sentence)
    if doubt := _longer_than_its_pass(log, result.figures.seconds):
        problems.append(doubt)
    keep(arrays_of(log), readings)
    return {
        "readings": readings.readings,
        "step": readings.step,
        "start": readings.start,
        "left_out": readings.left_out,
        "gaps": [[gap.at, gap.seconds] for gap in readings.gaps],
        "seconds": result.figures.seconds,
        "problems": problems,
        "figures": {key: _figure(getattr(result.figures, key)) for key in FIGURES},
        "alternating": result.alternating,
        "with_instrument": bool(instrument),
        "programme": result.programme,
        "modes": sorted(modes_seen(result)),
        "pulses": _plain(result.pulses),
        "slow": _slow(result),
        "shorts": _plain(result.shorts),
        "drift": result.drift_percent,
        "declared": [mode, programme],
        "evidence": [_evidence(each) for each in compare(result, mode, programme, _transition(log.trial))],
        "envelope": lists(envelope(readings)),
        "closer": _closer(readings, result),
    }


def _longer_than_its_pass(log: TrialLog, seconds: float) -> str:
    """A doubt where a log holds more arc than its pass lasted; a log of a part of it is no wonder."""
    time = read_pass(log.weld_pass.entries, log.trial.units)[0].arc_time if log.weld_pass else None
    if log.weld_pass is None or time is None or time.high is None or time.high <= 0:
        return ""
    lasted = float(time.high)
    if seconds <= (1 + SAME_TIME) * lasted:
        return ""
    return (
        f"The log holds {seconds:.3g} s of arc, pass {log.weld_pass.position} lasted {lasted:.3g} s. Either "
        f"the sample rate or unit of time of the log is off by a factor of {seconds / lasted:.3g}, or it is "
        "the log of more than this pass."
    )


def declared(trial: Trial) -> tuple[str | None, str | None, Decimal | None]:
    """Transfer mode, current programme and pulse frequency the trial states."""
    line = TrialRead(trial).line

    def one(key: str) -> str | None:
        value = line[key]
        return next(iter(value)) if isinstance(value, frozenset) and len(value) == 1 else None

    frequency = line["pulse_frequency"]
    point = frequency.low if isinstance(frequency, Interval) and frequency.is_point else None
    return one("transfer_mode"), one("current_programme"), point


def _transition(trial: Trial) -> float | None:
    """The current from which the trial's wire sprays in its gas; `None` where that is not tabled."""
    facts = TrialRead(trial).line
    spool, gas = wire_of(facts), gas_of(facts)
    if spool is None or gas is None:
        return None
    try:
        return float(transition_current(spool.filler.family, spool.diameter, gas).amps)
    except NotTabled:
        return None


def _figure(figure: Figure) -> dict[str, Any]:
    return {"value": figure.value, "unit": figure.unit, "uncertainty": figure.uncertainty}


def _plain(part: Any) -> dict[str, Any] | None:
    return None if part is None else asdict(part)


def _slow(result: Analysis) -> dict[str, Any] | None:
    found = _plain(result.slow)
    if found is not None and result.slow is not None:
        found["low_level_percent"] = result.slow.low_level_percent
    return found


def _evidence(each: Evidence) -> dict[str, str]:
    return {
        "variable": each.variable,
        "declared": each.declared,
        "stand": each.stand.value,
        "words": each.stand.words,
        "sentence": each.sentence,
    }


def _closer(readings: Log, result: Analysis) -> list[float]:
    """From and to, in seconds, of a few pulses in the middle of the longest arc: what is worth a closer
    look."""
    longest = max(result.arcs, key=len)
    middle, half = readings.time_of((longest.start + longest.stop) // 2), len(longest) * readings.step / 2
    reach = min(
        half, PULSES_SHOWN / 2 / result.pulses.frequency if result.pulses is not None else SECONDS_SHOWN / 2
    )
    return [round(middle - reach, 5), round(middle + reach, 5)]


def lists(found: Envelope) -> dict[str, Any]:
    """An envelope as plain lists, to be kept and plotted."""
    return {name: [float(f"{x:.6g}") for x in getattr(found, name)] for name in ENVELOPE} | {
        "per_point": found.per_point
    }


def whole_log(log: TrialLog) -> Envelope:
    """The envelope kept with the analysis."""
    found = (log.analysis or {})["envelope"]
    return Envelope(*(np.asarray(found[name]) for name in ENVELOPE), found["per_point"])


def arrays_of(log: TrialLog) -> Path:
    """Where the readings lie, two rows of numbers: volts and amperes."""
    return Path(log.file.path).with_suffix(".npy")


def closer_look(log: TrialLog, first: float, last: float) -> Envelope:
    """The part between two times on the log's own clock, thinned out. Raises ValueError when it holds no
    reading."""
    found = log.analysis or {}
    gaps = [Gap(int(at), float(seconds)) for at, seconds in found["gaps"]]
    readings = kept(arrays_of(log), found["step"], found["start"], gaps, found["left_out"])
    return envelope(readings, part_between(readings, first, last))


@dataclass(frozen=True)
class MeasuredEnergy:
    """Energy per length of one pass by a measured waveform, kJ/in, without a thermal efficiency."""

    value: Decimal
    uncertainty: Decimal
    by_means: Decimal
    """What mean volts times mean amperes would have given."""
    basis: str
    """What it was reckoned from, in words."""


def measured_energy(log: TrialLog) -> MeasuredEnergy | None:
    """By QW-409.1(c): energy by length where the log holds the whole pass, else average power by travel
    speed.

    `None` where the file is not worked through, or its pass does not state what is needed. The uncertainty
    holds that of the measured figure, and of a length read off a rule and a time stopped by hand.
    """
    if log.state != LogState.DONE or not log.analysis or log.weld_pass is None:
        return None
    read = read_pass(log.weld_pass.entries, log.trial.units)[0]
    figures, seconds = log.analysis["figures"], log.analysis["seconds"]
    if _holds_whole(read, seconds):
        assert read.length is not None
        assert read.length.low is not None
        return _reckon(
            lambda figure: energy_by_length(figure, read.length.low),  # type: ignore[union-attr, arg-type]
            figures["energy"],
            figures["product_of_means"]["value"] * seconds,
            float(reading_off("pass_length") / read.length.low) / sqrt(3),
            f"Measured energy by the length of pass {log.weld_pass.position}.",
        )
    if (
        read.plain_travel is None
        or read.travel is None
        or read.travel.low is None
        or read.travel.high is None
    ):
        return None
    travel, spread = read.plain_travel, (read.travel.high - read.travel.low) / 2
    return _reckon(
        lambda figure: power_by_speed(figure, travel),
        figures["mean_power"],
        figures["product_of_means"]["value"],
        float(spread / travel) / sqrt(3),
        f"Average power by the travel speed of pass {log.weld_pass.position}; "
        f"the log holds {seconds:.3g} s of it.",
    )


def _holds_whole(read: PassReading, seconds: float) -> bool:
    """True where the log holds the whole pass: its arc time is that of the pass, or the pass states none."""
    if read.length is None or not read.length.is_point:
        return False
    time = read.arc_time
    return time is None or not time.is_point or abs(seconds / float(time.low) - 1) <= SAME_TIME  # type: ignore[arg-type]


def _reckon(
    per_length: Callable[[Decimal], Decimal],
    figure: dict[str, Any],
    means: float,
    of_length: float,
    basis: str,
) -> MeasuredEnergy:
    measured, by_means = (Decimal(f"{each:.9g}") for each in (figure["value"], means))
    value = per_length(measured)
    share = hypot(figure["uncertainty"] / abs(figure["value"]) if figure["value"] else 0.0, of_length)
    return MeasuredEnergy(value, abs(value) * Decimal(f"{share:.9g}"), per_length(by_means), basis)
