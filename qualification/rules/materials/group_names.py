"""A group of metals written where a metal is named: `P-1 Gr 1`, `P-No. 22`, `M-23`, `S-22`, `Group 22.4`.

It is understood as the group, or refused in words; it is never looked up as a metal. Short names that are
both, such as P22 (P-Number 22, and a pipe grade of SA-335), ask to be written out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ..variables.metal_systems import D11_GROUPS, ISO_GROUPS, M_NUMBERS, P_NUMBERS, S_NUMBERS, MetalSystem
from .spelling import written_plain


class GroupError(ValueError):
    """The text looks like a group of metals and does not name one; the message says how to write it."""


@dataclass(frozen=True)
class GroupName:
    system: MetalSystem
    number: str
    sub: str = ""
    """Group within the group; empty where none is written."""

    @property
    def words(self) -> str:
        """`P-1 Gr. 1`, `Group 22.4`."""
        return self.system.say(f"{self.number}.{self.sub}" if self.sub else self.number)


_LETTERS = {"P": P_NUMBERS, "M": M_NUMBERS, "S": S_NUMBERS}
_NUMBER_WORDS = frozenset({"NO", "NUMBER", "NUM", "NR", "N"})
_GROUP_WORDS = frozenset({"GROUP", "GRP", "GR", "G"})
_STANDARD_WORDS = frozenset({"ISO", "TR", "CEN", "CR", "EN", "DIN", "15608"})
_SIGNS = re.compile(r"\d+(?:\.\d+)?(?:[A-Z](?![A-Z]))?|[A-Z]+|[^\sA-Z0-9.,:#/()\-]")
_SHORT = re.compile(r"[PMS]\d{1,2}[A-Z]?")
_LONGEST = 60
_ROMAN = frozenset(D11_GROUPS.numbers)


@lru_cache(maxsize=4096)
def read_group(text: str, short_names: tuple[tuple[str, str], ...] = ()) -> GroupName | None:
    """The group a text names, `None` when it does not look like one.

    `short_names` are short names of metals, in capitals, each with the metal's full name. Raises GroupError
    for a group that does not exist or is not told to the end, and for a short name that is a group as well.
    """
    plain = written_plain(text)
    if len(plain) > _LONGEST:
        return None
    signs = _SIGNS.findall(plain)
    if signs[:1] and signs[0] in _LETTERS:
        return _lettered(plain, signs, text, dict(short_names))
    return _plain_group(signs, text)


def _lettered(plain: str, signs: list[str], text: str, short_names: Mapping[str, str]) -> GroupName | None:
    system, rest = _LETTERS[signs[0]], signs[1:]
    named = bool(rest) and rest[0] in _NUMBER_WORDS | _GROUP_WORDS
    rest = rest[1:] if named else rest
    while rest and rest[0] in _NUMBER_WORDS:
        rest = rest[1:]
    if not rest or not re.fullmatch(r"\d{1,2}[A-Z]?", rest[0]):
        return None
    number, sub = rest[0], _sub(rest[1:])
    if sub is None:
        return None
    if _SHORT.fullmatch(plain):
        if plain in short_names:
            raise GroupError(
                f"“{text.strip()}” can be read in two ways: {system.label} {number}, or the metal"
                f" {short_names[plain]}. Write {system.prefix}{number} or {short_names[plain]}."
            )
        if number not in system.numbers:
            return None  # nobody wrote that it is a group; the catalogue may know the name
    return _checked(system, number, sub, text)


def _sub(signs: list[str]) -> str | None:
    """The group within the group: empty for none, `None` where what follows is no such group."""
    if not signs:
        return ""
    if signs[0] not in _GROUP_WORDS:
        return None
    rest = signs[1:]
    while rest and rest[0] in _NUMBER_WORDS:
        rest = rest[1:]
    return rest[0] if len(rest) == 1 and rest[0].isdecimal() else None


def _plain_group(signs: list[str], text: str) -> GroupName | None:
    """A group without the letter of a system: by ISO/TR 15608, or one of the Roman ones of D1.1."""
    by_iso = "15608" in signs
    while signs and signs[0] in _STANDARD_WORDS and by_iso:
        signs = signs[1:]
    named = bool(signs) and signs[0] in _GROUP_WORDS - {"G"}
    rest = signs[1:] if named else signs
    while named and rest and rest[0] in _NUMBER_WORDS:
        rest = rest[1:]
    if len(rest) != 1:
        return None
    number = rest[0]
    if named and not by_iso and number in _ROMAN:
        return GroupName(D11_GROUPS, number)
    if re.fullmatch(r"\d{1,2}\.\d", number) or (named or by_iso) and re.fullmatch(r"\d{1,2}", number):
        return _checked(ISO_GROUPS, number, "", text)
    return None


def _checked(system: MetalSystem, number: str, sub: str, text: str) -> GroupName:
    if number not in system.numbers:
        within = [
            each
            for each in system.numbers
            if each.startswith(f"{number}.")
            or (each.startswith(number) and not each[len(number)].isdecimal())
        ]
        hint = (
            f"Write which: {', '.join(system.prefix + each for each in within)}."
            if within
            else "Correct it, or name the metal."
        )
        raise GroupError(f"“{text.strip()}” is not a {system.label}. {hint}")
    if sub and sub not in system.sub_groups.split():
        raise GroupError(
            f"“{text.strip()}”: {system.prefix}{number} has no group {sub} here. Correct it, or name the"
            " metal."
        )
    return GroupName(system, number, sub)
