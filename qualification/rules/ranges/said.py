"""What a limit and a tested line say, whosever record they come from: equal ones are one object, so that they
are told apart at a glance."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, fields
from weakref import WeakValueDictionary

from ..core.findings import VariableClass
from ..variables.limits import Limit

NAMES_ONLY = frozenset({"record", "tested", "citation", "because", "note"})
"""Fields of a limit that are shown and decide nothing."""
DECIDES = tuple(each.name for each in fields(Limit) if each.name not in NAMES_ONLY)
WHEN = frozenset({"when", "unless", "standing"})


class Said:
    """Something said, equal to nothing but itself; see `said`."""

    __slots__ = ("__weakref__", "of")

    def __init__(self, of: Hashable) -> None:
        self.of = of


_said: WeakValueDictionary[Hashable, Said] = WeakValueDictionary()


def said(of: Hashable) -> Said:
    """The one object for equal things, kept as long as somebody holds it."""
    found = _said.get(of)
    return found if found is not None else _said.setdefault(of, Said(of))


@dataclass(frozen=True)
class Binding:
    """A limit that decides coverage."""

    limit: Limit
    says: Said
    core: Said
    """What it says once it is known to speak."""

    @property
    def variable(self) -> str:
        return self.limit.variable


def bindings(limits: Iterable[Limit]) -> tuple[Binding, ...]:
    """Those of the limits that decide, as `Finding.binds` has it."""
    return tuple(_binding(limit) for limit in limits if limit.standing is not VariableClass.NONESSENTIAL)


def _binding(limit: Limit) -> Binding:
    # One limit stands in the ranges of many coupons (`made_before.py`); what it says is told once.
    known: Binding | None = vars(limit).get("_binding")
    if known is not None:
        return known
    whole = tuple(getattr(limit, name) for name in DECIDES)
    core = tuple(getattr(limit, name) for name in DECIDES if name not in WHEN)
    vars(limit)["_binding"] = found = Binding(limit, said(("limit", whole)), said(("core", core)))
    return found


def reads(limit: Limit) -> tuple[str, ...]:
    """The variables that decide whether the limit speaks."""
    conditions = (*limit.when, *(c for exemption in limit.unless for c in exemption))
    return tuple(dict.fromkeys(condition.variable for condition in conditions))
