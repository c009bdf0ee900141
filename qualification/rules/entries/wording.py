"""Values and ranges in words: the one place that pages, PDFs and the JSON interface take them from."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from ..core import gases
from ..core.printed_limits import limit_in_both
from ..core.quantities import show_both
from ..core.values import (
    NOT_APPLICABLE,
    Absent,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    NotOnTest,
    Stated,
    Undetermined,
)
from ..core.words import said_together, within_sentence
from ..materials.iso_gases import say_symbol
from ..variables.definition import ValueKind, Variable
from ..variables.limits import Condition
from ..variables.metal_systems import PAIRS
from ..variables.registry import registry

NO_LIMIT, NO_RULE = "No limit", "No rule encoded"
"""What a range says where nothing limits a variable, and where the tables have no rule of it."""


def say_value(key: str, value: Stated, system: str) -> str:
    """A value in words: both unit systems for numbers, labels for choices."""
    if value is NOT_APPLICABLE:
        return "Not applicable"
    if isinstance(value, Absent):
        return "Not stated"
    if isinstance(value, Interval):
        return show_both(value, str(registry()[key].dimension), system)
    return say_allowed(key, value, system) if not isinstance(value, str) else value


def _say_wanting(allowed: Undetermined) -> str:
    """What a record leaves out, and what it says does not apply though a rule asks for it."""
    left_out, marked = (
        said_together(
            [
                within_sentence(registry()[key].label)
                for key in allowed.needs
                if (key in allowed.marked) is said
            ]
        )
        for said in (False, True)
    )
    parts = [f"does not state {left_out}"] if left_out else []
    return " and ".join(
        [*parts, f"says that {marked} {'do' if len(allowed.marked) > 1 else 'does'} not apply"]
        if marked
        else parts
    )


NUMBERINGS = ("p_number", "f_number", "a_number")
"""Variables whose choices are a numbering, listed in its order."""


def say_allowed(key: str, allowed: Allowed | None, system: str) -> str:
    """A range in words, its ends rounded to the inside."""
    definition = registry()[key]
    if allowed is None or isinstance(allowed, Anything):
        return NO_LIMIT
    if isinstance(allowed, Undetermined):
        return f"Cannot be told: the test record {_say_wanting(allowed)}"
    if isinstance(allowed, NotOnTest):
        return "Not applicable, as on the test record"
    if isinstance(allowed, NotEncoded):
        return NO_RULE
    if isinstance(allowed, Interval):
        return limit_in_both(allowed, str(definition.dimension), system)
    if not allowed:
        return "Nothing"
    return "; ".join(_say_runs(definition, _in_order(key, allowed)))


RUN = 4
"""Choices of a numbering that follow one another are said as `P-1 to P-11C` from this many on."""


def _say_runs(definition: Variable, choices: Sequence[str]) -> list[str]:
    """Each choice in words; long runs of a numbering by their ends."""
    order = [choice.key for choice in definition.choices]
    if not definition.key.startswith(NUMBERINGS) or any(choice not in order for choice in choices):
        return [say_choice(definition, choice) for choice in choices]
    runs: list[list[str]] = []
    for choice in choices:
        if runs and order.index(choice) == order.index(runs[-1][-1]) + 1:
            runs[-1].append(choice)
        else:
            runs.append([choice])
    said: list[str] = []
    for run in runs:
        words = [say_choice(definition, choice) for choice in run]
        said += words if len(run) < RUN else [f"{words[0]} to {words[-1]}"]
    return said


def say_choice(definition: Variable, choice: str) -> str:
    """One choice of a variable in words: a gas by its mixture, metals by their groups, else the choice's
    label."""
    if definition.kind is ValueKind.GAS:
        return gases.label(choice)
    if definition.key == "metal_pair":
        return " to ".join(choice.split("|"))
    if definition.key in PAIRS:
        return _say_pair(definition.key, choice)
    if definition.key in ("iso_gas", "iso_backing_gas"):
        return say_symbol(choice)
    return definition.choice_label(choice)


@lru_cache(maxsize=65536)
def _say_pair(key: str, pair: str) -> str:
    return " to ".join(PAIRS[key].say(part) for part in pair.split("|"))


@lru_cache(maxsize=2048)
def _in_order(key: str, choices: frozenset[str]) -> tuple[str, ...]:
    """As the variable lists them, others by their numbers. One answer may put the same thousands in order for
    each of its lines."""
    order = {choice.key: position for position, choice in enumerate(registry()[key].choices)}
    in_order = sorted(choices, key=lambda choice: (order.get(choice, len(order)), _natural(choice)))
    return tuple(in_order)


def _natural(text: str) -> tuple[tuple[int, str], ...]:
    parts: list[tuple[int, str]] = []
    for part in text.replace("|", " ").split():
        digits = "".join(c for c in part if c.isdecimal())
        parts.append((int(digits) if digits else 0, part))
    return tuple(parts)


def say_conditions(
    conditions: tuple[Condition, ...], unless: tuple[tuple[Condition, ...], ...], system: str
) -> str:
    """When a limit speaks, in words; numbers in the units of `system`."""
    words = [_say_condition(c, system) for c in conditions]
    text = "; ".join(words)
    exempt = " or ".join(" and ".join(_say_condition(c, system) for c in group) for group in unless)
    if exempt:
        text = f"{text}; unless {exempt}" if text else f"unless {exempt}"
    return text


def _say_condition(condition: Condition, system: str) -> str:
    definition, allowed = registry()[condition.variable], condition.allowed
    if isinstance(allowed, Anything):
        return f"{within_sentence(definition.label)} given"
    if isinstance(allowed, frozenset):
        words = " or ".join(
            within_sentence(say_choice(definition, choice))
            for choice in _in_order(condition.variable, allowed)
        )
    elif isinstance(allowed, Interval):
        words = show_both(allowed, str(definition.dimension), system)
    else:
        words = within_sentence(say_allowed(condition.variable, allowed, system))
    return f"{within_sentence(definition.label)}: {words}"
