"""One row of a test record's results as a form, and the form of what the record settles beside them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django import forms
from django.forms import BoundField

from qualification.forms.fields import StatedField, keep_strays, stated, tie_to_note, typed
from qualification.rules.core.problems import Problem
from qualification.rules.testing.outcome_words import say_field
from qualification.rules.testing.result_entries import ReadResult
from qualification.rules.testing.result_fields import FIELDS, ResultField, Shape
from qualification.rules.testing.results import ResultKind
from qualification.rules.testing.test_options import BEND_CHOICES, LABELS

MEASURED = frozenset({Shape.NUMBER, Shape.NUMBERS, Shape.OPENINGS, Shape.INDICATIONS})


class ResultInput(StatedField):
    """One field of a result."""

    def __init__(self, definition: ResultField, system: str) -> None:
        choices = [(c.key, c.label) for c in definition.choices]
        super().__init__(definition, system, stated(choices) if choices else typed())
        self.definition = definition


class ResultRow(forms.Form):
    """One specimen or examination. It is always bound: to what is stored, or to what was just typed."""

    use_required_attribute = False

    def __init__(
        self,
        index: int,
        kind: ResultKind,
        entry: Mapping[str, str],
        system: str,
        asked: Collection[str] = (),
    ) -> None:
        """`asked`: fields the code checks; they stand in the open, however rare elsewhere."""
        self.index, self.kind, self.entry, self.asked = index, kind, dict(entry), asked
        prefix = row_prefix(index)
        super().__init__({f"{prefix}-{key}": text for key, text in entry.items()}, prefix=prefix)
        for definition in FIELDS[kind]:
            self.fields[definition.key] = ResultInput(definition, system)
            tie_to_note(self, definition.key)
            keep_strays(self.fields[definition.key], [str(self[definition.key].data or "")])
        self.full_clean()
        self.judged: dict[str, Any] | None = None
        """The result with its checks, in words; `None` while there is nothing to judge."""
        self.is_set_aside = False
        """True for a result that only an earlier edition of the record asks."""
        self.misfit = ""
        """Why the record cannot take this row as it stands."""

    @property
    def title(self) -> str:
        words = self.kind.words[:1].upper() + self.kind.words[1:]
        return f"{words} {self.entry.get('specimen', '')}".strip()

    @property
    def often(self) -> list[BoundField]:
        return [self[key] for key, field in self.fields.items() if not self._is_folded(field)]

    @property
    def seldom(self) -> list[BoundField]:
        return [self[key] for key, field in self.fields.items() if self._is_folded(field)]

    def _is_folded(self, field: ResultInput) -> bool:
        """What few coupons need is folded away, unless it says something or has a problem."""
        key = field.definition.key
        if key in self.asked or self.entry.get(key, "").strip():
            return False
        return field.definition.rare and not self[key].errors

    def say(self, read: ReadResult, system: str) -> None:
        """Put beside each field how it was read, or what is wrong with it."""
        for problem in read.problems:
            key = problem.key.partition(".")[2]
            self.add_error(key if key in self.fields else None, problem.message)
        for key, field in self.fields.items():
            value = read.values.get(key)
            if value is not None and field.definition.shape in MEASURED:
                field.note, field.is_reading = say_field(value, field.definition, system), True


def row_prefix(index: int) -> str:
    return f"row-{index}"


class ParticularsForm(forms.Form):
    """Direction of the bends, elongation and a stated minimum; always bound, like a row."""

    use_required_attribute = False
    HELP = {
        "bends": "Longitudinal where the two metals, or metal and weld, bend very differently.",
        "elongation": "By the metals' specifications; the former for a bend follows from it where it is low.",
        "minimum_tensile": (
            "Only for a base metal without a minimum in the tables: the one of its specification."
        ),
    }
    UNITS = {"elongation": "percent", "minimum_tensile": "stress"}

    def __init__(
        self,
        wanted: Mapping[str, str],
        problems: tuple[Problem, ...],
        system: str,
        is_asked: bool = False,
    ) -> None:
        """`is_asked`: a test waits for one of them, so they stand open."""
        self.is_asked = is_asked
        super().__init__({f"wanted-{key}": text for key, text in wanted.items()}, prefix="wanted")
        for key, label in LABELS.items():
            dimension = self.UNITS.get(key, "")
            choices = tuple(BEND_CHOICES) if key == "bends" else ()
            definition = ResultField(key, label, Shape.TEXT, self.HELP[key], dimension, choices)
            self.fields[key] = ResultInput(definition, system)
            tie_to_note(self, key)
        self.full_clean()
        for problem in problems:
            self.add_error(problem.key if problem.key in self.fields else None, problem.message)

    @property
    def is_open(self) -> bool:
        return self.is_asked or any(
            str(self[key].data or "").strip() or self[key].errors for key in self.fields
        )
