"""Entering a work sheet of the code tables back: against which copy, on which day, and what the book says of
each row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crispy_forms.layout import Row
from django import forms
from django.utils import timezone

from qualification.forms.days import PastDayField
from qualification.forms.fields import layout_of, text_field
from qualification.models import TableCheck
from qualification.posted import number_in

LONGEST_ANSWER = 60
"""Letters of what the book says of one row."""
BOOK, SHOWN = "book-", "row-"
"""What the entry of a row, and the mark of what was shown of it, begin with; the row's number follows."""


class WorkSheetForm(forms.Form):
    """What holds for all rows of the sheet."""

    checked_on = PastDayField(
        label="Checked on", needed="Enter the day on which the rows were checked against the copy."
    )
    copy = text_field(
        "Which copy",
        120,
        "Enter which copy of the code they were checked against.",
        "Edition, printing and where it stands, such as “2023 edition, office copy 2”.",
    )

    def __init__(self, edition: str, *args: Any, **kwargs: Any) -> None:
        last = TableCheck.objects.filter(edition=edition, taken_back_because="").order_by("-id").first()
        kwargs["initial"] = {"checked_on": timezone.localdate(), "copy": last.copy if last else ""}
        super().__init__(*args, **kwargs)
        self.helper = layout_of(Row("checked_on", "copy"))


def answers_in(data: Mapping[str, str]) -> dict[int, tuple[str, str]]:
    """What was typed for each row, with the mark of what was shown of it; rows left empty are left out."""
    found = {}
    for name in data:
        number = number_in(name.removeprefix(BOOK)) if name.startswith(BOOK) else None
        typed = data[name].strip()[:LONGEST_ANSWER] if number is not None else ""
        if number is not None and typed:
            found[number] = (typed, data.get(f"{SHOWN}{number}", ""))
    return found
