"""Recording what keeps a welder's qualification going, each act with its audit entry; acts are struck, never
changed."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from qualification.models import ActKind, State, ValidityAct, WelderTest
from qualification.records.audit import name_of, record_event
from qualification.roles import Person

VERBS = {
    ActKind.WAY: "choose_way",
    ActKind.CONFIRMATION: "confirm_validity",
    ActKind.PROLONGATION: "prolong",
    ActKind.CONDITIONS: "state_conditions",
}
BEFORE_APPROVAL = (State.DRAFT, State.IN_REVIEW)


class ActRefused(Exception):
    """The act cannot be recorded; the message says why and what to do."""


def record_act(act: ValidityAct, person: Person) -> None:
    """Put an act on record. Raises ActRefused for a revision that is not in force, and for an act that is
    there already."""
    with transaction.atomic():
        test = WelderTest.objects.select_for_update(no_key=True).get(pk=act.test_id)
        if test.state != State.APPROVED and not (act.kind == ActKind.WAY and test.state in BEFORE_APPROVAL):
            raise ActRefused(not_in_force(test))
        if test.edition != act.edition:
            raise ActRefused(f"{test} was put under another edition meanwhile. Load the page again.")
        _refuse_twice(act, test)
        act.test, act.recorded_by_name = test, name_of(person)
        act.save()
        record_event(VERBS[ActKind(act.kind)], test, person, {"detail": words_of(act)})


def record_acts(acts: Sequence[ValidityAct], person: Person) -> None:
    """Put several acts on record, all or none. Raises ActRefused as `record_act` does."""
    with transaction.atomic():
        # All locked in one order before anything goes into the audit trail, which holds everybody else back.
        list(
            WelderTest.objects.select_for_update(no_key=True)
            .filter(pk__in={act.test_id for act in acts})
            .order_by("pk")
        )
        for act in acts:
            record_act(act, person)


def not_in_force(test: WelderTest) -> str:
    """What is said where a revision takes no act."""
    return (
        f"{test} is {test.get_state_display().lower()}. Only an approved test is confirmed or prolonged: open"
        " its revision in force."
    )


def _refuse_twice(act: ValidityAct, test: WelderTest) -> None:
    standing = ValidityAct.objects.filter(
        test__number=test.number,
        test__welder=test.welder,
        edition=test.edition,
        kind=act.kind,
        struck_because="",
    )
    if act.kind == ActKind.WAY:
        if (there := standing.first()) is not None:
            raise ActRefused(f"The way on record is {there.way}. Strike that entry first, with the reason.")
    elif any(
        set(each.processes) & set(act.processes) or not act.processes for each in standing.filter(day=act.day)
    ):
        raise ActRefused(
            f"A {ActKind(act.kind).label.lower()} of {act.day} is on record already. Leave it, or strike it"
            " first."
        )


def strike_act(act: ValidityAct, reason: str, person: Person) -> None:
    """Strike an act; it stays readable. Raises ActRefused when it is struck already."""
    with transaction.atomic():
        current = ValidityAct.objects.select_for_update(no_key=True).get(pk=act.pk)
        if current.struck_because:
            raise ActRefused(f"This entry is struck already: {current.struck_because}")
        current.struck_because = reason
        current.save(update_fields=["struck_because"])
        record_event("strike_act", current.test, person, {"reason": f"{words_of(current)} Struck: {reason}"})


def words_of(act: ValidityAct) -> str:
    """The act in one or two sentences, for the history."""
    by = f"{act.by_name} ({act.role_words.lower()})" if act.by_role else act.by_name
    if act.kind == ActKind.WAY:
        return f"Way {act.way}, stated by {by} on {act.day}."
    if act.kind == ActKind.CONDITIONS:
        until = f", evidence to {act.until}" if act.until else ""
        return f"{'Met' if act.met else 'Not met'} on {act.day}, by {by}{until}: {act.evidence.rstrip('.')}."
    what = "; ".join([*act.weld_words, *([act.evidence] if act.evidence else [])])
    return (
        f"{act.get_kind_display()} of {act.day} by {by}, {' and '.join(act.processes)}: {what.rstrip('.')}."
    )
