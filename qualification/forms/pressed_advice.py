"""The button that takes a value of advice into its field, on the editor of a procedure and at the machine."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.http import QueryDict

from qualification.forms.record_forms import JOINT, line_prefix
from qualification.rules.trials.draft_advice import DraftAdvice

ADVICE = "advice:"
"""Begins the value of such a button; the key of the advice follows."""


def with_advice(
    sent: QueryDict, offered: Callable[[], Iterable[DraftAdvice]]
) -> tuple[QueryDict, DraftAdvice | None]:
    """What was sent, with the value of the advice whose button was pressed put into its field. `offered`
    gives the advice there is on what was sent, and is asked only where such a button was pressed."""
    pressed = sent.get("do", "")
    if not pressed.startswith(ADVICE):
        return sent, None
    wanted = pressed.removeprefix(ADVICE)
    advice = next((each for each in offered() if each.key == wanted), None)
    if advice is not None:
        sent = sent.copy()
        prefix = JOINT if advice.line is None else line_prefix(advice.line)
        sent[f"{prefix}-{advice.variable}"] = advice.entry
    return sent, advice
