"""Filling the rows of sound specimens at one press: what one finds on a specimen without a flaw, and the
sizes the code asks for.

The press is a statement by the person who makes it, so the button says each word that it writes. What has to
be measured, such as a load or an undercut, stays to be typed, and an entry that stands is never replaced.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from qualification.rules.core.quantities import show
from qualification.rules.core.words import within_sentence
from qualification.rules.testing.requirements import Specimen
from qualification.rules.testing.result_fields import FIELDS, ResultField
from qualification.rules.testing.results import BENDS, ResultKind

SOUND = "sound"
"""Verb of the button: `sound:KEY` of the section whose rows it fills."""

Entry = dict[str, str]


def sound_entries(
    kind: ResultKind, specimen: Specimen | None, system: str, asked: Collection[str], is_groove: bool
) -> Entry:
    """What a sound specimen of that kind states, by field. `asked` names rare fields that the code checks."""
    found = _sizes(specimen, system) if kind in BENDS and specimen is not None else {}
    for field in FIELDS[kind]:
        if field.sound and (not field.rare or field.key in asked):
            found[field.key] = field.sound
    if not is_groove:
        found.pop("complete_penetration", None)
    return found


def _sizes(specimen: Specimen, system: str) -> Entry:
    """Thickness and former of a bend, as the code asks for them."""
    sizes = {"thickness": specimen.thickness, "former": specimen.former_taken or specimen.former}
    return {key: show(size, "length", system) for key, size in sizes.items() if size is not None}


def filled(entry: Entry, sound: Entry) -> Entry:
    """The row with its empty fields filled; what stands stays."""
    return {**sound, **{key: text for key, text in entry.items() if text.strip()}}


def words_of(kind: ResultKind, sound: Entry) -> str:
    """`Specimen thickness 1/8 in; openings none`: what the button writes."""
    fields = {field.key: field for field in FIELDS[kind]}
    said = [
        f"{within_sentence(fields[key].label)} {_shown(fields[key], text)}" for key, text in sound.items()
    ]
    return "; ".join(said)


def _shown(field: ResultField, text: str) -> str:
    return next((str(choice.label) for choice in field.choices if choice.key == text), text).lower()


def may_fill(rows: Sequence[Entry], sound: Entry) -> bool:
    """True while one of the rows leaves a field empty that the button would fill."""
    return any(not row.get(key, "").strip() for row in rows for key in sound)
