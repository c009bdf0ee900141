"""Values of the code tables as a person reads and corrects them: as text, and back in the shape they had."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

YES, NO = "yes", "no"


def as_typed(value: Any) -> str:
    """A value of the tables as text: a list separated by commas, `yes` or `no`, everything else as it is
    written."""
    if isinstance(value, bool):
        return YES if value else NO
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def value_like(original: Any, text: str) -> Any:
    """What was typed, in the shape of the value it replaces. Raises ValueError with what to write instead."""
    text = text.strip()
    if not text:
        raise ValueError(f"Write a value like {as_typed(original)}.")
    if isinstance(original, bool):
        if text.casefold() not in (YES, NO):
            raise ValueError(f"“{text}” is neither {YES} nor {NO}. Write one of them.")
        return text.casefold() == YES
    if isinstance(original, list):
        return [part.strip() for part in text.split(",") if part.strip()]
    return _number_like(original, text) if isinstance(original, (int, Decimal)) else text


def _number_like(original: int | Decimal, text: str) -> int | Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation as error:
        raise ValueError(f"“{text}” is not a number. Write it like {original}.") from error
    if not number.is_finite():
        raise ValueError(f"“{text}” is not a number. Write it like {original}.")
    if isinstance(original, Decimal):
        return number
    # A whole number may be corrected to a fraction: the tables write 2 where they could write 2.0.
    return int(number) if number == number.to_integral_value() else number
