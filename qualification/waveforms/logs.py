"""Waveform files of trials: kept as they came, recognised, confirmed by a person, worked through, and shown.

A large file never lies in memory whole: it is streamed to disk, read in pieces, and its readings are kept
beside it as plain arrays, so that a closer look at a part needs no second reading of the text.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import asdict, replace
from decimal import Decimal
from functools import partial
from math import isfinite
from pathlib import Path
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState, Trial, TrialLog, TrialPass
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.arithmetic.engineering import engineering
from qualification.rules.arithmetic.transfer import transition_current
from qualification.rules.arithmetic.weld_inputs import wire_of
from qualification.rules.arithmetic.wire import NotTabled
from qualification.rules.core.values import Interval
from qualification.rules.trials.pass_readings import read_pass
from qualification.rules.trials.practice import reading_off
from qualification.rules.waveform.analysis import Analysis, analyse, frequency_check
from qualification.rules.waveform.coverage import Logged, display_doubts, other_time, pass_time
from qualification.rules.waveform.envelope import Envelope, envelope, part_between
from qualification.rules.waveform.evidence import Evidence, Rhythm, compare, modes_seen
from qualification.rules.waveform.figures import Figure, Instrument
from qualification.rules.waveform.layout import Layout, changed, recognise
from qualification.rules.waveform.log import Log, LogGap
from qualification.rules.waveform.problems import LogError, refuse
from qualification.rules.waveform.pulses import Pulses
from qualification.rules.waveform.reading import read_log
from qualification.rules.waveform.readings_cache import keep, kept
from qualification.waveforms.kept_envelope import lists, of_lists

logger = logging.getLogger(__name__)

AT_ONCE_BYTES = 12_000_000
"""A file up to this size is worked through while the page waits, well within two seconds; larger ones are
queued."""
MOST_BYTES = 1_000_000_000
"""The server takes no larger request; 10 million readings are about a quarter of it."""
PULSES_SHOWN, SECONDS_SHOWN = 6, 0.1
"""How much a closer look shows that nobody chose the ends of."""
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


def keep_upload(
    trial: Trial, upload: UploadedFile[Any], weld_pass: TrialPass | None, person: Person
) -> TrialLog:
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
    cannot be read, for whatever reason, so that its page can say so."""
    try:
        return _proposal(log)
    except LogError:
        raise
    except OSError as error:
        raise refuse("missing", f"The file {log} is not where it was kept. Replace it below.") from error
    except Exception as error:
        logger.exception("waveform file %s could not be recognised", log.pk)
        raise refuse(
            "not_text",
            "This file could not be read. Replace it by one exported as CSV, one reading to a line; whoever "
            "runs the server finds the reason in its log.",
        ) from error


def _proposal(log: TrialLog) -> Layout:
    path = Path(log.file.path)
    layout = recognise(path)
    if not log.settings:
        return layout
    columns = {
        quantity: (int(index), unit, float(scale))
        for quantity, (index, unit, scale) in log.settings.get("columns", {}).items()
    }
    return changed(replace(layout, columns=()), path, columns=columns, rate=log.settings.get("rate"))


def headings(layout: Layout) -> dict[int, str]:
    """What the file itself calls its columns."""
    return dict(enumerate(layout.headings))


def replace_upload(log: TrialLog, upload: UploadedFile[Any], person: Person) -> TrialLog:
    """Another file in the place of this one, on the same pass; what was settled for the old one goes."""
    made = keep_upload(log.trial, upload, log.weld_pass, person)
    if made.pk != log.pk:
        remove(log, person)
    return made


def remove(log: TrialLog, person: Person) -> None:
    """Take a file and all that was reckoned from it off its trial; the trail says so. Papers already issued
    keep what they print."""
    paths = [Path(log.file.path), arrays_of(log)]
    append(
        "remove_waveform",
        Trial.KIND,
        log.trial_id,
        log.trial.number,
        name_of(person),
        {"detail": log.filename, "sha256": log.sha256},
    )
    log.delete()
    transaction.on_commit(partial(_remove, paths))


def _remove(paths: Sequence[Path]) -> None:
    for path in paths:
        path.unlink(missing_ok=True)


def work_through(log_id: int) -> None:
    """Read the file and reckon. What stands in the way is kept as the log's message; nothing is raised, so
    that no file can keep its pages from being shown."""
    log = TrialLog.objects.select_related("trial", "weld_pass").get(pk=log_id)
    TrialLog.objects.filter(pk=log_id).update(state=LogState.RUNNING, alive_at=timezone.now())
    try:
        found = _reckoned(log)
    except LogError as error:
        _failed(log_id, str(error))
        return
    except Exception:
        logger.exception("waveform file %s could not be worked through", log_id)
        _failed(
            log_id,
            "This file could not be analyzed. Choose other columns below, or replace the file; whoever runs "
            "the server finds the reason in its log.",
        )
        return
    TrialLog.objects.filter(pk=log_id).update(state=LogState.DONE, message="", analysis=found)


def _failed(log_id: int, message: str) -> None:
    TrialLog.objects.filter(pk=log_id).update(state=LogState.FAILED, message=message[:600], analysis=None)


def _reckoned(log: TrialLog) -> dict[str, Any]:
    layout = proposal(log)
    readings = read_log(Path(log.file.path), layout)
    result = analyse(readings, instrument_of(log))
    mode, programme, stated = declared(log.trial)
    rhythm = rhythm_of(log.trial)
    problems = [problem.sentence for problem in (*layout.doubts, *result.problems)]
    if stated is not None and (doubt := frequency_check(result, float(stated))) is not None:
        problems.append(doubt.sentence)
    problems += _pass_doubts(log, result)
    keep(arrays_of(log), readings)
    return _plain_numbers(
        {
            "readings": readings.readings,
            "step": readings.step,
            "start": readings.start,
            "left_out": readings.left_out,
            "gaps": [[gap.at, gap.seconds] for gap in readings.gaps],
            "seconds": result.figures.seconds,
            "problems": list(dict.fromkeys(problems)),
            "figures": {key: _figure(getattr(result.figures, key)) for key in FIGURES},
            "alternating": result.alternating,
            "with_instrument": bool(log.settings.get("instrument")),
            "instrument_share": _instrument_share(result),
            "begins": result.begins,
            "ends": result.ends,
            "missing": result.figures.missing,
            "at_least": any(problem.kind == "clipped" for problem in result.problems),
            "programme": result.programme,
            "modes": sorted(modes_seen(result)),
            "pulses": _pulses(result.pulses),
            "slow": _slow(result),
            "high_pulses": _pulses(result.high_pulses),
            "low_pulses": _pulses(result.low_pulses),
            "shorts": _plain(result.shorts),
            "drift": result.drift_percent,
            "declared": [mode, programme, *asdict(rhythm).values()],
            "evidence": [
                _evidence(each) for each in compare(result, mode, programme, _transition(log.trial), rhythm)
            ],
            "envelope": lists(envelope(readings)),
            "closer": _closer(readings, result),
        }
    )


def _plain_numbers(part: Any) -> Any:
    """Without numbers that JSON cannot hold: what is not known is nothing."""
    if isinstance(part, dict):
        return {key: _plain_numbers(value) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [_plain_numbers(value) for value in part]
    return None if isinstance(part, float) and not isfinite(part) else part


def _pass_doubts(log: TrialLog, result: Analysis) -> list[str]:
    """Where the log and what was read of its pass do not go together."""
    if log.weld_pass is None:
        return []
    read, position = read_pass(log.weld_pass.entries, log.trial.units)[0], log.weld_pass.position
    found = []
    logged, stated = logged_of(result), ends_of(read.arc_time)
    time = pass_time(logged, stated, float(reading_off("arc_time")))
    if time is not None and time.other and stated is not None:
        found.append(other_time(logged, sum(stated) / 2, position))
    if not result.alternating:
        means = {"amps": result.figures.mean_amps.value, "volts": result.figures.mean_volts.value}
        displayed = {
            key: ends for key, span in (("amps", read.amps), ("volts", read.volts)) if (ends := ends_of(span))
        }
        found += display_doubts(means, displayed, position)
    return found


def ends_of(span: Interval | None) -> tuple[float, float] | None:
    """Least and most of an entry; `None` where it lacks either."""
    if span is None or span.low is None or span.high is None:
        return None
    return float(span.low), float(span.high)


def logged_of(result: Analysis) -> Logged:
    """What the analysis says of the arc time it holds."""
    power = result.figures.mean_power
    return Logged(
        result.figures.seconds, result.begins, result.ends, power.value, power.random, power.scatter
    )


def instrument_of(log: TrialLog) -> Instrument:
    """The errors of the instruments as stated, else the usual ones."""
    stated = log.settings.get("instrument")
    usual = 100 * engineering().threshold("instrument_off")
    return Instrument(*map(float, stated)) if stated else Instrument(usual, usual)


def declared(trial: Trial) -> tuple[str | None, str | None, Decimal | None]:
    """Transfer mode, current program and pulse frequency the trial states."""
    line = TrialRead(trial).line
    return line.choice("transfer_mode"), line.choice("current_programme"), line.number("pulse_frequency")


def rhythm_of(trial: Trial) -> Rhythm:
    """The numbers the trial states of its pulses; a span states none."""
    line = TrialRead(trial).line

    def one(key: str) -> float | None:
        value = line.interval(key)
        ends = ends_of(value) if value is not None else None
        return ends[0] if ends and ends[0] == ends[1] else None

    return Rhythm(one("pulse_frequency"), one("pulse_duty"), one("slow_frequency"), one("low_level"))


def declared_now(trial: Trial) -> list[Any]:
    """What the analysis held the log against, as the trial states it now."""
    mode, programme, _ = declared(trial)
    return [mode, programme, *asdict(rhythm_of(trial)).values()]


def _transition(trial: Trial) -> float | None:
    """The current from which the trial's wire sprays in its gas; `None` where that is not tabled."""
    facts = TrialRead(trial).line
    spool, gas = wire_of(facts), facts.choice("shielding_gas")
    if spool is None or gas is None:
        return None
    try:
        return float(transition_current(spool.filler.family, spool.diameter, gas).amps)
    except NotTabled:
        return None


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "value": figure.value,
        "unit": figure.unit,
        "uncertainty": figure.uncertainty,
        "random": figure.random,
        "scatter": figure.scatter,
    }


def _instrument_share(result: Analysis) -> float:
    """Standard uncertainty of the power by the instruments' own error, as a share of it."""
    power = result.figures.mean_power
    return abs((power.instrument or 0.0) / power.value) if power.value else 0.0


def _pulses(found: Pulses | None) -> dict[str, Any] | None:
    return None if found is None else {**asdict(found), "duty": found.duty}


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


def whole_log(log: TrialLog) -> Envelope:
    """The envelope kept with the analysis."""
    return of_lists((log.analysis or {})["envelope"])


def arrays_of(log: TrialLog) -> Path:
    """Where the readings lie, two rows of numbers: volts and amperes."""
    return Path(log.file.path).with_suffix(".npy")


def closer_look(log: TrialLog, first: float, last: float) -> Envelope:
    """The part between two times on the log's own clock, thinned out. Raises ValueError when it holds no
    reading."""
    found = log.analysis or {}
    gaps = [LogGap(int(at), float(seconds)) for at, seconds in found["gaps"]]
    readings = kept(arrays_of(log), found["step"], found["start"], gaps, found["left_out"])
    return envelope(readings, part_between(readings, first, last))
