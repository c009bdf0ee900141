"""What the program makes of a log of the corpus."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.figures import Instrument
from qualification.rules.waveform.layout import changed, recognise
from qualification.rules.waveform.problems import LogError
from qualification.rules.waveform.reading import read_log
from tests.rules.waveform.corpus import Case


@dataclass(frozen=True)
class Found:
    refused: str = ""
    """Kind of the refusal."""
    sentence: str = ""
    doubts: tuple[str, ...] = ()
    energy: float = 0.0
    uncertainty: float = 0.0
    seconds: float = 0.0
    programme: str | None = None


def found_in(case: Case, path: Path) -> Found:
    """Read as a person would who confirms what is proposed, or settles what the case says."""
    path.write_bytes(case.content)
    try:
        layout = recognise(path)
        if case.columns or case.rate:
            layout = changed(layout, path, columns=case.columns, rate=case.rate)
        if "swapped" in case.says and any(doubt.kind == "swapped" for doubt in layout.doubts):
            return Found("swapped", layout.doubts[0].sentence)
        log = read_log(path, layout)
        result = analyse(log, Instrument(1, 1))
    except LogError as error:
        return Found(error.problem.kind, str(error))
    energy = result.figures.energy
    return Found(
        doubts=tuple(problem.kind for problem in (*layout.doubts, *result.problems)),
        energy=energy.value,
        uncertainty=energy.uncertainty,
        seconds=result.figures.seconds,
        programme=result.programme,
    )
