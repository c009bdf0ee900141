"""A trial as plain JSON: everything its report prints, in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from qualification.evidence.coverage import edition_of
from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState, Trial, TrialPhoto
from qualification.records.entry_sources import tests_from
from qualification.rules.materials.catalogue import Origin
from qualification.rules.trials.practice import Caution, advice_for, cautions_for
from qualification.snapshots.snapshot import edition_content, shop_content
from qualification.trials.content import before, changed_against
from qualification.trials.derived_figures import heat_of, reckoned_of
from qualification.waveforms.content import waveforms_of

STEPS = {
    "preparation": "Preparation and cleaning",
    "gas": "Gas",
    "arc": "While welding",
    "after": "After welding",
}
"""Words for the steps that cautions stand at."""


def trial_document(trial: Trial) -> dict[str, Any]:
    """Settings, passes, results, photos, waveforms, energies with their sources, and cautions."""
    read, earlier, edition = TrialRead(trial), before(trial), edition_of(trial.edition)
    return {
        "kind": Trial.KIND,
        "number": trial.number,
        "title": trial.title,
        "units": trial.units,
        "welded_on": trial.welded_on.isoformat(),
        "welder": str(trial.welder or ""),
        "purpose": trial.get_purpose_display(),
        "verdict": trial.get_verdict_display(),
        "author_name": trial.author_name,
        "note": trial.note,
        "joint": trial.joint,
        "line": trial.line,
        "shop": shop_content(),
        "code": edition_content(edition),
        "entered": [group.as_json() for group in read.groups],
        "problems": [problem.message for problem in read.read.problems],
        "earlier": earlier.number if earlier else "",
        "changes": [each.words for each in changed_against(earlier, trial)] if earlier else [],
        "passes": [asdict(row) for row in read.rows],
        "results": [list(pair) for pair in read.results],
        "photos": [_photo(each) for each in trial.photos.all()],
        "waveforms": waveforms_of(trial),
        "waveforms_left_out": [
            f"{log.filename}: {log.message or log.get_state_display()}"
            for log in trial.logs.exclude(state=LogState.DONE)
        ],
        "heat": [{**asdict(row), "origins": origins_json(row.origins)} for row in heat_of(read)],
        "reckoned": [{**asdict(row), "origins": origins_json(row.origins)} for row in reckoned_of(read)],
        "remarks": [
            {"sentence": each.sentence, "origins": origins_json(each.origins)} for each in read.remarks
        ],
        "checks": [each.as_json() for each in read.checks],
        "cautions": _cautions(read),
        "became": [link.what for link in found.links] if (found := tests_from(trial)) else [],
    }


def origins_json(origins: Iterable[Origin]) -> list[dict[str, Any]]:
    """Rows of tables: how far each is confirmed, and its pages."""
    return [
        {
            "provenance": each.provenance.value,
            "words": each.provenance.words,
            "sources": [{"title": source.title, "url": source.url} for source in each.sources],
        }
        for each in origins
    ]


def _photo(photo: TrialPhoto) -> dict[str, Any]:
    return {
        "name": photo.image.name if photo.image.name and photo.image.storage.exists(photo.image.name) else "",
        "caption": photo.caption,
        "taken": f"{photo.added_at:%Y-%m-%d}, {photo.taken_by_name}",
    }


def _cautions(read: TrialRead) -> list[dict[str, Any]]:
    """By step, in the order of the work; what the steps of preparation lack stands with them."""
    said: dict[str, list[Caution]] = cautions_for(read.read.weld)
    said["preparation"] = [*said["preparation"], *advice_for(read.read.weld)]
    return [
        {
            "step": STEPS[step],
            "said": [{"text": each.text, "origins": origins_json([each.origin])} for each in found],
        }
        for step, found in said.items()
        if found
    ]
