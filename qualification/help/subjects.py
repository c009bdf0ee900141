"""Subjects and terms of the help, and finding them."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from qualification.rules.core.quantities import DIMENSIONS, SI, US
from qualification.rules.variables.definition import Variable
from qualification.rules.variables.registry import registry

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Subject:
    """One page of the help."""

    key: str
    title: str
    short: str
    text: tuple[str, ...]
    example: str
    groups: tuple[str, ...] = ()
    """Field groups of the forms that lead here."""

    @property
    def fields(self) -> list[FieldHelp]:
        """The fields of its groups, each with its own help."""
        listed = (v for v in registry().values() if v.group in self.groups and not v.derived)
        return [FieldHelp(v.key, v.label, _says(v)) for v in listed]

    @property
    def words(self) -> str:
        own = (f"{field.label} {field.says}" for field in self.fields)
        return " ".join([self.title, self.short, *self.text, self.example, *own]).casefold()


@dataclass(frozen=True)
class FieldHelp:
    """A field, and what is written in it."""

    key: str
    label: str
    says: str


def _says(variable: Variable) -> str:
    """The field's own help; else its choices, or its unit in both systems."""
    if variable.help:
        return variable.help
    if variable.choices:
        return f"One of: {'; '.join(choice.label for choice in variable.choices)}."
    if variable.dimension:
        units = DIMENSIONS[variable.dimension]
        symbols = dict.fromkeys(units.unit_for(system).symbol for system in (US, SI))
        written = " or ".join(symbol for symbol in symbols if symbol)
        return f"A number or a range.{f' Units: {written}.' if written else ''}"
    return "In your own words."


@dataclass(frozen=True)
class Term:
    """One entry of the glossary."""

    name: str
    says: str
    subject: str

    @property
    def words(self) -> str:
        return f"{self.name} {self.says}".casefold()


@cache
def subjects() -> tuple[Subject, ...]:
    """Every subject, in the order of the list."""
    rows = tomllib.loads((FOLDER / "subjects.toml").read_text(encoding="utf-8"))["subject"]
    return tuple(
        Subject(**{**row, "text": tuple(row["text"]), "groups": tuple(row.get("groups", ()))}) for row in rows
    )


@cache
def terms() -> tuple[Term, ...]:
    """The glossary, by name."""
    rows = tomllib.loads((FOLDER / "glossary.toml").read_text(encoding="utf-8"))["term"]
    return tuple(sorted((Term(**row) for row in rows), key=lambda term: term.name.casefold()))


def subject_of_group(group: str) -> str:
    """Key of the subject a field group leads to; empty where there is none."""
    return next((each.key for each in subjects() if group in each.groups), "")


def find(sought: str) -> tuple[Sequence[Subject], Sequence[Term]]:
    """Subjects and terms that hold every word sought; those with one in the title first."""
    wanted = sought.casefold().split()
    pages = [each for each in subjects() if all(word in each.words for word in wanted)]
    pages.sort(key=lambda each: not any(word in each.title.casefold() for word in wanted))
    return pages, [each for each in terms() if all(word in each.words for word in wanted)]
