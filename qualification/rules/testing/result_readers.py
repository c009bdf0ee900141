"""One field of a test result, from what a person typed to its value: numbers, choices, openings,
indications."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from ..core.quantities import SI, US, QuantityError, read_quantity, show_interval
from ..core.values import Interval
from ..entries.number_writing import plainly_written
from .result_fields import ResultField, Shape
from .result_words import BROKE_WORDS, CAUSE_WORDS, INDICATION_WORDS, NONE_WORDS
from .results import Cause, Indication, IndicationType, Opening

NOT_APPLICABLE_WORDS = frozenset({"n/a", "na", "n.a.", "not applicable", "-"})


class ResultError(ValueError):
    """One field of a result could not be read; the message says how to write it."""


def small(label: str) -> str:
    """The label as it stands within a sentence."""
    return label[:1].lower() + label[1:]


def read_field(text: str, definition: ResultField, system: str) -> Any:
    """One field as a value, `None` when it is empty or does not apply. Raises ResultError."""
    tidy = " ".join(text.split())
    if not tidy or tidy.lower() in NOT_APPLICABLE_WORDS:
        return None
    return _READERS[definition.shape](tidy, definition, system)


def _text(text: str, definition: ResultField, system: str) -> str:
    return text


_AROUND_THE_PLACE = re.compile(
    r"^(?:broke |failed |ductile )?(?:in |at )?(?:the )?|(?<![ ,/-])[ ,/-]++ductile$"
)


def _choice(text: str, definition: ResultField, system: str) -> str:
    wanted = text.casefold()
    for choice in definition.choices:
        if wanted in (choice.key.casefold(), choice.label.casefold()):
            return choice.key
    if definition.key == "broke":
        plain = _AROUND_THE_PLACE.sub("", wanted)
        for broke, words in BROKE_WORDS.items():
            if plain in words:
                return broke
    raise ResultError(
        f"“{text}” is not one of the choices: {', '.join(c.label for c in definition.choices)}."
    )


def _yes_no(text: str, definition: ResultField, system: str) -> bool:
    return _choice(text, definition, system) == "yes"


def _number(text: str, definition: ResultField, system: str) -> Decimal:
    try:
        plain = plainly_written(text, definition.dimension, system)
        value = read_quantity(plain, definition.dimension, system, many=False).interval.low
    except QuantityError as error:
        raise ResultError(str(error)) from error
    assert value is not None
    if value == 0 and not definition.zero:
        raise ResultError(f"“{text}” is zero. Enter a number above zero, or leave it empty.")
    if definition.plausible and not Interval.point(value).within(Interval(*definition.plausible)):
        first = show_interval(Interval(*definition.plausible), definition.dimension, system)
        second = show_interval(
            Interval(*definition.plausible), definition.dimension, SI if system == US else US
        )
        span = first if first == second else f"{first} ({second})"
        raise ResultError(
            f"“{text}” lies outside what this field takes, {span}. Check the number and its unit."
        )
    return value


def _pieces(text: str) -> list[str]:
    """`1/16; 1/8 corner` or `1/16, 1/8`: a comma parts only when a blank follows, since 6,35 is one
    number."""
    return [piece.strip() for piece in re.split(r";|,(?=\s)", text) if piece.strip()]


def _numbers(text: str, definition: ResultField, system: str) -> tuple[Decimal, ...]:
    if text.lower() in NONE_WORDS:
        return ()
    return tuple(_number(piece, definition, system) for piece in _pieces(text))


def _openings(text: str, definition: ResultField, system: str) -> tuple[Opening, ...]:
    return (
        ()
        if text.lower() in NONE_WORDS
        else tuple(_opening(piece, definition, system) for piece in _pieces(text))
    )


def _opening(piece: str, definition: ResultField, system: str) -> Opening:
    rest, corner = _without(piece, "corner")
    cause = Cause.UNKNOWN
    for candidate, words in CAUSE_WORDS.items():
        rest, named = _without(rest, words)
        cause = candidate if named else cause
    return Opening(_number(rest, definition, system), corner, cause)


def _without(text: str, words: str) -> tuple[str, bool]:
    """The text with the words taken out, and whether they stood in it."""
    rest, times = re.subn(rf"(?i)\b{words}\b", " ", text)
    return " ".join(rest.split()), times > 0


def _indications(text: str, definition: ResultField, system: str) -> tuple[Indication, ...]:
    return (
        ()
        if text.lower() in NONE_WORDS
        else tuple(_indication(piece, definition, system) for piece in _pieces(text))
    )


def _indication(piece: str, definition: ResultField, system: str) -> Indication:
    rest, found = piece, None
    for candidate, words in INDICATION_WORDS.items():
        rest, named = _without(rest, words)
        found = candidate if named else found
    if found is None:
        raise ResultError(
            f"“{piece}” does not say what it is. Begin with {', '.join(INDICATION_WORDS.values())}."
        )
    length, _, at = (part.strip() for part in re.sub(r"(?i)\bat\b", "@", rest).partition("@"))
    start = _number(at, _ANYWHERE, system) if at else None
    return Indication(IndicationType(found), _number(length, definition, system), start)


_ANYWHERE = ResultField("at", "At", Shape.NUMBER, dimension="length", zero=True)
_READERS: dict[Shape, Callable[[str, ResultField, str], Any]] = {
    Shape.TEXT: _text,
    Shape.CHOICE: _choice,
    Shape.YES_NO: _yes_no,
    Shape.NUMBER: _number,
    Shape.NUMBERS: _numbers,
    Shape.OPENINGS: _openings,
    Shape.INDICATIONS: _indications,
}
