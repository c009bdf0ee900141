"""What `n/a` says, and where it may be said.

Only where another entry already tells that a weld has none of a thing does `n/a` add nothing: an outside
diameter of plate, the filler of a line without filler. Anywhere else it is a claim that nothing bears out,
so no condition of a rule takes it for a no, and what every weld has cannot be marked with it at all.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..core.values import NOT_APPLICABLE, Absent, Stated
from ..core.words import within_sentence
from .definition import ValueKind, Variable
from .registry import registry


def has_none(key: str, facts: Mapping[str, Stated]) -> bool:
    """True where other entries of the weld say that it has none of the variable."""
    definition = registry()[key]
    process = facts["process"]
    if isinstance(process, frozenset) and process and not process & definition.processes:
        return True
    if any(_wholly(facts[other], choices) for other, choices in definition.none_where):
        return True
    if definition.shown_when is None:
        return False
    controller = facts[definition.shown_when[0]]
    if controller is NOT_APPLICABLE:
        return has_none(definition.shown_when[0], facts)
    return definition.says_nothing_beside(controller)


def _wholly(value: Stated, choices: frozenset[str]) -> bool:
    return isinstance(value, frozenset) and bool(value) and value <= choices


def why_not_na(key: str, facts: Mapping[str, Stated]) -> str:
    """What to enter instead of `n/a`, in a sentence; empty where it may stand."""
    definition = registry()[key]
    if definition.may_be_na or has_none(key, facts):
        return ""
    shown = definition.shown_when
    if shown is not None and isinstance(facts[shown[0]], Absent):
        return ""  # whether there is one hangs on an entry that is still to come
    return f"n/a cannot be entered, since {_why(definition, facts)}. {_instead(definition)}"


def _why(definition: Variable, facts: Mapping[str, Stated]) -> str:
    if definition.shown_when is not None:
        key, choices = definition.shown_when
        controller, value = registry()[key], facts[key]
        given = sorted(value & choices) if isinstance(value, frozenset) else sorted(choices)
        words = " or ".join(controller.choice_label(choice) for choice in given)
        return f"{within_sentence(controller.label)} is {words}"
    if {choice.key for choice in definition.choices} == {"yes", "no"}:
        return "this is either yes or no"
    return "every weld has one"


def _instead(definition: Variable) -> str:
    if definition.kind is ValueKind.CHOICE and len(definition.choices) <= 4:
        labels = [choice.label for choice in definition.choices]
        entry = f"Choose {', '.join(labels[:-1])} or {labels[-1]}"
    elif definition.kind is ValueKind.CHOICE:
        entry = "Choose one"
    else:
        entry = "Enter it"
    return f"{entry}, or leave it blank until it is known."
