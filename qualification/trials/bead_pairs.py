"""Photos of several trials side by side: like with like, and where scales are set, at the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qualification.models import PhotoShows, Trial, TrialPhoto
from qualification.rules.core.units import SI
from qualification.trials.photo_sizes import scale_stored

BARS = {"si": ((10.0, "10 mm"), (1.0, "1 mm")), "us": ((25.4, "1 in"), (3.175, "1/8 in"))}
"""Lengths for the bar below the pictures, in mm; the longer one where it fits."""
LEAST_SHARE = 0.08
ORDER = (PhotoShows.FACE, PhotoShows.ROOT, PhotoShows.SECTION)


@dataclass(frozen=True)
class Bead:
    """One picture; its size in mm where its scale is set, else zero."""

    trial: Trial
    photo: TrialPhoto
    width: float
    height: float


@dataclass(frozen=True)
class BeadRow:
    """Pictures of the same side of several trials."""

    label: str
    beads: tuple[Bead, ...]
    missing: tuple[Trial, ...]
    """Trials without such a photo."""
    width: float
    """Of the frame that all share, in mm; zero where a scale is missing."""
    height: float
    bar: float
    bar_words: str

    @property
    def same_scale(self) -> bool:
        return self.width > 0

    @property
    def without_scale(self) -> tuple[Bead, ...]:
        return tuple(bead for bead in self.beads if not bead.width)

    @property
    def bar_at(self) -> tuple[float, float, float]:
        """Left end, right end and height of the bar in the frame."""
        left = 0.03 * self.width
        return left, left + self.bar, 0.94 * self.height


def bead_rows(trials: Sequence[Trial]) -> list[BeadRow]:
    """A row for each side that two trials or more show, with the newest photo of each."""
    rows = []
    for shows in ORDER:
        newest = {trial.pk: _newest(trial, shows) for trial in trials}
        beads = tuple(_bead(trial, photo) for trial in trials if (photo := newest[trial.pk]) is not None)
        if len(beads) < 2:
            continue
        scaled = all(bead.width for bead in beads)
        width = max(bead.width for bead in beads) if scaled else 0.0
        bar, words = _bar(width, trials[0].units)
        rows.append(
            BeadRow(
                shows.label,
                beads,
                tuple(trial for trial in trials if newest[trial.pk] is None),
                width,
                max(bead.height for bead in beads) if scaled else 0.0,
                bar,
                words,
            )
        )
    return rows


def _newest(trial: Trial, shows: PhotoShows) -> TrialPhoto | None:
    found = [photo for photo in trial.photos.all() if photo.shows == shows]
    return found[-1] if found else None


def _bead(trial: Trial, photo: TrialPhoto) -> Bead:
    scale = scale_stored(photo)
    if scale is None:
        return Bead(trial, photo, 0.0, 0.0)
    width, height = photo.scale["size"]
    return Bead(trial, photo, width * scale.mm, height * scale.mm)


def _bar(width: float, system: str) -> tuple[float, str]:
    for length, words in BARS["si" if system == SI else "us"]:
        if LEAST_SHARE * width <= length <= width / 2:
            return length, words
    return width / 4, f"{width / 4:.3g} mm"
