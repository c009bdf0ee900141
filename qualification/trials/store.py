"""Trials in the database: starting, copying, saving again and again without a second copy, and what a list
says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from qualification.codes.editions import available_editions
from qualification.models import Shop, Trial, TrialPass, UnitSystem
from qualification.records.audit import append, name_of
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.entries.reading import Entry
from qualification.rules.variables.definition import PROCESSES
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import RESULT

FIRST_NUMBER = "T-001"
ATTEMPTS = 3
"""How often a number is sought when others take the one just found."""
CARRIED = ("title", "purpose", "welder_id", "edition", "units")
"""Fields a copy takes over beside the settings. Its day, its results and its readings are its own."""
OWN = (*CARRIED, "welded_on", "joint", "line", "verdict", "note")
"""Fields whose change puts something into a trial that was only opened."""
LEFT_EMPTY = timedelta(days=7)
"""After this a trial that was only opened goes; until then a phone out of reach may still send to it."""


class ChangedMeanwhile(Exception):
    """Somebody saved the trial from another page after this one was drawn; nothing was written."""


@dataclass(frozen=True)
class PassEntries:
    """One pass as a page sends it."""

    token: UUID
    entries: Mapping[str, Entry]


def start_trial(process: str, token: UUID, person: Person) -> Trial:
    """A new trial of one process; the one already made with the same token, when it was asked for twice.

    Raises ValueError for a process nobody knows.
    """
    if process not in PROCESSES:
        raise ValueError(f"there is no process {process!r}")
    shop, editions = Shop.current(), [key for key, _ in available_editions()]
    made = Trial(
        token=token,
        edition=shop.code_edition if shop.code_edition in editions else editions[0],
        units=UnitSystem.US if shop.inch_first else UnitSystem.SI,
        line={"process": process},
    )
    return _store_once(made, person)


def copy_trial(source: Trial, token: UUID, person: Person) -> Trial:
    """A new trial with the settings of `source`, to change one thing of; asked for twice, it is made once."""
    made = Trial(token=token, joint=dict(source.joint), line=settings_of(source.line), copied_from=source)
    for name in CARRIED:
        setattr(made, name, getattr(source, name))
    return _store_once(made, person)


def settings_of(line: Mapping[str, Entry]) -> dict[str, Entry]:
    """The entries of a trial's line that were set, without what came of it."""
    return {key: entry for key, entry in line.items() if not _is_result(key)}


def _is_result(key: str) -> bool:
    return key in registry() and registry()[key].group == RESULT


def _store_once(made: Trial, person: Person) -> Trial:
    made.author, made.author_name, made.begun = person, name_of(person), False  # type: ignore[assignment]
    Trial.objects.filter(begun=False, created_at__lt=timezone.now() - LEFT_EMPTY).delete()
    for attempt in range(1, ATTEMPTS + 1):
        if (found := Trial.objects.filter(token=made.token).first()) is not None:
            return found
        try:
            _store(made, person)
            break
        except IntegrityError:  # somebody took the number, or asked for the same, at the same time
            made.pk = None
            if attempt == ATTEMPTS:
                raise
    return made


def _store(made: Trial, person: Person) -> None:
    with transaction.atomic():
        numbers = Trial.objects.order_by("id").values_list("number", flat=True)
        made.number = next_number(numbers, FIRST_NUMBER)
        made.save()


def begin(trial: Trial, person: Person) -> None:
    """Note that something is in the trial: from now on it is in the list."""
    if trial.begun:
        return
    trial.begun = True
    Trial.objects.filter(pk=trial.pk).update(begun=True)
    copied = {"detail": f"copied from {trial.copied_from}"} if trial.copied_from else {}
    _record("create", trial, person, copied)


def version_of(trial: Trial) -> str:
    """A token for what is stored now: a page carries it, and hands it back when saving."""
    return trial.updated_at.isoformat()


def save_trial(trial: Trial, passes: Sequence[PassEntries], version: str, page: str, person: Person) -> None:
    """Store what one open page holds. The same page may send the same again: answers get lost on the way.

    Raises ChangedMeanwhile when another page saved since this one was drawn.
    """
    with transaction.atomic():
        stored = Trial.objects.select_for_update(no_key=True).get(pk=trial.pk)
        if version_of(stored) != version and not (page and stored.saved_from == page):
            raise ChangedMeanwhile(f"{stored} was saved from another page meanwhile.")
        has_passes = any(each.entries for each in passes)
        if not stored.begun:
            if not has_passes and all(getattr(stored, name) == getattr(trial, name) for name in OWN):
                return
            trial.begun = stored.begun
            begin(trial, person)
        first_of_page = stored.saved_from != page or not page
        trial.saved_from = page
        trial.save()
        _save_passes(trial, passes)
        if first_of_page:
            _record("change", trial, person, {})
        if stored.verdict != trial.verdict:
            _record(
                trial.verdict if trial.is_accepted or trial.verdict == "rejected" else "reopen",
                trial,
                person,
                {},
            )


def _save_passes(trial: Trial, passes: Sequence[PassEntries]) -> None:
    """Passes by their tokens; one that was emptied goes. A pass the page does not know of stays."""
    known = {each.token: each for each in trial.passes.all()}
    for position, sent in enumerate(passes, start=1):
        stored = known.get(sent.token)
        if not sent.entries:
            if stored is not None:
                stored.delete()
        elif stored is None:
            TrialPass.objects.create(
                trial=trial, token=sent.token, position=position, entries=dict(sent.entries)
            )
        elif (stored.position, stored.entries) != (position, dict(sent.entries)):
            stored.position, stored.entries = position, dict(sent.entries)
            stored.save()


def _record(verb: str, trial: Trial, person: Person, data: dict[str, Any]) -> None:
    append(verb, Trial.KIND, trial.pk, trial.number, name_of(person), data)


def token_from(text: str) -> UUID:
    """The token a page sent; a new one where it sent none that can be read."""
    try:
        return UUID(text)
    except ValueError:
        return uuid4()
