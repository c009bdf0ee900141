"""What changed from one trial to the next, in words: the list of trials shows it between neighbours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .facts import Facts
from .quantities import show_interval
from .values import Absent, Interval, Stated
from .variables import registry
from .wording import say_value, within_sentence


@dataclass(frozen=True)
class Change:
    """One setting that is not the same in both."""

    variable: str
    before: Stated
    after: Stated
    words: str
    """`current raised from 140 A to 150 A`."""


def changes(before: Facts, after: Facts, system: str) -> tuple[Change, ...]:
    """All changes, in the order of the registry. `before` and `after` hold the entries of one trial each,
    as read (`Weld.line_facts`); values are compared by what they mean, so 1/4 in and 6.35 mm are the same.
    What follows from other entries is left out."""
    return tuple(
        Change(key, before[key], after[key], _words(key, before[key], after[key], system))
        for key, definition in registry().items()
        if not definition.derived and before[key] != after[key]
    )


def say_changes(found: Sequence[Change]) -> str:
    """One sentence, such as `One thing changed. Current raised from 140 A to 150 A.`"""
    if not found:
        return "Nothing changed."
    words = "; ".join(change.words for change in found)
    sentence = words[:1].upper() + words[1:] + "."
    return f"One thing changed. {sentence}" if len(found) == 1 else f"{len(found)} things changed. {sentence}"


def _words(key: str, before: Stated, after: Stated, system: str) -> str:
    label = within_sentence(registry()[key].label)
    if before is Absent.MISSING:
        return f"{label} now stated: {_say(key, after, system)}"
    if after is Absent.MISSING:
        return f"{label} no longer stated; it was {_say(key, before, system)}"
    verb = "changed"
    if isinstance(before, Interval) and isinstance(after, Interval):
        verb = _direction(before, after)
    return f"{label} {verb} from {_say(key, before, system)} to {_say(key, after, system)}"


def _direction(before: Interval, after: Interval) -> str:
    """Raised or lowered where the whole of it moved one way, widened or narrowed where one lies in the
    other."""
    if before.within(after):
        return "widened"
    if after.within(before):
        return "narrowed"
    return "raised" if before.starts_before(after) else "lowered"


def _say(key: str, value: Stated, system: str) -> str:
    if isinstance(value, Interval):
        return show_interval(value, str(registry()[key].dimension), system)
    words = say_value(key, value, system)
    return within_sentence(words) if isinstance(value, frozenset | Absent) else f"“{words}”"
