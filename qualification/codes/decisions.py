"""Decisions by the code as they are stored, and as the rules take them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from django.db import transaction

from qualification.models.code_decision import CodeDecision
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.tabular.decisions import Decision, Question

FIELDS = ("question", "covered", "clause", "copy", "words", "person_name")


def as_decision(stored: CodeDecision) -> Decision:
    """A stored answer as the rules take it."""
    return decision_from(decision_content(stored))


def decision_content(stored: CodeDecision) -> dict[str, Any]:
    """An answer as plain JSON, for the snapshot of what was judged by it."""
    return {name: getattr(stored, name) for name in FIELDS} | {"decided_on": stored.decided_on.isoformat()}


def decision_from(content: Mapping[str, Any]) -> Decision:
    """An answer made again from `decision_content`. Raises KeyError, TypeError or ValueError where that is
    not complete."""
    return Decision(
        Question(**content["question"]),
        content["covered"],
        content["clause"],
        content["copy"],
        content["words"],
        content["person_name"],
        date.fromisoformat(content["decided_on"]),
    )


def stored_for(edition: str, procedure: str) -> list[CodeDecision]:
    """The answers in force for a procedure, those for every record under its edition first."""
    found = CodeDecision.objects.filter(
        edition=edition, procedure__in=["", procedure], withdrawn_because=""
    ).order_by("id")
    return sorted(found, key=lambda each: bool(each.procedure))


def decisions_for_procedure(edition: str, procedure: str) -> list[Decision]:
    """The answers made for that procedure alone; those for the edition are part of `edition_in_force`."""
    return (
        [as_decision(each) for each in stored_for(edition, procedure) if each.procedure] if procedure else []
    )


def decisions_by_procedure(edition: str) -> dict[str, list[Decision]]:
    """Every answer made for one procedure alone, by its number."""
    found: dict[str, list[Decision]] = {}
    for each in CodeDecision.objects.filter(edition=edition, withdrawn_because="").exclude(procedure=""):
        found.setdefault(each.procedure, []).append(as_decision(each))
    return found


def decide(
    edition: str,
    procedure: str,
    question: Question,
    shown: tuple[str, str, str],
    answer: Mapping[str, Any],
    person: Person,
    day: date,
) -> CodeDecision:
    """Store an answer, audited. `shown`: label, entered and qualified as the person saw them."""
    label, found, qualified = shown
    with transaction.atomic():
        made = CodeDecision.objects.create(
            edition=edition,
            procedure=procedure,
            question=asdict(question),
            label=label[:120],
            found=found[:400],
            qualified=qualified[:400],
            covered=answer["covered"],
            clause=answer["clause"],
            copy=answer["copy"],
            words=answer["words"],
            person_name=name_of(person),
            decided_on=day,
        )
        append(
            "decide",
            CodeDecision.KIND,
            made.pk,
            str(made)[:120],
            name_of(person),
            {"edition": edition, "procedure": procedure, "decision": decision_content(made)},
        )
    return made


def withdraw_decision(made: CodeDecision, reason: str, person: Person) -> bool:
    """Withdraw an answer with a reason, audited; false when that was done already."""
    with transaction.atomic():
        stored = CodeDecision.objects.select_for_update(no_key=True).get(pk=made.pk)
        if stored.withdrawn_because:
            return False
        stored.withdrawn_because = reason
        stored.save(update_fields=["withdrawn_because"])
        append(
            "withdraw_decision",
            CodeDecision.KIND,
            stored.pk,
            str(stored)[:120],
            name_of(person),
            {"reason": reason},
        )
    return True
