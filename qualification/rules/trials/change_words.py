"""One change of an entry in words: the list of trials shows it between neighbours."""

from __future__ import annotations

from collections.abc import Sequence

from ..core.quantities import show_interval
from ..core.values import Absent, Interval, Stated
from ..core.words import within_sentence
from ..entries.wording import say_value
from ..variables.registry import registry


def say_changes(found: Sequence[str]) -> str:
    """One sentence of all, such as `One thing changed. Current raised from 140 A to 150 A.`"""
    if not found:
        return "Nothing changed."
    words = "; ".join(found)
    sentence = words[:1].upper() + words[1:] + "."
    return f"One thing changed. {sentence}" if len(found) == 1 else f"{len(found)} things changed. {sentence}"


def say_change(key: str, before: Stated, after: Stated, system: str) -> str:
    """`current raised from 140 A to 150 A`, of a variable whose values are not the same."""
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
