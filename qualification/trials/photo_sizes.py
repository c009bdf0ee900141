"""Sizes measured on a photo of a section: the scale, the taps, and the results of the trial that follow from
them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db import transaction

from qualification.models import PhotoShows, Trial, TrialPhoto
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.core.quantities import DIMENSIONS, QuantityError, from_canonical, read_quantity
from qualification.rules.core.units import SI
from qualification.rules.core.words import within_sentence
from qualification.rules.trials.photo_measure import (
    NotMeasurable,
    Point,
    Scale,
    Size,
    area_of,
    length_of,
    scale_of,
)
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import MACRO

KEYS = tuple(key for key, _, _ in MACRO)
MOST_TAPS, MOST_PIXELS, MOST_ZOOM = 200, 60_000, 200.0


def taps_from(raw: Any, size: Sequence[int]) -> list[Point]:
    """Taps a page sent, each on the picture. Raises NotMeasurable."""
    try:
        taps = [(float(x), float(y)) for x, y in raw]
    except (TypeError, ValueError):
        raise NotMeasurable("The taps did not arrive. Tap the photo again.") from None
    inside = all(0 <= x <= size[0] and 0 <= y <= size[1] for x, y in taps)
    if len(taps) > MOST_TAPS or not inside:
        raise NotMeasurable("A tap lies beside the photo. Tap the photo again.")
    return taps


def size_from(raw: Any, photo: TrialPhoto) -> list[int]:
    """Width and height of the picture as it is shown, which may be turned. Raises NotMeasurable."""
    try:
        size = [int(raw[0]), int(raw[1])]
    except (TypeError, ValueError, IndexError):
        size = []
    if sorted(size) != sorted((photo.width, photo.height)):
        raise NotMeasurable("The size of the photo did not arrive. Load the page again.")
    return size


def zoom_from(raw: Any) -> float:
    """Pixels of the picture to one of the screen; at least one, since no tap is finer than a pixel."""
    try:
        zoom = float(raw)
    except (TypeError, ValueError):
        zoom = MOST_ZOOM
    return min(max(zoom, 1.0), MOST_ZOOM) if zoom == zoom else MOST_ZOOM


def set_scale(
    photo: TrialPhoto, taps: list[Point], size: list[int], length: str, zoom: float, person: Person
) -> None:
    """Keep the scale of a photo; sizes measured on it before follow the new one. Raises NotMeasurable."""
    if not length.strip():
        raise NotMeasurable("Enter the length of the scale between the two taps.")
    try:
        reading = read_quantity(length, "length", photo.trial.units, many=False)
    except QuantityError as error:
        raise NotMeasurable(f"Length of the scale: {error}") from None
    millimeters = reading.interval.low
    assert millimeters is not None
    scale_of(taps, float(millimeters), zoom)
    # A result that was typed over or cleared since is no longer the photo's to change.
    still = [key for key in photo.measures if photo.trial.line.get(key) == _entry_now(photo, key)]
    photo.scale = {"taps": taps, "length": str(millimeters), "zoom": zoom, "size": size}
    with transaction.atomic():
        photo.save()
        for key in still:
            kept = photo.measures[key]
            _keep(photo, key, _size(photo, key, kept["taps"], kept["zoom"]))
        _log(photo, person, "scale of a photo set")


def measure(photo: TrialPhoto, key: str, taps: list[Point], zoom: float, person: Person) -> Size:
    """Measure one thing and store it as the result of the trial. Raises NotMeasurable."""
    if key not in KEYS:
        raise NotMeasurable("Choose what you measure.")
    size = _size(photo, key, taps, zoom)
    photo.shows = PhotoShows.SECTION
    photo.measures = {**photo.measures, key: {"taps": taps, "zoom": zoom}}
    with transaction.atomic():
        photo.save()
        _keep(photo, key, size)
        _log(photo, person, f"{within_sentence(registry()[key].label)} measured on a photo")
    return size


def scale_stored(photo: TrialPhoto) -> Scale | None:
    """Millimeters to a pixel; `None` before the scale is set."""
    kept = photo.scale
    return scale_of(kept["taps"], float(Decimal(kept["length"])), kept["zoom"]) if kept else None


def _entry_now(photo: TrialPhoto, key: str) -> str:
    kept = photo.measures[key]
    return entry_of(_size(photo, key, kept["taps"], kept["zoom"]), key, photo.trial.units)


def _size(photo: TrialPhoto, key: str, taps: list[Point], zoom: float) -> Size:
    scale = scale_stored(photo)
    if scale is None:
        raise NotMeasurable("Set the scale first: tap both ends of something of known length.")
    return (area_of if _is_area(key) else length_of)(taps, scale, zoom)


def _is_area(key: str) -> bool:
    return registry()[key].dimension == "area"


def entry_of(size: Size, key: str, system: str) -> str:
    """The size as an entry in the trial's unit."""
    dimension = DIMENSIONS[str(registry()[key].dimension)]
    unit = dimension.unit_for(system)
    share = float(from_canonical(Decimal(1), unit, dimension))
    if system == SI:
        return size.entry(unit.symbol)
    return Size(size.value * share, size.uncertainty * share).entry(unit.symbol)


def _keep(photo: TrialPhoto, key: str, size: Size) -> None:
    trial = Trial.objects.select_for_update(no_key=True).get(pk=photo.trial_id)
    trial.line = {**trial.line, key: entry_of(size, key, trial.units)}
    trial.save()


def _log(photo: TrialPhoto, person: Person, detail: str) -> None:
    trial = photo.trial
    append(
        "change", Trial.KIND, trial.pk, trial.number, name_of(person), {"photo": photo.pk, "detail": detail}
    )
