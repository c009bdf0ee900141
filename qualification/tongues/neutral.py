"""What reads the same in every language: numbers, units, designations. Only the decimal sign and the order of
a date change with the language."""

from __future__ import annotations

import re

from qualification.rules.core.units import DIMENSIONS

UNITS = frozenset(
    unit.symbol for dimension in DIMENSIONS.values() for unit in dimension.units if unit.symbol
) | {"kA", "ms", "µm", "lb", "kg", "g", "L", "m³", "ft³"}
NUMBER = re.compile(r"^[−+±-]?\d[\d.,/]*(?:[–-]\d[\d.,/]*)?(?:%|°)?$|^\d{1,2}:\d{2}$")
DESIGNATION = re.compile(r"^(?=.*\d)[A-Za-z0-9₀-₉][\w./+*°₀-₉()−–-]*$|^[A-Z][A-Z0-9./+&-]*$")
GAS = re.compile(r"^(?:Ar|He|CO|O|N|H|₂)+$")
AROUND = "()[],;:.·*\u00a0\u202f"
DATE = re.compile(r"(?<![\d-])(\d{4})-(\d{2})-(\d{2})(?![\d-])")
DECIMAL = re.compile(r"(?<![\w.,])(\d+)\.(\d+)(?![\w]|\.\d)")
WITH_UNIT = re.compile(
    r"\d ?(?:" + "|".join(re.escape(unit) for unit in sorted(UNITS, key=len, reverse=True)) + r")(?![A-Za-z])"
)
DAY = {"de": r"\3.\2.\1"}
"""A date in figures, where it is not written year, month, day: French keeps that order, which is Québec's and
misleads nobody in France."""


def words_of(text: str) -> list[str]:
    """What of a text is a word of a language."""
    tokens = [token.strip(AROUND) for token in text.replace("\u00a0", " ").replace("\u202f", " ").split()]
    is_inch = text.startswith("in (")  # `in (6.35 mm)` stands behind a number, `in 3G` does not
    return [
        token
        for place, token in enumerate(tokens)
        if token
        and (token not in UNITS or token == "in" and place == 0 and not is_inch)
        and token not in "—–-/+±=·×<>≤≥"
        and not any(pattern.match(token) for pattern in (NUMBER, DESIGNATION, GAS))
    ]


def is_neutral(text: str) -> bool:
    """Whether nothing of it is a word of a language."""
    return not words_of(text)


def has_unit(text: str) -> bool:
    """Whether a number with a unit stands in it: a bare `22.3` may be a group's number, not a decimal."""
    return WITH_UNIT.search(text) is not None


def decimals(text: str) -> str:
    """The text with decimal commas."""
    return DECIMAL.sub(r"\1,\2", text)


def dates(text: str, language: str) -> str:
    """The text with its dates in the order of the language."""
    return DATE.sub(DAY[language], text) if language in DAY else text
