"""House limits as they are stored, as the rules take them, and as a person types them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.db import transaction
from django.db.models import Q

from qualification.models.table_check import HouseRule, OwnerKind
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import EntryError, read_entry
from qualification.rules.entries.wording import say_allowed
from qualification.rules.ranges.house import HouseLimit
from qualification.rules.variables.definition import EVERYWHERE, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import registry, variable

FIELDS = (
    "owner_kind",
    "owner_name",
    "variable",
    "entry",
    "at_most",
    "at_least",
    "units",
    "processes",
    "reason",
)
"""What a limit says: enough to make it again from a document."""


def limits_for(customers: Sequence[str] = (), job: str = "") -> list[HouseLimit]:
    """The limits in force for work of those customers and that job, the shop's own first."""
    return [limit_of(rule) for rule in rules_for(customers, job)]


def rules_for(customers: Sequence[str] = (), job: str = "") -> list[HouseRule]:
    """As `limits_for`, as they are stored."""
    owners = Q(owner_kind=OwnerKind.SHOP)
    for customer in filter(None, (name.strip() for name in customers)):
        owners |= Q(owner_kind=OwnerKind.CUSTOMER, owner_name__iexact=customer)
    if job.strip():
        owners |= Q(owner_kind=OwnerKind.JOB, owner_name__iexact=job.strip())
    found = HouseRule.objects.filter(owners, ended_because="").order_by("id")
    return sorted(found, key=lambda rule: OwnerKind.values.index(rule.owner_kind))


def limit_of(rule: HouseRule) -> HouseLimit:
    """Raises EntryError when the stored entry cannot be read, which the form keeps from happening."""
    allowed = read_allowed(
        rule.variable, rule.entry, rule.units, at_most=rule.at_most, at_least=rule.at_least
    )
    return HouseLimit(rule.owner, rule.variable, allowed, rule.reason, frozenset(rule.processes))


def rule_content(rule: HouseRule) -> dict[str, Any]:
    """A limit as plain JSON, for the snapshot of what was judged by it."""
    return {name: getattr(rule, name) for name in FIELDS}


def limit_from(content: Mapping[str, Any]) -> HouseLimit:
    """A limit made again from `rule_content`. Raises KeyError where that is not complete."""
    return limit_of(HouseRule(**{name: content[name] for name in FIELDS}))


def limitable() -> list[Variable]:
    """What can be limited: whatever a procedure states that can be compared, and the thinner and the thicker
    side."""
    return [
        v
        for v in registry().values()
        if v.kind is not ValueKind.TEXT
        and v.key != "process"
        and (
            RecordKind.SPEC in v.uses and not v.derived or v.key in ("thickness_thinner", "thickness_thicker")
        )
    ]


def read_allowed(
    key: str, entry: str | Sequence[str], units: str, *, at_most: bool = False, at_least: bool = False
) -> Interval | frozenset[str]:
    """What a limit allows, from what was typed. Raises EntryError with how to write it."""
    # A limit may be a range or a list, also where a record states one value.
    definition = replace(variable(key), many=EVERYWHERE)
    value = read_entry(entry, definition, RecordKind.SPEC, units)
    if isinstance(value, Interval):
        return _with_ends(value, entry, at_most=at_most, at_least=at_least)
    if isinstance(value, frozenset) and value:
        return value
    raise EntryError("say what is allowed: a number, a range, or at least one choice.")


def _with_ends(value: Interval, entry: str | Sequence[str], *, at_most: bool, at_least: bool) -> Interval:
    if not at_most and not at_least:
        return value
    if not value.is_point:
        raise EntryError(f"“{entry}” is a range. Write one number, or choose “between”.")
    return Interval(None, value.high) if at_most else Interval(value.low, None)


def say_rule(rule: HouseRule) -> str:
    """What a limit allows, in words."""
    return say_allowed(rule.variable, limit_of(rule).allowed, rule.units)


def add_rule(rule: HouseRule, person: Person) -> None:
    """Store a new limit, audited."""
    with transaction.atomic():
        rule.author_name = name_of(person)
        rule.save()
        append(
            "limit",
            rule.KIND,
            rule.pk,
            str(rule)[:120],
            name_of(person),
            {"reason": rule.reason, "limit": rule_content(rule)},
        )


def end_rule(rule: HouseRule, reason: str, person: Person) -> bool:
    """End a limit, audited; false when it had ended already."""
    with transaction.atomic():
        stored = HouseRule.objects.select_for_update(no_key=True).get(pk=rule.pk)
        if stored.ended_because:
            return False
        stored.ended_because = reason
        stored.save(update_fields=["ended_because"])
        append(
            "end_limit",
            stored.KIND,
            stored.pk,
            str(stored)[:120],
            name_of(person),
            {"reason": reason, "limit": rule_content(stored)},
        )
    return True
