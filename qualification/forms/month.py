"""Who used what in a month: one form with a row per welder, ticked by the person who keeps the log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from crispy_forms.layout import Row
from django import forms

from qualification.forms.days import PastDayField
from qualification.forms.fields import layout_of, text_field
from qualification.models import ProcessUse, Welder
from qualification.rules.variables.registry import registry
from qualification.welders.changes import NewUse

Kept = tuple[str, str]
"""Process and kind of operation a welder holds a test in."""


def key_of(kept: Kept) -> str:
    return ":".join(kept)


def words_of(kept: Kept) -> str:
    process, operation = kept
    return f"{process}, {registry()['operation'].choice_label(operation).lower()}"


class SheetForm(forms.Form):
    """What holds for all rows unless a row says otherwise."""

    used_on = PastDayField(
        label="Day of use",
        needed="Enter the day on which the ticked processes were used.",
        help_text="A day on which the use is shown; a row may give another.",
    )
    evidence = text_field(
        "Evidence", 200, help_text="Job, weld map or report that shows it; a row may give another."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(Row("used_on", "evidence"))


class RowForm(forms.Form):
    """One welder: what was used, and day and evidence where they differ from the sheet's."""

    used = forms.MultipleChoiceField(label="Used", required=False, widget=forms.CheckboxSelectMultiple)
    own_day = PastDayField(label="Other day")
    own_evidence = text_field("Other evidence", 200)

    def __init__(self, welder: Welder, kept: list[Kept], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"welder-{welder.pk}", **kwargs)
        self.welder = welder
        self.last_used: ProcessUse | None = None
        self.fields["used"].choices = [(key_of(each), words_of(each)) for each in kept]
        for name, label in (
            ("used", "Used by"),
            ("own_day", "Other day for"),
            ("own_evidence", "Other evidence for"),
        ):
            self.fields[name].label = f"{label} {welder}"
        self.fields["used"].error_messages["invalid_choice"] = (
            f"Used by {str(welder).replace('%', '%%')} has no “%(value)s”. Tick one of those listed."
        )


@dataclass
class MonthSheet:
    """The sheet's own form and a row per welder."""

    sheet: SheetForm
    rows: list[RowForm]

    def is_valid(self) -> bool:
        """True when every ticked box has a day and evidence. Errors stand at the fields."""
        valid = all([self.sheet.is_valid(), *(row.is_valid() for row in self.rows)])
        ticked = [row for row in self.rows if row.cleaned_data.get("used")]
        if valid and not ticked:
            self.sheet.add_error(None, "Nothing is ticked. Tick what was used, or leave the page.")
            return False
        if (
            valid
            and not self.sheet.cleaned_data["evidence"]
            and any(not row.cleaned_data["own_evidence"] for row in ticked)
        ):
            self.sheet.add_error("evidence", "Enter the evidence here, or at each row that is ticked.")
            return False
        for row in self.rows:
            said = row.is_valid() and (row.cleaned_data["own_day"] or row.cleaned_data["own_evidence"])
            if said and not row.cleaned_data["used"]:
                row.add_error(
                    "used",
                    f"{row.welder} has a day or evidence, but nothing is ticked. Tick what was used or clear"
                    " the row.",
                )
                valid = False
        return valid

    def uses(self) -> list[NewUse]:
        """The log lines the ticks stand for."""
        day: date = self.sheet.cleaned_data["used_on"]
        return [
            NewUse(
                row.welder,
                key.partition(":")[0],
                key.partition(":")[2],
                row.cleaned_data["own_day"] or day,
                row.cleaned_data["own_evidence"] or self.sheet.cleaned_data["evidence"],
            )
            for row in self.rows
            for key in row.cleaned_data["used"]
        ]
