"""A trial's settings and readings as the entries of another record, each with the words of where it came
from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from qualification.evidence.coverage import edition_of
from qualification.evidence.trial_reading import TrialRead
from qualification.models import Origin, Record, Trial
from qualification.rules.core.quantities import DIMENSIONS, from_canonical
from qualification.rules.core.values import Interval
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.reading import Entry
from qualification.rules.trials.practice import steps_of
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import STEP_CHOICES
from qualification.waveforms.pass_energy import measured_energy

MOST_LETTERS = 300


@dataclass(frozen=True)
class Taken:
    """One entry taken over."""

    variable: str
    entry: Entry
    reading: str
    """How it came about."""
    trials: tuple[Trial, ...]
    """The trials it came from."""

    @property
    def line(self) -> int | None:
        return 0 if registry()[self.variable].level is Level.LINE else None


def taken_for(trial: Trial, use: RecordKind) -> list[Taken]:
    """What a record of that use can take over of the trial: its settings as typed; for amps, volts and
    travel speed what was read while welding, where it was. What the trial does not state stays unstated."""
    read = TrialRead(trial)
    found = {
        key: Taken(key, entry, "as set for the trial", (trial,))
        for entries in (trial.joint, trial.line)
        for key, entry in entries.items()
        if key in registry() and use in registry()[key].uses and entry
    }
    speaks = edition_of(trial.edition).speaks
    for taken in [*_readings(read), *_means(read), *_energy(read), *_cleaning(read, found)]:
        definition = registry()[taken.variable]
        if use in definition.uses and definition.asked_by(speaks):
            found[taken.variable] = taken
    order = list(registry())
    return sorted(found.values(), key=lambda taken: order.index(taken.variable))


def _readings(read: TrialRead) -> list[Taken]:
    count = len(read.passes)
    passes = "one pass" if count == 1 else f"{count} passes"
    words = {
        "amps": f"as the display showed it over {passes}",
        "volts": f"as the display showed it over {passes}",
        "travel_speed": f"length by arc time of {passes}, rounded",
    }
    return [
        Taken(key, entry_of(span, key, read.trial.units), words[key], (read.trial,))
        for key in words
        if (span := read.spans[key]) is not None
    ]


def _means(read: TrialRead) -> list[Taken]:
    """Means over the passes, where every pass shows one value: the mean of a reading that swung is not
    known."""
    found = []
    for key, values in (
        ("amps", [p.amps for p in read.passes]),
        ("volts", [p.volts for p in read.passes]),
        ("travel_speed", [Interval.point(p.plain_travel) if p.plain_travel else None for p in read.passes]),
    ):
        points = [each.low for each in values if each is not None and each.is_point and each.low is not None]
        if points and len(points) == len(read.passes):
            mean = Interval.point(sum(points, Decimal(0)) / len(points))
            entry = entry_of(mean, f"{key}_mean", read.trial.units)
            found.append(Taken(f"{key}_mean", entry, f"mean of {len(points)} passes, rounded", (read.trial,)))
    return found


def _energy(read: TrialRead) -> list[Taken]:
    measured = [found for log in read.trial.logs.all() if (found := measured_energy(log)) is not None]
    if not measured:
        return []
    span = Interval(min(each.value for each in measured), max(each.value for each in measured))
    names = ", ".join(str(log) for log in read.trial.logs.all() if measured_energy(log) is not None)
    return [
        Taken(
            "heat_input",
            entry_of(span, "heat_input", read.trial.units),
            f"measured energy by length of weld, from {names}",
            (read.trial,),
        ),
        Taken("heat_input_measure", "energy", "the waveform was measured", (read.trial,)),
    ]


def _cleaning(read: TrialRead, found: dict[str, Taken]) -> list[Taken]:
    steps = steps_of(read.read.weld.joint)
    if not steps or "cleaning" in found:
        return []
    labels = {choice.key: choice.label for choice in STEP_CHOICES}
    words = ", then ".join(
        labels[step] if at == 0 else within_sentence(labels[step]) for at, step in enumerate(steps)
    )
    return [Taken("cleaning", words, "the trial's steps of preparation in order", (read.trial,))]


def entry_of(span: Interval, key: str, system: str, *, inward: bool = False) -> str:
    """A span as one would type it, in the unit of the system, one place finer than it is printed. `inward`:
    rounded so that nothing outside the span is claimed."""
    dimension = DIMENSIONS[str(registry()[key].dimension)]
    unit = dimension.unit_for(system)
    places = (dimension.places_us if system == "us" else dimension.places_si) + 1
    assert span.low is not None
    assert span.high is not None
    low, high = (from_canonical(end, unit, dimension) for end in (span.low, span.high))
    rounding = (ROUND_CEILING, ROUND_FLOOR) if inward else (ROUND_HALF_EVEN, ROUND_HALF_EVEN)
    step = Decimal(1).scaleb(-places)
    first, last = low.quantize(step, rounding[0]), high.quantize(step, rounding[1])
    if first > last:
        first = last = ((low + high) / 2).quantize(step)
    text = _plain(first) if first == last else f"{_plain(first)} to {_plain(last)}"
    return f"{text} {unit.symbol}".strip()


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def split(taken: list[Taken]) -> tuple[dict[str, Entry], dict[str, Entry]]:
    """Entries of the joint, and of the one process line."""
    return {t.variable: t.entry for t in taken if t.line is None}, {
        t.variable: t.entry for t in taken if t.line is not None
    }


def keep_origins(record: Record, taken: list[Taken]) -> None:
    """Keep for every entry taken over where it came from."""
    for each in taken:
        entry = each.entry if isinstance(each.entry, str) else "; ".join(each.entry)
        made = Origin.objects.create(
            record_kind=record.KIND,
            record_id=record.pk,
            line=each.line,
            variable=each.variable,
            entry=entry[:MOST_LETTERS],
            reading=each.reading[:MOST_LETTERS],
        )
        made.trials.set(each.trials)
