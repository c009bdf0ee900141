"""What is held about one welder as a person: taken out as data, and removed once it has served. Approved
records, signed papers and the audit trail stay as they are, and still name whom they were made of."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import BinaryField, DateField, Max, Model, Q

from qualification.models import Shop, Welder
from qualification.models.audit import AuditEntry
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.welders.changes import KIND

PRIVATE = ("born_on", "born_at", "identified_by", "notes")
"""Fields that only some codes want, on the certificate that was made with them."""
DONE_ON = ("used_on", "welded_on", "done_on")
"""Days on which a welder was at work, in whatever points at the welder."""


class CannotRemove(Exception):
    """Nothing was removed; the message says why."""


def pseudonym(welder: Welder) -> str:
    """What stands in place of the name. The stamp stays: it is on the welds."""
    return f"Former welder {welder.stamp}"


def is_personal(welder: Welder) -> bool:
    """Whether anything but the stamp still says who it is."""
    return welder.name != pseudonym(welder) or any(getattr(welder, field) for field in PRIVATE)


def held_about(welder: Welder) -> dict[str, Any]:
    """All that the database holds about the welder, as plain values: the welder, every row that points at
    them by the name of its table, and the entries of the trail that name them."""
    named = Q(record_kind=KIND, record_id=welder.pk) | Q(actor_name=welder.name)
    named |= Q(record_name__icontains=welder.name)
    found: dict[str, Any] = {"welder": _values(welder)}
    for relation in Welder._meta.related_objects:
        model = relation.related_model
        rows = model._default_manager.filter(**{relation.field.name: welder}).order_by("pk")
        found[model._meta.label_lower] = [_values(each) for each in rows]
    entries = AuditEntry.objects.filter(named).order_by("number")
    found["audit_trail"] = [_values(each) for each in entries]
    return found


def _values(row: Model) -> dict[str, Any]:
    return {
        field.name: field.value_from_object(row)
        for field in row._meta.concrete_fields
        if not isinstance(field, BinaryField)
    }


def remove(welder: Welder, person: Person, reason: str) -> None:
    """Put the pseudonym in place of the name and drop what is private. Does nothing twice. Raises
    CannotRemove."""
    if not reason:
        raise CannotRemove("Say why it is removed: the person's wish, or the end of the time it is kept.")
    with transaction.atomic():
        current = Welder.objects.select_for_update(no_key=True).get(pk=welder.pk)
        if current.active:
            raise CannotRemove(f"{current} is active. Mark the welder as no longer active first.")
        if not is_personal(current):
            return
        # The trail names the fields and not what stood in them: nothing can be taken out of it again.
        gone = ["name", *(field for field in PRIVATE if getattr(current, field))]
        current.name, current.born_on = pseudonym(current), None
        current.born_at = current.identified_by = current.notes = ""
        current.save()
        data = {"reason": reason, "fields": gone}
        append("remove_personal", KIND, current.pk, str(current), name_of(person), data)


def due(today: date) -> list[tuple[Welder, date]]:
    """Welders no longer active of whom more is held than the shop's time allows, and the day they were last
    at work; longest ago first. One of whom no such day is known is not among them."""
    years = Shop.current().personal_years
    if years is None:
        return []
    gone = {each.pk: each for each in Welder.objects.filter(active=False) if is_personal(each)}
    last = _last_at_work(gone)
    until = _years_before(today, years)
    found = [(gone[pk], day) for pk, day in last.items() if day < until]
    return sorted(found, key=lambda pair: pair[1])


def _last_at_work(welders: Iterable[int]) -> dict[int, date]:
    found: dict[int, date] = {}
    for relation in Welder._meta.related_objects:
        model, name = relation.related_model, relation.field.name
        days = [each.name for each in model._meta.concrete_fields if isinstance(each, DateField)]
        for field in set(days).intersection(DONE_ON):
            rows = model._default_manager.filter(**{f"{name}__in": list(welders)}).order_by()
            for pk, day in rows.values_list(name).annotate(last=Max(field)):
                if day is not None:
                    found[pk] = max(day, found.get(pk, day))
    return found


def _years_before(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year - years)
    except ValueError:  # 29 February
        return day.replace(year=day.year - years, day=28)
