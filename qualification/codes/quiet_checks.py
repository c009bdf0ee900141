"""What the shop leaves aside of the checks by common sense: said with its reason, never silent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from django.db import transaction
from django.utils import timezone

from qualification.models.quiet_check import QuietCheck
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.trials.combinations import CombinationCheck


def in_force() -> dict[str, QuietCheck]:
    """What is left aside, by key of the check."""
    return {each.key: each for each in QuietCheck.objects.filter(withdrawn_because="")}


def with_quiet(
    checks: Iterable[CombinationCheck], aside: Mapping[str, QuietCheck] | None = None
) -> tuple[CombinationCheck, ...]:
    """The checks, each that the shop leaves aside with its reason; those to look at first. `aside`
    where it is at hand."""
    found = tuple(checks)
    if not found:
        return found
    aside = in_force() if aside is None else aside
    said = [
        replace(each, quiet_because=_because(aside[each.key])) if each.key in aside else each
        for each in found
    ]
    return tuple(sorted(said, key=lambda each: bool(each.quiet_because)))


def _because(stored: QuietCheck) -> str:
    day = timezone.localtime(stored.recorded_at).date()
    return f"{stored.reason} ({stored.person_name}, {day})"


def leave_aside(key: str, text: str, reason: str, person: Person) -> QuietCheck:
    """Leave a check aside from now on; one that is left aside already stays as it is."""
    with transaction.atomic():
        present = QuietCheck.objects.filter(key=key, withdrawn_because="").first()
        if present is not None:
            return present
        made = QuietCheck.objects.create(key=key, text=text[:400], reason=reason, person_name=name_of(person))
        append(
            "leave aside",
            QuietCheck.KIND,
            made.pk,
            key,
            name_of(person),
            {"reason": reason, "text": made.text},
        )
    return made


def take_back(stored: QuietCheck, reason: str, person: Person) -> bool:
    """Point the check out again; false where somebody did so already."""
    with transaction.atomic():
        now = QuietCheck.objects.select_for_update(no_key=True).get(pk=stored.pk)
        if now.withdrawn_because:
            return False
        now.withdrawn_because = reason
        now.save(update_fields=["withdrawn_because"])
        append("take back", QuietCheck.KIND, now.pk, now.key, name_of(person), {"reason": reason})
    return True
