"""A measured waveform as plain JSON: what a document prints of it, figures and drawings alike.

Drawings are kept as thinned readings, not as pictures, so that a paper issued from a snapshot can always be
made again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from qualification.models import LogState, Origin, Record, Trial, TrialLog
from qualification.rules.waveform.envelope import Envelope, thinned
from qualification.waveforms.kept_envelope import lists, of_lists
from qualification.waveforms.logs import closer_look, whole_log
from qualification.waveforms.plots import plot_sentence, waveform_svg
from qualification.waveforms.words import words_of

POINTS = 500
"""A point for each third of a millimetre on paper."""


def waveforms_of(trial: Trial) -> list[dict[str, Any]]:
    """Every log of the trial that was worked through, in the order they came."""
    return [
        log_content(log)
        for log in trial.logs.select_related("trial", "weld_pass")
        if log.state == LogState.DONE and log.analysis
    ]


def waveforms_behind(record: Record) -> list[dict[str, Any]]:
    """Waveforms of the trials a record's entries came from, whichever of its revisions took them over."""
    ids = list(record.revisions().values_list("pk", flat=True))
    origins = Origin.objects.filter(record_kind=record.KIND, record_id__in=ids)
    trials = Trial.objects.filter(origins__in=origins).distinct().order_by("pk")
    return [content for trial in trials for content in waveforms_of(trial)]


def log_content(log: TrialLog) -> dict[str, Any]:
    """Sentence, figures, evidence and drawings of a log that was worked through."""
    words, analysis = words_of(log), log.analysis or {}
    return {
        "trial": log.trial.number,
        "file": log.filename,
        "sha256": log.sha256,
        "weld_pass": log.weld_pass.position if log.weld_pass else None,
        "sentence": words.sentence,
        "rows": [asdict(row) for row in words.rows],
        "rhythm": [asdict(row) for row in words.rhythm],
        "evidence": [
            {key: each[key] for key in ("label", "declared_words", "sentence", "words")}
            for each in words.evidence
        ],
        "problems": words.problems,
        "with_instrument": analysis["with_instrument"],
        "plots": _plots(log, analysis),
    }


def _plots(log: TrialLog, analysis: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The whole, and a few pulses where the readings still lie beside the file."""
    plots = [_plot("The whole log", whole_log(log))]
    try:
        plots.append(_plot("A closer look", closer_look(log, *analysis["closer"])))
    except (OSError, ValueError):
        return plots
    return plots


def _plot(title: str, part: Envelope) -> dict[str, Any]:
    return {"title": title, "says": plot_sentence(part), "part": lists(thinned(part, POINTS))}


def drawing_of(plot: Mapping[str, Any], name: str) -> str:
    """The SVG of one of the drawings."""
    return waveform_svg(of_lists(plot["part"]), f"{plot['title']} of {name}", plot["says"])
