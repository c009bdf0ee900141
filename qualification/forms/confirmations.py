"""Confirming several welders' tests on one sheet: a row per test, ticked by the person who confirms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from crispy_forms.layout import Row
from django import forms

from qualification.forms.days import PastDayField
from qualification.forms.fields import choice_field, layout_of, text_field
from qualification.models import ActKind, ValidityAct, WelderTest
from qualification.rules.welders.validity_tables import SIGNATORIES, ValidityRules


class SheetForm(forms.Form):
    """What holds for all rows: day and signature."""

    day = PastDayField(label="Day of confirmation", needed="Enter the day on which they were confirmed.")
    by_name = text_field("Confirmed by", 120, "Enter the name of the person who confirms.")

    def __init__(self, roles: Sequence[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["by_role"] = choice_field(
            "Signed as",
            [("", "Choose"), *((key, words) for key, words in SIGNATORIES.items() if key in roles)],
            "Choose as what the person signed.",
        )
        self.helper = layout_of(Row("day", "by_name", "by_role"))


class RowForm(forms.Form):
    """One test: the processes confirmed, and the work seen."""

    processes = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    evidence = text_field("Work seen", 300)

    def __init__(
        self, record: WelderTest, rules: ValidityRules, processes: Sequence[str], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, prefix=f"test-{record.pk}", **kwargs)
        self.record, self.rules = record, rules
        self.standings: list[Any] = []
        """How the test stands today, for the page."""
        name = f"{record.number} of {record.welder}"
        ticks = self.fields["processes"]
        assert isinstance(ticks, forms.MultipleChoiceField)
        ticks.label, ticks.choices = f"Confirmed on {name}", [(process, process) for process in processes]
        ticks.error_messages["invalid_choice"] = (
            f"Confirmed on {name.replace('%', '%%')} has no “%(value)s”. Tick one of those listed."
        )
        self.fields["evidence"].label = f"Work seen for {name}"

    @property
    def is_ticked(self) -> bool:
        return bool(self.cleaned_data.get("processes"))

    def holds_against(self, day: date, role: str) -> list[tuple[str, str]]:
        """Field and sentence of what keeps a ticked row from being confirmed so."""
        found, number, rules = [], self.record.number, self.rules
        if not self.cleaned_data.get("evidence") and "evidence" not in self.errors:
            found.append(
                ("evidence", f"{self.fields['evidence'].label} is missing. Enter it, or take the tick away.")
            )
        if self.record.welded_on and day <= self.record.welded_on:
            found.append(
                (
                    "processes",
                    (
                        f"{number}: its coupon was welded on {self.record.welded_on}, not before {day}. Take"
                        " the tick away."
                    ),
                )
            )
        if role not in rules.may_sign("confirmation"):
            may = " or ".join(SIGNATORIES[key].lower() for key in rules.may_sign("confirmation"))
            found.append(
                (
                    "processes",
                    f"{number} is confirmed by {may}. Take the tick away, or choose another signature.",
                )
            )
        return found


@dataclass
class Sheet:
    """The sheet's own form and a row per test."""

    sheet: SheetForm
    rows: list[RowForm]

    def is_valid(self) -> bool:
        """True when every ticked row can be confirmed so. Errors stand at the fields."""
        valid = all([self.sheet.is_valid(), *(row.is_valid() for row in self.rows)])
        if not valid:
            return False
        ticked = [row for row in self.rows if row.is_ticked]
        if not ticked:
            self.sheet.add_error(None, "Nothing is ticked. Tick what is confirmed, or leave the page.")
        said = self.sheet.cleaned_data
        for row in ticked:
            for field, sentence in row.holds_against(said["day"], said["by_role"]):
                row.add_error(field, sentence)
        return not self.sheet.errors and not any(row.errors for row in self.rows)

    def acts(self) -> list[ValidityAct]:
        """The confirmations the ticks stand for, not stored. Call it once the sheet is valid."""
        said = self.sheet.cleaned_data
        return [
            ValidityAct(
                test=row.record,
                edition=row.record.edition,
                kind=ActKind.CONFIRMATION,
                day=said["day"],
                by_name=said["by_name"],
                by_role=said["by_role"],
                processes=row.cleaned_data["processes"],
                evidence=row.cleaned_data["evidence"],
            )
            for row in self.rows
            if row.is_ticked
        ]
